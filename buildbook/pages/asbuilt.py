"""The book as built: every assembly, the equipment, and what recurs, for a later owner."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.ledger.asbuilt import Assembly
from buildbook.ledger.recurring import Due
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.lots import SectionLotLine, section_lots
from buildbook.pages.notices import NoticeLine, notice_lines
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.readings import ReadingView, reading_view
from buildbook.pages.views import Figure, SquawkLine
from buildbook.pages.words import mark, say, show_date, show_interval, show_month, translated
from buildbook.records.equipment import Equipment

TITLE = mark("As built")


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part as it is in the aircraft."""

    link: Link
    name: str
    fitted: int
    material: str
    """Alloy and temper."""
    thickness: str
    finish: str
    lots: tuple[Link, ...]
    """Batches that went into it, by their short names."""
    replaced: str
    """Pieces that stand in for others, in words; empty where none do."""


@dataclass(frozen=True, slots=True)
class SignedLine:
    """An inspection that was signed off."""

    what: str
    step: Link
    date: date
    by: Link
    reference: str


@dataclass(frozen=True, slots=True)
class AssemblyView:
    """Template `as_built_section.html`."""

    title: str
    section: Link
    plans: str
    lead: str
    parts: tuple[PartLine, ...]
    hardware: tuple[PartLine, ...]
    lots: tuple[SectionLotLine, ...]
    torques: tuple[ReadingView, ...]
    hidden: tuple[Figure, ...]
    closed: bool
    repairs: tuple[SquawkLine, ...]
    accepted: tuple[SquawkLine, ...]
    open: tuple[SquawkLine, ...]
    notices: tuple[NoticeLine, ...]
    signed: tuple[SignedLine, ...]
    equipment: tuple["EquipmentLine", ...]
    tools: tuple[Link, ...]
    lessons: tuple[Link, ...]
    previous: Link | None
    next: Link | None


@dataclass(frozen=True, slots=True)
class AssemblyLine:
    """A section in the list."""

    link: Link
    plans: str
    parts: int
    hidden: int
    """Pictures of what cannot be seen any more."""
    repairs: int
    open: int
    """Squawks not settled."""
    signed: int
    """Inspections signed off."""


@dataclass(frozen=True, slots=True)
class EquipmentLine:
    """An item of equipment."""

    anchor: str
    title: str
    maker: str
    """Maker and model."""
    serial: str
    where: str
    section: Link | None
    installed: date | None
    removed: date | None
    mass: str
    """Weight and arm in words."""
    expires: str
    notes: Markup


@dataclass(frozen=True, slots=True)
class DueLine:
    """Something that recurs or is due."""

    anchor: str
    what: Link | str
    every: str
    last: date | None
    due: date | None
    past: bool
    """Its day was before the last session."""
    source: str
    notes: Markup


@dataclass(frozen=True, slots=True)
class AsBuiltView:
    """Template `as_built.html`."""

    as_of: str
    """Day of the last session; empty where there is none."""
    facts: tuple[tuple[str, str], ...]
    balance: Link | None
    sections: tuple[AssemblyLine, ...]
    equipment: tuple[EquipmentLine, ...]
    dues: tuple[DueLine, ...]
    calendar: str
    """Path of the calendar file; empty where there is none."""
    tools: tuple[tuple[Link, tuple[Link, ...]], ...]
    """Tools that steps need, and the sections."""
    sources: tuple[str, ...]
    """Documents that limits come from."""


def as_built_page(context: Context) -> Page:
    """Lay out the list of assemblies, the equipment and what recurs."""
    book, ledger = context.book, context.ledger
    aircraft = book.file.aircraft
    facts = (
        (say("Aircraft"), aircraft.model),
        (say("Designer"), aircraft.designer),
        (say("Serial number"), aircraft.serial),
        (say("Registration"), aircraft.registration),
        (say("Authority"), aircraft.authority),
    )
    dues = ledger.recurring
    of_tool: dict[str, list[str]] = {}
    for assembly in ledger.as_built.values():
        for tool in assembly.tools:
            of_tool.setdefault(tool, []).append(assembly.section)
    view = AsBuiltView(
        as_of=show_date(ledger.as_of),
        facts=tuple((name, value) for name, value in facts if value),
        balance=Link(say("Weight and balance"), paths.BALANCE)
        if book.weighings or book.balance
        else None,
        sections=tuple(_assembly_line(context, a) for a in ledger.as_built.values()),
        equipment=equipment_lines(context, book.equipment),
        dues=tuple(_due_line(context, due) for due in dues),
        calendar=paths.CALENDAR if any(due.due for due in dues) else "",
        tools=tuple(
            (context.tool_link(name), tuple(_link(context, section) for section in sections))
            for name, sections in of_tool.items()
        ),
        sources=_sources(context),
    )
    entries = [
        SearchEntry(say(TITLE), say("Parts, materials, lots, repairs, equipment, what recurs"))
    ]
    entries += [
        SearchEntry(line.title, f"{line.maker} {line.serial} {line.where}", line.anchor)
        for line in view.equipment
    ]
    return Page(
        paths.AS_BUILT, say(TITLE), "as_built.html", view, entries, frozenset(), listed=True
    )


