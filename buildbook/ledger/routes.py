"""Routes: for every piece, which operations are done, which comes next, and what holds it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NamedTuple

from buildbook.ledger.progress import ProgressLedger, StepState
from buildbook.ledger.time import Stint
from buildbook.records.book import Book
from buildbook.records.labels import Piece
from buildbook.records.part import Part


class CellState(StrEnum):
    """Where one piece stands with one operation."""

    DONE = "done"
    NOT_NEEDED = "not needed"
    NEXT = "next"
    WAITING = "waiting"
    HELD = "held"
    """It would be next, and a squawk on the piece is not closed."""
    UNRECORDED = "not recorded"
    """Every step that does it is finished, and no session names the piece."""
    OFF = "scrapped"


class Cell(NamedTuple):
    """One piece and one operation; pieces done together share one."""

    state: CellState
    session: str | None = None
    """Session in which it was last done."""
    on: date | None = None
    """When it was last done."""
    times: int = 0
    """How often it was done; more than once is rework."""


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece along its part's route."""

    piece: Piece
    cells: tuple[Cell, ...]
    """One for each operation of the sheet."""
    held_by: tuple[int, ...]
    """Numbers of the squawks on it that are not closed."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Pieces down, operations across."""

    part: str
    operations: tuple[str, ...]
    """The route in order, then what is not needed."""
    rows: tuple[PieceRow, ...]

    def column(self, operation: str) -> list[Cell]:
        """Return the cells of one operation, of the pieces to be fitted."""
        at = self.operations.index(operation)
        return [r.cells[at] for r in self.rows if r.piece.fitted]


@dataclass(frozen=True, slots=True)
class Routes:
    """The sheets of all parts, and what is left to do."""

    sheets: dict[str, Sheet]
    remaining: dict[tuple[str, str, str], int]
    """Pieces still to be done, by step, part and operation."""


def routes(book: Book, stints: Iterable[Stint], progress: ProgressLedger) -> Routes:
    """Follow every piece along its part's route, once through the sessions."""
    done = _done(stints)
    held: dict[str, list[int]] = defaultdict(list)
    for number, squawk in sorted(book.squawks.items()):
        if not squawk.closed:
            for label in squawk.pieces:
                held[label].append(number)
    steps_of = _steps_of(book)
    finished = {n for n, s in progress.steps.items() if s.state is StepState.FINISHED}
    sheets = {
        number: _sheet(book, part, done, held, steps_of, finished)
        for number, part in book.parts.items()
    }
    return Routes(sheets, _remaining(sheets, steps_of, finished))


_Done = dict[str, dict[str, Cell]]
"""What is done, by operation and label."""


def _done(stints: Iterable[Stint]) -> _Done:
    done: _Done = defaultdict(dict)
    for stint in stints:
        if not stint.operation:
            continue
        cells = done[stint.operation]
        once = Cell(CellState.DONE, stint.session, stint.date, 1)
        for labels in stint.pieces:
            for label in labels:
                before = cells.get(label)
                cells[label] = once._replace(times=before.times + 1) if before else once
    return done


def _steps_of(book: Book) -> dict[tuple[str, str], tuple[str, ...]]:
    """List the steps in which an operation is done on a part, by part and operation."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name, step in book.steps.items():
        for operation in book.operations_of(step):
            for number in step.parts:
                found[number, operation].append(name)
    return {key: tuple(names) for key, names in found.items()}


def _sheet(
    book: Book,
    part: Part,
    done: _Done,
    held: dict[str, list[int]],
    steps_of: dict[tuple[str, str], tuple[str, ...]],
    finished: set[str],
) -> Sheet:
    operations = tuple(dict.fromkeys((*part.route, *part.not_needed)))
    over = {op for op in operations if (s := steps_of.get((part.part, op))) and finished >= set(s)}
    # What a cell says when the piece is not done there: the same for all pieces but for the first.
    undone = [_undone(part, operation, over) for operation in operations]
    columns = [done.get(operation, {}) for operation in operations]
    rows = []
    for piece in book.pieces[part.part]:
        holding = tuple(held.get(piece.label, ()))
        ahead = _HELD if holding else _NEXT
        cells = []
        for column, otherwise in zip(columns, undone, strict=True):
            cell = column.get(piece.label)
            if cell is None:
                cell = otherwise
                if otherwise is _WAITING:
                    if piece.scrapped:
                        cell = _OFF
                    else:
                        cell, ahead = ahead, _WAITING
            cells.append(cell)
        rows.append(PieceRow(piece, tuple(cells), holding))
    return Sheet(part.part, operations, tuple(rows))


_NEXT, _WAITING, _HELD = (
    Cell(CellState.NEXT),
    Cell(CellState.WAITING),
    Cell(CellState.HELD),
)
_NOT_NEEDED, _UNRECORDED, _OFF = (
    Cell(CellState.NOT_NEEDED),
    Cell(CellState.UNRECORDED),
    Cell(CellState.OFF),
)


def _undone(part: Part, operation: str, over: set[str]) -> Cell:
    if operation in part.not_needed:
        return _NOT_NEEDED
    return _UNRECORDED if operation in over else _WAITING


_LEFT = frozenset((CellState.NEXT, CellState.WAITING, CellState.HELD))


def _remaining(
    sheets: dict[str, Sheet],
    steps_of: dict[tuple[str, str], tuple[str, ...]],
    finished: set[str],
) -> dict[tuple[str, str, str], int]:
    """Count the pieces left, each under the first unfinished step that does the operation."""
    left = {}
    for number, sheet in sheets.items():
        for operation in sheet.operations:
            count = sum(cell.state in _LEFT for cell in sheet.column(operation))
            steps = [s for s in steps_of.get((number, operation), ()) if s not in finished]
            if count and steps:
                left[steps[0], number, operation] = count
    return left
