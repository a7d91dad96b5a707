"""What comes next: for every unfinished step, the pieces that may be worked on and what holds."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.ledger.closing import Lack, lacks
from buildbook.ledger.ledger import Ledger
from buildbook.ledger.progress import StepState
from buildbook.ledger.routes import CellState
from buildbook.records.book import Book


@dataclass(frozen=True, slots=True)
class WorkAhead:
    """One operation on the pieces of one part."""

    part: str
    operation: str
    ready: tuple[str, ...]
    """Marks of the pieces for which it comes next along their route."""
    held: tuple[tuple[str, tuple[int, ...]], ...]
    """Marks of pieces for which it would come next, each with the squawks that hold it."""
    waiting: int
    """Pieces for which another operation comes first."""


@dataclass(frozen=True, slots=True)
class StepAhead:
    """An unfinished step."""

    step: str
    state: StepState
    clock: int
    """Minutes spent on it, by the clock."""
    estimate: int | None
    """Minutes planned."""
    work: tuple[WorkAhead, ...]
    """Operations not yet done on all pieces, along the routes; the steps that come earlier in the
    book have theirs first."""
    squawks: tuple[int, ...]
    """Squawks that are not closed, on the step or to be closed before it is."""
    lessons: tuple[int, ...]
    """Lessons that apply."""
    lacks: tuple[Lack, ...]
    """Of a step begun: what the record lacks before it is closed."""


def ahead(ledger: Ledger, book: Book, section: str | None = None) -> tuple[StepAhead, ...]:
    """List the unfinished steps in the order of the book, of one section when it is named."""
    left: dict[str, list[tuple[str, str]]] = {}
    for step, part, operation in ledger.routes.remaining:
        left.setdefault(step, []).append((part, operation))
    return tuple(
        _step(ledger, book, name, left.get(name, []))
        for name, progress in ledger.progress.steps.items()
        if progress.state is not StepState.FINISHED
        and (section is None or name.partition("/")[0] == section)
    )


def _step(ledger: Ledger, book: Book, name: str, left: list[tuple[str, str]]) -> StepAhead:
    progress = ledger.progress.steps[name]
    order = {operation: i for i, operation in enumerate(book.operations_of(book.steps[name]))}
    left.sort(key=lambda task: (order.get(task[1], len(order)), task[1]))
    open_ = [
        number
        for number in ledger.links.of("steps", name).squawks
        if not book.squawks[number].closed
        and name in (book.squawks[number].step, book.squawks[number].before)
    ]
    return StepAhead(
        step=name,
        state=progress.state,
        clock=progress.clock,
        estimate=progress.estimate,
        work=tuple(_work(ledger, part, operation) for part, operation in left),
        squawks=tuple(open_),
        lessons=ledger.lessons_of_step[name],
        lacks=lacks(ledger, book, name) if progress.state is StepState.BEGUN else (),
    )


def _work(ledger: Ledger, part: str, operation: str) -> WorkAhead:
    sheet = ledger.routes.sheets[part]
    at = sheet.operations.index(operation)
    rows = [(row, row.cells[at].state) for row in sheet.rows if row.piece.fitted]
    return WorkAhead(
        part,
        operation,
        tuple(row.piece.mark for row, state in rows if state is CellState.NEXT),
        tuple((row.piece.mark, row.held_by) for row, state in rows if state is CellState.HELD),
        sum(state is CellState.WAITING for _, state in rows),
    )


def in_runs(marks: Iterable[str]) -> list[str]:
    """Write marks the way sessions name them: `01`, `02`, `03` and `07` as `01 to 03` and `07`."""
    runs: list[list[str]] = []
    for mark in marks:
        if runs and _follows(runs[-1][-1], mark):
            runs[-1].append(mark)
        else:
            runs.append([mark])
    return [run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]


def _follows(mark: str, after: str) -> bool:
    one, other = (re.fullmatch(r"(.*?)(\d+)", m) for m in (mark, after))
    if not one or not other or one[1] != other[1] or len(other[2]) < len(one[2]):
        return False
    return int(other[2]) == int(one[2]) + 1 and f"{int(other[2]):0{len(one[2])}}" == other[2]
