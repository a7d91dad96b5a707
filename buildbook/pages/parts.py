"""Pages of parts, and the list of them."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.hours import HoursRow
from buildbook.ledger.shortage import shortage, shortages
from buildbook.pages import paths
from buildbook.pages.clips import ClipView, clip_views
from buildbook.pages.context import Context
from buildbook.pages.lots import part_lots
from buildbook.pages.notices import NoticeLine, notice_lines
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.readings import ReadingView, reading_view
from buildbook.pages.sessions import SessionLine, session_line
from buildbook.pages.sheets import SheetView, part_sheet_link, sheet_view
from buildbook.pages.views import Figure, LessonView, SquawkLine
from buildbook.pages.words import say
from buildbook.records.part import Part


@dataclass(frozen=True, slots=True)
class PartView:
    """Template `part.html`."""

    number: str
    name: str
    facts: tuple[tuple[str, str], ...]
    """What the drawing says: heading and value."""
    route: tuple[Link, ...]
    not_needed: tuple[tuple[Link, str], ...]
    """Operation left out, and why."""
    notes: Markup
    sheet: SheetView
    sheet_page: Link | None
    steps: tuple[Link, ...]
    clock: int
    person: int
    sessions: tuple[SessionLine, ...]
    figures: tuple[Figure, ...]
    clips: tuple[ClipView, ...]
    lessons: tuple[LessonView, ...]
    squawks: tuple[SquawkLine, ...]
    notices: tuple[NoticeLine, ...]
    lots: tuple[Link, ...]
    """Lots that went into it."""
    readings: tuple[ReadingView, ...]
    pages: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part in the list."""

    link: Link
    name: str
    material: str
    quantity: int
    steps: tuple[Link, ...]
    sessions: int
    photos: int


@dataclass(frozen=True, slots=True)
class ShortLine:
    """A part that came short."""

    link: Link
    name: str
    quantity: int
    received: int
    damaged: int
    short: int


@dataclass(frozen=True, slots=True)
class PartsView:
    """Template `parts.html`."""

    groups: tuple[tuple[str, tuple[PartLine, ...]], ...]
    """Section of the first step that uses it, and its parts."""
    parts: int
    pieces: int
    short: tuple[ShortLine, ...]
    """Parts of which fewer sound pieces came than are needed."""


def part_page(context: Context, number: str, part: Part) -> Page:
    """Lay out the page of one part: everything in the book that touches it."""
    book, ledger = context.book, context.ledger
    touching = ledger.links.of("parts", number)
    row = ledger.hours.of_part.get(number) or HoursRow(number, 0, 0, 0)
    pieces = book.pieces[number]
    sheet = ledger.routes.sheets[number]
    notes = context.prose.html(part.notes)
    view = PartView(
        number=number,
        name=part.name,
        facts=_facts(context, part),
        route=tuple(map(context.operation_link, part.route)),
        not_needed=tuple(
            (context.operation_link(name), why) for name, why in part.not_needed.items()
        ),
        notes=notes,
        sheet=sheet_view(context, sheet),
        sheet_page=part_sheet_link(context, number),
        steps=tuple(Link(context.step_in_section(s), paths.step(s)) for s in touching.steps),
        clock=row.clock,
        person=row.person,
        sessions=tuple(session_line(context, slug) for slug in touching.sessions),
        figures=context.figures(touching.shots),
        clips=clip_views(context, touching.takes),
        lessons=tuple(map(context.lesson, touching.lessons)),
        squawks=tuple(map(context.squawk_line, touching.squawks)),
        notices=notice_lines(context, ledger.notices.of_part.get(number, ())),
        lots=part_lots(context, number),
        readings=tuple(reading_view(context, m) for m in touching.readings),
        pages=tuple(map(context.note_link, touching.notes)),
    )
    title = f"{number} {part.name}"
    facts = " ".join(value for _, value in view.facts)
    labels = " ".join(p.label for p in pieces) if len(pieces) > 1 else ""
    return Page(
        paths.part(number),
        title,
        "part.html",
        view,
        [SearchEntry(title, f"{number} {facts} {plain_text(notes)} {labels}")],
        frozenset({part.place.file}),
        description=f"{title}: {facts}"[:160],
    )


def _facts(context: Context, part: Part) -> tuple[tuple[str, str], ...]:
    material = "-".join(filter(None, (part.material, part.temper)))
    hand = {"left": say("left-hand"), "right": say("right-hand"), None: ""}[part.hand]
    rows = (
        (say("Hand"), hand),
        (say("Drawing"), part.plan or ""),
        (say("Material"), material),
        (say("Thickness"), context.quantity(part.thickness) if part.thickness else ""),
        (say("Quantity"), str(part.quantity)),
        (say("Received"), _received(part)),
        (say("Finish"), part.finish or ""),
    )
    return tuple((name, value) for name, value in rows if value)


def _received(part: Part) -> str:
    if part.received is None:
        return ""
    short = shortage(part)
    words = [
        str(part.received),
        say("%(damaged)s damaged", damaged=part.damaged) if part.damaged else "",
        say("%(short)s short", short=short.short) if short else "",
    ]
    return ", ".join(filter(None, words))


def part_line(context: Context, number: str) -> PartLine:
    """Make the view of a part in a list."""
    part, touching = context.book.parts[number], context.ledger.links.of("parts", number)
    return PartLine(
        context.part_link(number),
        part.name,
        "-".join(filter(None, (part.material, part.temper))),
        part.quantity,
        tuple(map(context.step_link, touching.steps)),
        len(touching.sessions),
        len(touching.shots),
    )


def parts_page(context: Context) -> Page:
    """Lay out the list of all parts, by the section that first uses them."""
    book, links = context.book, context.ledger.links
    groups: dict[str, list[PartLine]] = {s.title: [] for s in book.sections.values()}
    for number in book.parts:
        touching = links.of("parts", number)
        first = touching.steps[0].partition("/")[0] if touching.steps else ""
        title = book.sections[first].title if first in book.sections else say("In no step")
        groups.setdefault(title, []).append(part_line(context, number))
    view = PartsView(
        tuple((title, tuple(lines)) for title, lines in groups.items() if lines),
        len(book.parts),
        sum(p.quantity for p in book.parts.values() if not p.hardware),
        tuple(
            ShortLine(context.part_link(s.part), s.name, s.quantity, s.received, s.damaged, s.short)
            for s in shortages(book.parts.values())
        ),
    )
    return Page(
        paths.PARTS,
        say("Parts"),
        "parts.html",
        view,
        [SearchEntry(say("Parts"), say("All parts by section"))],
        frozenset(),
        listed=True,
    )
