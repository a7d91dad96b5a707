"""Closing a step: what the record still lacks before what is inside cannot be seen any more."""

from collections.abc import Iterator
from dataclasses import dataclass

from buildbook.ledger.ledger import Ledger
from buildbook.ledger.links import Touching
from buildbook.ledger.progress import StepState
from buildbook.ledger.routes import CellState
from buildbook.records.book import Book
from buildbook.records.sayings import Saying, counted
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
        said = Saying("no session says that the step is finished")
        if stage.reopened:
            day = stage.reopened.date
            said = Saying("opened again on %(day)s, and not finished since", day=day)
        yield Lack("work", said)
    for part in step.parts:
        for operation in book.operations_of(step):
            if count := routes.remaining.get((step_name, part, operation)):
                known = book.operations.get(operation)
                title = known.title if known else operation
                said = counted(
                    "%(n)s piece of %(part)s to do: %(title)s",
                    "%(n)s pieces of %(part)s to do: %(title)s",
                    n=count,
                    part=part,
                    title=title,
                )
                yield Lack("pieces", said)
    for sheet in (routes.sheets[p] for p in step.parts if p in routes.sheets):
        held = [
            r.piece.label for r in sheet.rows if any(c.state is CellState.HELD for c in r.cells)
        ]
        if held:
            yield Lack("pieces", Saying("held by a squawk: %(pieces)s", pieces=", ".join(held)))


def _photos(book: Book, step: Step, touching: Touching) -> Iterator[Lack]:
    shown = {s.photo.shows for s in touching.shots if s.photo.file in book.photo_files}
    for photo in step.required_photos:
        if photo not in shown:
            yield Lack("photo", Saying("photo asked for: %(photo)s", photo=photo))


def _lots(ledger: Ledger, step_name: str) -> Iterator[Lack]:
    for use in ledger.lots.out_of_date_in(step_name):
        said = counted(
            "lot %(lot)s was %(n)s day past its date when it was used on %(day)s",
            "lot %(lot)s was %(n)s days past its date when it was used on %(day)s",
            n=use.past,
            lot=use.lot,
            day=use.date,
        )
        yield Lack("lot", said)


def _inspections(ledger: Ledger, step_name: str, step: Step) -> Iterator[Lack]:
    stage = ledger.stages[step_name]
    signed = {s.inspection for s in stage.signed}
    before = {s.inspection for s in stage.lapsed}
    for inspection in step.inspections:
        if inspection not in signed:
            again = Saying("not signed off again: %(inspection)s", inspection=inspection)
            never = Saying("not signed off: %(inspection)s", inspection=inspection)
            yield Lack("inspection", again if inspection in before else never)


def _squawks(book: Book, step_name: str, touching: Touching) -> Iterator[Lack]:
    for number in touching.squawks:
        squawk = book.squawks[number]
        if not squawk.closed and step_name in (squawk.step, squawk.before):
            said = Saying(
                "squawk %(number)s is %(state)s: %(title)s",
                number=number,
                state=Saying(squawk.state),
                title=squawk.title,
            )
            yield Lack("squawk", said)


def _notices(ledger: Ledger, step_name: str) -> Iterator[Lack]:
    for row in ledger.notices.in_the_way(step_name):
        said = Saying(
            "notice %(number)s is %(state)s: %(title)s",
            number=row.notice.notice,
            state=Saying(row.state.value),
            title=row.notice.title,
        )
        yield Lack("notice", said)
