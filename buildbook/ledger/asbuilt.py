"""As built: what is in each assembly, for whoever owns the aircraft later."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.ledger.links import Links, Measured, Shot
from buildbook.ledger.notices import NoticeLedger, NoticeState
from buildbook.records.book import Book
from buildbook.records.section import Section
from buildbook.records.signoff import SignOff
from buildbook.records.stages import Stage

_REPAIRS = ("rework", "repair", "replace")


@dataclass(frozen=True, slots=True)
class Assembly:
    """One section as it was built."""

    section: str
    parts: tuple[str, ...]
    """Followed piece by piece, in the order of the steps."""
    hardware: tuple[str, ...]
    """Rivets, bolts and the like."""
    torques: tuple[Measured, ...]
    hidden: tuple[Shot, ...]
    """Pictures of what cannot be seen any more: those that steps ask for, then others of steps
    that close the structure."""
    closed: bool
    """Every step that closes it is finished."""
    repairs: tuple[int, ...]
    """Squawks settled by rework, repair or replacement."""
    accepted: tuple[int, ...]
    """Squawks that were left as they are."""
    open: tuple[int, ...]
    """Squawks not settled."""
    notices: tuple[str, ...]
    """Carried out on it."""
    signed: tuple[SignOff, ...]
    tools: tuple[str, ...]
    """That its steps need."""
    lessons: tuple[int, ...]
    equipment: tuple[str, ...]


def as_built(
    book: Book,
    links: Links,
    notices: NoticeLedger,
    stages: Mapping[str, Stage],
    lessons_of_step: Mapping[str, Iterable[int]],
) -> dict[str, Assembly]:
    """Collect every section as it was built."""
    return {
        name: _assembly(book, name, section, links, notices, stages, lessons_of_step)
        for name, section in book.sections.items()
    }


def _assembly(
    book: Book,
    name: str,
    section: Section,
    links: Links,
    notices: NoticeLedger,
    stages: Mapping[str, Stage],
    lessons_of_step: Mapping[str, Iterable[int]],
) -> Assembly:
    steps = {f"{name}/{step.step}": step for step in section.steps}
    listed = dict.fromkeys(number for step in steps.values() for number in step.parts)
    numbers = [number for number in listed if number in book.parts]
    touching = links.of("sections", name)
    squawks = [
        book.squawks[n]
        for n in sorted(touching.squawks)
        if (book.squawks[n].step or "").startswith(f"{name}/")
    ]
    decided = {s.squawk: s.disposition.decision for s in squawks if s.disposition and s.closed}
    carried_out = (
        number
        for number in notices.of_section.get(name, ())
        if notices.rows[number].state in (NoticeState.DONE, NoticeState.RECURRING)
    )
    closing = [step_name for step_name, step in steps.items() if step.closes]
    return Assembly(
        section=name,
        parts=tuple(n for n in numbers if not book.parts[n].hardware),
        hardware=tuple(n for n in numbers if book.parts[n].hardware),
        torques=tuple(
            measured
            for step_name in steps
            for measured in links.of("steps", step_name).readings
            if measured.reading.values[0].dimension == "torque"
        ),
        hidden=tuple(_hidden(book, touching.shots, closing, stages)),
        closed=bool(closing) and all(stages[step_name].finished for step_name in closing),
        repairs=tuple(n for n, decision in decided.items() if decision in _REPAIRS),
        accepted=tuple(n for n, decision in decided.items() if decision not in _REPAIRS),
        open=tuple(s.squawk for s in squawks if s.squawk not in decided),
        notices=tuple(carried_out),
        signed=tuple(s for step_name in steps for s in stages[step_name].signed),
        tools=tuple(dict.fromkeys(t for s in steps.values() for t in s.tools if t in book.tools)),
        lessons=tuple(
            sorted({n for step_name in steps for n in lessons_of_step.get(step_name, ())})
        ),
        equipment=tuple(n for n, item in book.equipment.items() if item.section == name),
    )


def _hidden(
    book: Book, shots: Iterable[Shot], closing: list[str], stages: Mapping[str, Stage]
) -> list[Shot]:
    """List pictures that steps ask for, then others of closing steps from before they were closed.

    Those of the day itself may show it closed.
    """
    there = [
        shot
        for shot in shots
        if shot.photo.file in book.photo_files and shot.photo.file not in book.withheld
    ]
    asked = [shot for shot in there if shot.photo.shows]
    others = [shot for shot in there if not shot.photo.shows and shot.step in closing]
    ends = {name: stages[name].finished for name in closing}
    return asked + [
        shot
        for shot in others
        if shot.step
        and (not (end := ends[shot.step]) or book.sessions[shot.session].date < end.date)
    ]
