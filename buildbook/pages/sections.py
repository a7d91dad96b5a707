"""Pages of sections and of their steps."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.hours import HoursRow, HoursTable
from buildbook.ledger.progress import Progress, StepProgress
from buildbook.pages import paths
from buildbook.pages.charts import Chart, bars
from buildbook.pages.clips import ClipView, clip_views
from buildbook.pages.closing import ClosingView, closing_view
from buildbook.pages.contactsheet import contact_sheet_link
from buildbook.pages.context import Context
from buildbook.pages.forecast import left_words
from buildbook.pages.hazards import HazardView, hazard_view, hazards_in
from buildbook.pages.lots import SectionLotLine, section_lots
from buildbook.pages.notices import NoticeLine, notice_lines
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.readings import LimitLine, ReadingView, limit_lines, reading_view
from buildbook.pages.sheets import step_sheet_link
from buildbook.pages.tools import NeededTool, needed_tools
from buildbook.pages.views import Figure, HoursView, LessonView, SquawkLine, WorkView
from buildbook.pages.words import say, show_date
from buildbook.records.section import Section, Step


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step in its section's list."""

    link: Link
    progress: StepProgress
    plan: str
    parts: int
    photos: int
    squawks_open: int


@dataclass(frozen=True, slots=True)
class SectionView:
    """Template `section.html`."""

    title: str
    intro: Markup
    plans: str
    kit_received: str
    progress: Progress
    person: int
    """Person-minutes spent."""
    left: str
    """Work left in words, or empty."""
    steps: tuple[StepLine, ...]
    hours: HoursView
    parts: tuple[tuple[Link, str, int], ...]
    """Link, name, quantity."""
    squawks: tuple[SquawkLine, ...]
    notices: tuple[NoticeLine, ...]
    lots: tuple[SectionLotLine, ...]
    """Every lot inside it."""
    figures: tuple[Figure, ...]
    clips: tuple[ClipView, ...]
    chart: Chart | None
    previous: Link | None
    next: Link | None


@dataclass(frozen=True, slots=True)
class SectionsView:
    """Template `sections.html`."""

    sections: tuple[tuple[Link, Progress, str], ...]
    """Link, progress, first sentence."""
    whole: Progress
    chart: Chart | None


@dataclass(frozen=True, slots=True)
class StepView:
    """Template `step.html`."""

    title: str
    name: str
    plan: str
    progress: StepProgress
    person: int
    left: str
    """Work left in words, or empty."""
    notes: Markup
    operations: tuple[Link, ...]
    cautions: tuple[tuple[str, tuple[Markup, ...]], ...]
    """Heading (the operation, or empty for the step's own) and cautions."""
    hazards: tuple[HazardView, ...]
    """Of all its operations."""
    parts: tuple[tuple[Link, str, int], ...]
    lessons: tuple[LessonView, ...]
    work: tuple[WorkView, ...]
    figures: tuple[Figure, ...]
    clips: tuple[ClipView, ...]
    readings: tuple[ReadingView, ...]
    limits: tuple[LimitLine, ...]
    tools: tuple[NeededTool, ...]
    closing: ClosingView
    squawks: tuple[SquawkLine, ...]
    notices: tuple[NoticeLine, ...]
    sheet: Link | None
    contact_sheet: Link | None
    previous: Link | None
    next: Link | None


def sections_page(context: Context) -> Page:
    """Lay out the page of all sections."""
    book, ledger = context.book, context.ledger
    rows = tuple(
        (
            context.section_link(name),
            ledger.progress.sections[name],
            plain_text(context.prose.html(section.intro)),
        )
        for name, section in book.sections.items()
    )
    table = ledger.hours.by_section
    view = SectionsView(
        rows,
        ledger.progress.whole,
        _hours_chart(context, say("Hours by section"), table, "sections"),
    )
    return Page(
        paths.SECTIONS,
        say("Sections"),
        "sections.html",
        view,
        [SearchEntry(say("Sections"), " ".join(s.title for s in book.sections.values()))],
        frozenset(),
        listed=True,
    )


