"""Closing a step: what the record still lacks before what is inside cannot be seen any more."""

from collections.abc import Iterator
from dataclasses import dataclass

from buildbook.ledger.ledger import Ledger
from buildbook.ledger.links import Touching
from buildbook.ledger.progress import StepState
from buildbook.ledger.routes import CellState
from buildbook.records.book import Book
from buildbook.records.section import Step


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that is missing."""

    what: str
    """Kind: `work`, `pieces`, `reading`, `photo`, `lot`, `inspection`, `squawk` or `notice`."""
    said: str
    """In words, without a full stop."""


def lacks(ledger: Ledger, book: Book, step_name: str) -> tuple[Lack, ...]:
    """List what is missing before a step is closed, in the order a builder would see to it.

    Work: the step is not recorded as finished, or pieces of its parts have yet to be done in one
    of its operations. Readings: those the step asks for, measured and inside their limits. Photos
    and inspections: those the step asks for; of inspections only those count that were signed
    after it was last opened again. Lots: none used past its date. Squawks: not closed, and on this
    step or to be closed before it. Notices: to be done before it, and never done. What the plans
    ask for beyond that is not known here.
    """
    step, touching = book.steps[step_name], ledger.links.of("steps", step_name)
    return (
        *_work(ledger, book, step_name, step),
        *(Lack("reading", a.lack) for a in ledger.readings.asked.get(step_name, ()) if a.lack),
        *_photos(book, step, touching),
        *_lots(ledger, step_name),
        *_inspections(ledger, step_name, step),
        *_squawks(book, step_name, touching),
        *_notices(ledger, step_name),
    )


def _work(ledger: Ledger, book: Book, step_name: str, step: Step) -> Iterator[Lack]:
    routes, stage = ledger.routes, ledger.stages[step_name]
    if ledger.progress.steps[step_name].state is not StepState.FINISHED:
        said = "no session says that the step is finished"
        if stage.reopened:
            said = f"opened again on {stage.reopened.date}, and not finished since"
        yield Lack("work", said)
    for part in step.parts:
        for operation in book.operations_of(step):
            if count := routes.remaining.get((step_name, part, operation)):
                pieces = "1 piece" if count == 1 else f"{count} pieces"
                known = book.operations.get(operation)
                title = known.title if known else operation
                yield Lack("pieces", f"{pieces} of {part} to do: {title}")
    for sheet in (routes.sheets[p] for p in step.parts if p in routes.sheets):
        held = [
            r.piece.label for r in sheet.rows if any(c.state is CellState.HELD for c in r.cells)
        ]
        if held:
            yield Lack("pieces", f"held by a squawk: {', '.join(held)}")


def _photos(book: Book, step: Step, touching: Touching) -> Iterator[Lack]:
    shown = {s.photo.shows for s in touching.shots if s.photo.file in book.photo_files}
    for photo in step.required_photos:
        if photo not in shown:
            yield Lack("photo", f"photo asked for: {photo}")


def _lots(ledger: Ledger, step_name: str) -> Iterator[Lack]:
    for use in ledger.lots.out_of_date_in(step_name):
        days = "1 day" if use.past == 1 else f"{use.past} days"
        yield Lack("lot", f"lot {use.lot} was {days} past its date when it was used on {use.date}")


def _inspections(ledger: Ledger, step_name: str, step: Step) -> Iterator[Lack]:
    stage = ledger.stages[step_name]
    signed = {s.inspection for s in stage.signed}
    before = {s.inspection for s in stage.lapsed}
    for inspection in step.inspections:
        if inspection not in signed:
            again = " again" if inspection in before else ""
            yield Lack("inspection", f"not signed off{again}: {inspection}")


def _squawks(book: Book, step_name: str, touching: Touching) -> Iterator[Lack]:
    for number in touching.squawks:
        squawk = book.squawks[number]
        if not squawk.closed and step_name in (squawk.step, squawk.before):
            yield Lack("squawk", f"squawk {number} is {squawk.state}: {squawk.title}")


def _notices(ledger: Ledger, step_name: str) -> Iterator[Lack]:
    for row in ledger.notices.in_the_way(step_name):
        yield Lack("notice", f"notice {row.notice.notice} is {row.state.value}: {row.notice.title}")