def assembly_page(context: Context, name: str) -> Page:
    """Lay out one section as it was built."""
    book, section = context.book, context.book.sections[name]
    assembly = context.ledger.as_built[name]
    order = list(book.sections)
    at = order.index(name)
    view = AssemblyView(
        title=say("%(title)s, as built", title=section.title),
        section=context.section_link(name),
        plans=section.plans or "",
        lead=_lead(assembly),
        parts=tuple(_part_line(context, number) for number in assembly.parts),
        hardware=tuple(_part_line(context, number) for number in assembly.hardware),
        lots=section_lots(context, name),
        torques=tuple(reading_view(context, measured) for measured in assembly.torques),
        hidden=context.figures(assembly.hidden),
        closed=assembly.closed,
        repairs=tuple(map(context.squawk_line, assembly.repairs)),
        accepted=tuple(map(context.squawk_line, assembly.accepted)),
        open=tuple(map(context.squawk_line, assembly.open)),
        notices=notice_lines(context, assembly.notices),
        signed=tuple(
            SignedLine(
                signoff.inspection,
                context.step_link(signoff.step),
                signoff.date,
                context.person_link(signoff.by),
                signoff.reference or "",
            )
            for signoff in assembly.signed
        ),
        equipment=equipment_lines(context, assembly.equipment),
        tools=tuple(map(context.tool_link, assembly.tools)),
        lessons=tuple(map(context.lesson_link, assembly.lessons)),
        previous=_link(context, order[at - 1]) if at else None,
        next=_link(context, order[at + 1]) if at + 1 < len(order) else None,
    )
    words = " ".join((*assembly.parts, *assembly.hardware))
    return Page(
        paths.as_built(name),
        view.title,
        "as_built_section.html",
        view,
        [SearchEntry(view.title, words)],
        frozenset(),
    )


def _link(context: Context, name: str) -> Link:
    """Link to a section as it was built."""
    return Link(context.book.sections[name].title, paths.as_built(name))


def _lead(assembly: Assembly) -> str:
    state = say("Closed: what is inside cannot be seen any more. ") if assembly.closed else ""
    said = [
        say("%(parts)s part numbers", parts=len(assembly.parts)),
        say("%(repairs)s repaired or replaced", repairs=len(assembly.repairs)),
        say("%(accepted)s left as found", accepted=len(assembly.accepted)),
    ]
    if assembly.open:
        said.append(say("%(open)s not settled", open=len(assembly.open)))
    return f"{state}{', '.join(said)}."


def _assembly_line(context: Context, assembly: Assembly) -> AssemblyLine:
    return AssemblyLine(
        _link(context, assembly.section),
        context.book.sections[assembly.section].plans or "",
        len(assembly.parts),
        len(assembly.hidden),
        len(assembly.repairs),
        len(assembly.open),
        len(assembly.signed),
    )


def _part_line(context: Context, number: str) -> PartLine:
    part, pieces = context.book.parts[number], context.book.pieces[number]
    lots = dict.fromkeys(use.lot for use in context.ledger.lots.of_part.get(number, ()))
    replaced = [
        say("%(piece)s for %(replaces)s", piece=p.mark, replaces=p.replaces)
        for p in pieces
        if p.fitted and p.replaces
    ]
    return PartLine(
        context.part_link(number),
        part.name,
        part.quantity if part.hardware else sum(piece.fitted for piece in pieces),
        "-".join(filter(None, (part.material, part.temper))),
        context.quantity(part.thickness) if part.thickness else "",
        part.finish or "",
        tuple(Link(lot, paths.lot(lot)) for lot in lots),
        ", ".join(replaced),
    )


def equipment_lines(context: Context, names: Iterable[str]) -> tuple[EquipmentLine, ...]:
    """Make the views of items of equipment."""
    return tuple(_equipment_line(context, context.book.equipment[name]) for name in names)


def _equipment_line(context: Context, item: Equipment) -> EquipmentLine:
    mass = [
        context.quantity(item.weight) if item.weight else "",
        say("at %(arm)s", arm=context.quantity(item.arm)) if item.arm else "",
    ]
    expires = item.expires
    return EquipmentLine(
        anchor=f"equipment-{item.equipment}",
        title=item.title,
        maker=", ".join(filter(None, (item.maker, item.model))),
        serial=item.serial or "",
        where=item.where or "",
        section=context.section_link(item.section) if item.section else None,
        installed=item.installed,
        removed=item.removed,
        mass=" ".join(filter(None, mass)),
        expires=(show_date(expires) if isinstance(expires, date) else show_month(str(expires)))
        if expires
        else "",
        notes=context.prose.html(item.notes),
    )


def _due_line(context: Context, due: Due) -> DueLine:
    what: Link | str = translated(due.title)
    notes = Markup()
    if due.kind == "notices":
        what = context.notice_link(due.name)
    elif due.kind == "equipment":
        what = Link(translated(due.title), f"{paths.AS_BUILT}#equipment-{due.name}")
    else:
        notes = context.prose.html(context.book.recurring[due.name].notes)
    as_of = context.ledger.as_of
    return DueLine(
        f"recurring-{due.kind}-{due.name}",
        what,
        say("every %(every)s", every=show_interval(due.every)) if due.every else say("once"),
        due.last,
        due.due,
        bool(as_of and due.is_past(as_of)),
        translated(due.source),
        notes,
    )


def _sources(context: Context) -> tuple[str, ...]:
    """List the documents that limits come from, each as it was written."""
    book = context.book
    limits = [x for step in book.steps.values() for x in (*step.limits, *step.required_readings)]
    sources = [limit.source for limit in limits]
    sources += [limit.source for part in book.parts.values() for limit in part.limits]
    return tuple(sorted({source for source in sources if source}))