def section_page(context: Context, name: str, section: Section) -> Page:
    """Lay out the page of one section."""
    book, ledger = context.book, context.ledger
    touching = ledger.links.of("sections", name)
    names = [f"{name}/{step.step}" for step in section.steps]
    rows = tuple(ledger.hours.of_step[n] for n in names if n in ledger.hours.of_step)
    hours = HoursTable(rows)
    order = list(book.sections)
    at = order.index(name)
    squawks = [n for n in touching.squawks if (book.squawks[n].step or "").startswith(f"{name}/")]
    parts = dict.fromkeys(p for step in section.steps for p in step.parts if p in book.parts)
    intro = context.prose.html(section.intro)
    view = SectionView(
        title=section.title,
        intro=intro,
        plans=section.plans or "",
        kit_received=show_date(section.kit_received),
        progress=ledger.progress.sections[name],
        person=hours.person,
        left=left_words(context, name),
        steps=tuple(_step_line(context, f"{name}/{step.step}", step) for step in section.steps),
        hours=context.hours(
            say("Hours by step, %(title)s", title=section.title), say("Step"), hours, "steps"
        ),
        parts=_parts(context, tuple(parts)),
        squawks=tuple(context.squawk_line(n) for n in sorted(squawks)),
        notices=notice_lines(context, ledger.notices.of_section.get(name, ())),
        lots=section_lots(context, name),
        figures=context.figures(touching.shots),
        clips=clip_views(context, touching.takes),
        chart=_hours_chart(
            context, say("Hours by step, %(title)s", title=section.title), hours, "steps"
        ),
        previous=context.section_link(order[at - 1]) if at else None,
        next=context.section_link(order[at + 1]) if at + 1 < len(order) else None,
    )
    titles = " ".join(step.title for step in section.steps)
    return Page(
        paths.section(name),
        section.title,
        "section.html",
        view,
        [SearchEntry(section.title, f"{plain_text(intro)} {titles}")],
        frozenset(),
        listed=True,
        description=plain_text(intro)[:160],
    )


def step_page(context: Context, name: str, step: Step) -> Page:
    """Lay out the page of one step."""
    book, ledger = context.book, context.ledger
    touching = ledger.links.of("steps", name)
    section = name.partition("/")[0]
    order = [f"{section}/{s.step}" for s in book.sections[section].steps]
    at = order.index(name)
    row = ledger.hours.of_step.get(name) or HoursRow(name, 0, 0, 0)
    notes = context.prose.html(step.notes)
    view = StepView(
        title=step.title,
        name=name,
        plan=step.plan or "",
        progress=ledger.progress.steps[name],
        person=row.person,
        left=left_words(context, name),
        notes=notes,
        operations=tuple(map(context.operation_link, book.operations_of(step))),
        cautions=_cautions(context, step),
        hazards=tuple(map(hazard_view, hazards_in(book, book.operations_of(step)))),
        parts=_parts(context, step.parts),
        lessons=tuple(context.lesson(n) for n in ledger.lessons_of_step[name]),
        work=tuple(context.work(s) for s in ledger.stints_of_step[name]),
        figures=context.figures(touching.shots),
        clips=clip_views(context, touching.takes),
        readings=tuple(reading_view(context, m) for m in touching.readings),
        limits=limit_lines(context, step),
        tools=needed_tools(context, name),
        closing=closing_view(context, name, step, touching.shots),
        squawks=tuple(map(context.squawk_line, touching.squawks)),
        notices=notice_lines(context, ledger.notices.of_step.get(name, ())),
        sheet=step_sheet_link(context, name),
        contact_sheet=contact_sheet_link(context, name),
        previous=context.step_link(order[at - 1]) if at else None,
        next=context.step_link(order[at + 1]) if at + 1 < len(order) else None,
    )
    title = context.step_in_section(name)
    words = " ".join((name, step.plan or "", plain_text(notes), *step.parts))
    return Page(
        paths.step(name),
        title,
        "step.html",
        view,
        [SearchEntry(title, words)],
        frozenset({step.place.file}),
        description=plain_text(notes)[:160],
    )


def _step_line(context: Context, name: str, step: Step) -> StepLine:
    touching = context.ledger.links.of("steps", name)
    squawks = context.book.squawks
    return StepLine(
        context.step_link(name),
        context.ledger.progress.steps[name],
        step.plan or "",
        len(step.parts),
        len(touching.shots),
        sum(not squawks[n].closed for n in touching.squawks),
    )


def _parts(context: Context, numbers: tuple[str, ...]) -> tuple[tuple[Link, str, int], ...]:
    parts = context.book.parts
    return tuple(
        (context.part_link(n), parts[n].name, parts[n].quantity) for n in numbers if n in parts
    )


def _cautions(context: Context, step: Step) -> tuple[tuple[str, tuple[Markup, ...]], ...]:
    inline = context.prose.inline
    own = [("", tuple(map(inline, step.cautions)))] if step.cautions else []
    operations = context.book.operations
    named = (operations[o] for o in context.book.operations_of(step) if o in operations)
    return (*own, *((o.title, tuple(map(inline, o.cautions))) for o in named if o.cautions))


def _hours_chart(context: Context, caption: str, table: HoursTable, kind: str) -> Chart | None:
    labels = []
    for row in table.rows:
        link = context.hours("", "", HoursTable((row,)), kind).lines[0].label
        labels.append(link.text if isinstance(link, Link) else link)
    return bars(caption, labels, [row.clock for row in table.rows], lying=True)
