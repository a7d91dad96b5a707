"""Pace: minutes per piece by operation, and how they fall as pieces are made.

Only work that names its operation and the pieces of every part it names can tell a pace. A piece
counts once for an operation, the first time. Time spent on it again (rework, or further holes in
a later step) is kept apart, and is part of what a piece takes in all.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from buildbook.ledger.time import Stint, share
from buildbook.reference.learning import Curve, Lot, fit

MIN_SESSIONS = 4
"""Sessions with pieces that a curve needs: two for the line, and two to see how well it lies."""
MIN_PIECES = 8
"""Pieces that a curve needs: three doublings."""
STEEPEST, FLATTEST = 0.5, 1.0
"""Slopes that can be learning. Steeper ones come from unlike pieces, flatter ones are no gain."""


class NoCurve(StrEnum):
    """Why only the mean and the range are shown."""

    FEW_SESSIONS = f"fewer than {MIN_SESSIONS} sessions with pieces"
    FEW_PIECES = f"fewer than {MIN_PIECES} pieces"
    NO_FIT = "no curve fits these sessions"
    SLOWER = "later pieces took longer than earlier ones"
    TOO_STEEP = "the times fall faster than learning explains; the pieces are not alike"
    NO_BETTER = "a curve foretells these sessions no better than their mean"


@dataclass(frozen=True, slots=True)
class PaceRow:
    """What one session did on the pieces of one operation."""

    session: str
    date: date
    operation: str
    part: str
    """Part number; empty where the pieces of several parts are added up."""
    pieces: int
    """Pieces done for the first time."""
    minutes: int
    """Clock minutes on them."""
    again: int
    """Pieces that this operation had been done on before."""
    again_minutes: int

    @property
    def per_piece(self) -> float | None:
        """Minutes a new piece; None where there was none."""
        return self.minutes / self.pieces if self.pieces else None


@dataclass(frozen=True, slots=True)
class Pace:
    """How long a piece takes in one operation, on one part or on all."""

    operation: str
    part: str
    """Part number; empty for the operation on all parts."""
    rows: tuple[PaceRow, ...]
    """A session each, as they happened."""
    curve: Curve | None
    why: NoCurve | None
    """Why there is no curve."""

    @property
    def sessions(self) -> int:
        """Sessions with new pieces."""
        return sum(row.pieces > 0 for row in self.rows)

    @property
    def pieces(self) -> int:
        """Pieces done."""
        return sum(row.pieces for row in self.rows)

    @property
    def minutes(self) -> int:
        """Clock minutes on pieces done for the first time."""
        return sum(row.minutes for row in self.rows)

    @property
    def again_minutes(self) -> int:
        """Clock minutes on pieces done again."""
        return sum(row.again_minutes for row in self.rows)

    @property
    def per_piece(self) -> float:
        """Minutes a piece the first time: minutes over pieces; 0 where there are none."""
        return self.minutes / self.pieces if self.pieces else 0.0

    @property
    def range(self) -> tuple[float, float]:
        """Minutes a piece in the quickest and in the slowest session."""
        each = [row.minutes / row.pieces for row in self.rows if row.pieces]
        return (min(each), max(each)) if each else (0.0, 0.0)

    def minutes_for(self, count: int) -> float:
        """Minutes that the next `count` pieces will take, time on pieces done again included.

        By the curve where there is one, scaled so that it gives for the pieces done the time they
        really took (a curve fitted to logarithms runs a little below it); else by the mean.
        """
        if not self.pieces:
            return 0.0
        spent = self.minutes + self.again_minutes
        if self.curve is None:
            return count * spent / self.pieces
        done = self.pieces
        return spent * self.curve.run(done + 1, done + count) / self.curve.run(1, done)


class PaceLedger:
    """The pace of every operation whose sessions name pieces."""

    def __init__(
        self, rows: Iterable[PaceRow], untold: Mapping[str, int], setup: Mapping[str, int]
    ) -> None:
        self.untold = dict(untold)
        """Clock minutes of each operation in work that does not name its pieces."""
        self._setup = setup
        self._rows: dict[str, dict[str, list[PaceRow]]] = {}
        self._of_part: dict[tuple[str, str], Pace] = {}
        of_operation: dict[str, list[PaceRow]] = defaultdict(list)
        for row in rows:
            self._rows.setdefault(row.operation, {}).setdefault(row.part, []).append(row)
            of_operation[row.operation].append(row)
        self.by_operation = {
            op: _pace(op, "", some, setup.get(op, 0)) for op, some in of_operation.items()
        }

    def of_part(self, operation: str, part: str) -> Pace | None:
        """Return the pace of one operation on one part, worked out when it is first asked for."""
        key = operation, part
        rows = self._rows.get(operation, {}).get(part)
        if rows and key not in self._of_part:
            self._of_part[key] = _pace(operation, part, rows, self._setup.get(operation, 0))
        return self._of_part.get(key)

    def parts_of(self, operation: str) -> tuple[Pace, ...]:
        """Return the pace of an operation on each part, in the order they were first done."""
        paces = (self.of_part(operation, part) for part in self._rows.get(operation, {}))
        return tuple(p for p in paces if p)


def pace(stints: Iterable[Stint], setup: Mapping[str, int] | None = None) -> PaceLedger:
    """Work out the pace of every operation from stints as they happened.

    `setup` gives the minutes of a session that go into setting up, by operation; they are taken
    off before a curve is fitted, and off nothing else.
    """
    done: set[tuple[str, str]] = set()
    rows: list[PaceRow] = []
    untold: dict[str, int] = defaultdict(int)
    for stint in stints:
        if stint.operation is None:
            continue
        tells = bool(stint.minutes and stint.parts and all(stint.pieces))
        if not tells:
            untold[stint.operation] += stint.minutes
        for part, minutes, labels in zip(
            stint.parts, stint.part_minutes, stint.pieces, strict=True
        ):
            keys = {(stint.operation, label) for label in labels}
            new = len(keys - done)
            done |= keys
            if tells:
                again = len(keys) - new
                first, second = share(minutes, (new, again))
                rows.append(
                    PaceRow(
                        stint.session, stint.date, stint.operation, part, new, first, again, second
                    )
                )
    return PaceLedger(rows, {op: m for op, m in untold.items() if m}, setup or {})


def _pace(operation: str, part: str, rows: list[PaceRow], setup: int) -> Pace:
    merged = _by_session(rows, part)
    curve, why = _curve(merged, setup)
    return Pace(operation, part, merged, curve, why)


def _by_session(rows: list[PaceRow], part: str) -> tuple[PaceRow, ...]:
    """Add up the rows of each session."""
    sessions: dict[str, PaceRow] = {}
    for row in rows:
        first = sessions.get(row.session)
        sessions[row.session] = PaceRow(
            row.session,
            row.date,
            row.operation,
            part,
            row.pieces + (first.pieces if first else 0),
            row.minutes + (first.minutes if first else 0),
            row.again + (first.again if first else 0),
            row.again_minutes + (first.again_minutes if first else 0),
        )
    return tuple(sessions.values())


def _curve(rows: tuple[PaceRow, ...], setup: int) -> tuple[Curve | None, NoCurve | None]:
    """Fit a curve where the sessions bear one; else say why they do not."""
    lots = [Lot(row.pieces, row.minutes) for row in rows if row.pieces]
    if len(lots) < MIN_SESSIONS:
        return None, NoCurve.FEW_SESSIONS
    if sum(lot.pieces for lot in lots) < MIN_PIECES:
        return None, NoCurve.FEW_PIECES
    try:
        curve = fit(lots, setup)
    except ValueError:
        return None, NoCurve.NO_FIT
    if curve.slope > FLATTEST:
        return None, NoCurve.SLOWER
    if curve.slope < STEEPEST:
        return None, NoCurve.TOO_STEEP
    return (curve, None) if curve.better_than_mean else (None, NoCurve.NO_BETTER)
