"""Closing a step: what the record still lacks before what is inside cannot be seen any more."""

from dataclasses import dataclass

from buildbook.ledger.ledger import Ledger
from buildbook.ledger.progress import StepState
from buildbook.ledger.routes import CellState
from buildbook.records.book import Book


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that is missing."""

    what: str
    """Kind: `work`, `pieces`, `photo`, `inspection` or `squawk`."""
    said: str
    """In words, without a full stop."""


def lacks(ledger: Ledger, book: Book, step_name: str) -> tuple[Lack, ...]:
    """List what is missing before a step is closed, in the order a builder would see to it.

    Work: the step is not recorded as finished, or pieces of its parts have yet to be done in one
    of its operations. Photos and inspections: those the step asks for. Squawks: not closed, and
    on this step or to be closed before it. What the plans ask for beyond that is not known here.
    """
    step, routes = book.steps[step_name], ledger.routes
    signoffs = ledger.signoffs_of_step[step_name]
    found = []
    if ledger.progress.steps[step_name].state is not StepState.FINISHED:
        found.append(Lack("work", "no session says that the step is finished"))
    for part in step.parts:
        for operation in book.operations_of(step):
            if count := routes.remaining.get((step_name, part, operation)):
                pieces = "1 piece" if count == 1 else f"{count} pieces"
                known = book.operations.get(operation)
                title = known.title if known else operation
                found.append(Lack("pieces", f"{pieces} of {part} to do: {title}"))
    for sheet in (routes.sheets[p] for p in step.parts if p in routes.sheets):
        held = [
            r.piece.label for r in sheet.rows if any(c.state is CellState.HELD for c in r.cells)
        ]
        if held:
            found.append(Lack("pieces", f"held by a squawk: {', '.join(held)}"))
    touching = ledger.links.of("steps", step_name)
    shown = {s.photo.shows for s in touching.shots if s.photo.file in book.photo_files}
    found += [
        Lack("photo", f"photo asked for: {p}") for p in step.required_photos if p not in shown
    ]
    signed = {s.inspection for s in signoffs}
    found += [
        Lack("inspection", f"not signed off: {i}") for i in step.inspections if i not in signed
    ]
    for number in touching.squawks:
        squawk = book.squawks[number]
        if not squawk.closed and step_name in (squawk.step, squawk.before):
            found.append(Lack("squawk", f"squawk {number} is {squawk.state}: {squawk.title}"))
    return tuple(found)
