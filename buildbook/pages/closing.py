"""Before a step is closed: what it asks for, what is missing, what was signed, and its history."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.ledger.closing import Lack, lacks
from buildbook.ledger.links import Shot
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.pages.readings import AskedView, asked_views
from buildbook.pages.words import say, show_date, translated
from buildbook.records.section import Step


@dataclass(frozen=True, slots=True)
class InspectionView:
    """A check a step asks for, and who signed it off."""

    what: str
    by: Link | None
    role: str
    date: str
    reference: str
    notes: Markup


@dataclass(frozen=True, slots=True)
class EventView:
    """Something that happened to a step's closing."""

    date: date
    what: str
    """`Finished`, `Opened again` or `Signed off`."""
    who: tuple[Link, ...]
    detail: Markup
    """The reason, or the inspection with its reference."""
    session: Link | None
    counts: bool
    """It still holds: nothing that came before the last opening does."""


@dataclass(frozen=True, slots=True)
class ClosingView:
    """A step's closing."""

    closes: bool
    """After this step what is inside cannot be seen."""
    asks: bool
    """There is something to see to."""
    lacks: tuple[Lack, ...]
    """What is missing before it is closed."""
    readings: tuple[AskedView, ...]
    inspections: tuple[InspectionView, ...]
    photos: tuple[tuple[str, Link | None], ...]
    """A photo asked for, and the one that shows it."""
    history: tuple[EventView, ...]
    """In order; only of a step that was opened again."""


def closing_view(context: Context, name: str, step: Step, shots: Iterable[Shot]) -> ClosingView:
    """Make the view of a step's closing."""
    inspections = _inspections(context, name, step)
    missing = lacks(context.ledger, context.book, name)
    asks = bool(step.closes or inspections or step.required_photos or step.required_readings)
    asks |= any(lack.what in ("squawk", "notice") for lack in missing)  # these hold any step up
    return ClosingView(
        closes=step.closes,
        asks=asks,
        lacks=tuple(Lack(m.what, translated(m.said)) for m in missing) if asks else (),
        readings=asked_views(context, name),
        inspections=inspections,
        photos=_photos(context, step, shots),
        history=_history(context, name),
    )


def _inspections(context: Context, name: str, step: Step) -> tuple[InspectionView, ...]:
    signed = {s.inspection: s for s in context.ledger.stages[name].signed}
    rows = []
    for what in dict.fromkeys((*step.inspections, *signed)):
        done = signed.get(what)
        rows.append(
            InspectionView(
                what,
                context.person_link(done.by) if done else None,
                translated(done.role or "") if done else "",
                show_date(done.date) if done else "",
                (done.reference or "") if done else "",
                context.prose.html(done.notes if done else None),
            )
        )
    return tuple(rows)


def _photos(
    context: Context, step: Step, shots: Iterable[Shot]
) -> tuple[tuple[str, Link | None], ...]:
    there = {s.photo.shows: s for s in shots if s.photo.file in context.book.photo_files}
    rows = []
    for what in step.required_photos:
        shot = there.get(what)
        place = f"{paths.session(shot.session)}#{shot.anchor}" if shot else ""
        rows.append((what, Link(shot.photo.caption, place) if shot else None))
    return tuple(rows)


def _history(context: Context, name: str) -> tuple[EventView, ...]:
    if not context.ledger.stages[name].reopened:
        return ()
    return tuple(sorted(_events(context, name), key=lambda event: event.date))


def _events(context: Context, name: str) -> Iterator[EventView]:
    """Yield all events; those of one day in the order of the work, and what was signed last."""
    stage = context.ledger.stages[name]
    last = max(i for i, turn in enumerate(stage.turns) if not turn.finished)
    for i, turn in enumerate(stage.turns):
        yield EventView(
            turn.date,
            say("Finished") if turn.finished else say("Opened again"),
            tuple(map(context.person_link, turn.who)),
            context.prose.inline("" if turn.finished else turn.work.reopened),
            context.session_link(turn.session),
            counts=i >= last,
        )
    for signoff in (*stage.lapsed, *stage.signed):
        reference = f" ({signoff.reference})" if signoff.reference else ""
        yield EventView(
            signoff.date,
            say("Signed off"),
            (context.person_link(signoff.by),),
            context.prose.inline(f"{signoff.inspection}{reference}"),
            None,
            counts=signoff in stage.signed,
        )
