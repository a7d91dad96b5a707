"""Time left: the minutes every unfinished step still wants, and where the figure comes from."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from buildbook.ledger.pace import Pace, PaceLedger
from buildbook.ledger.progress import StepProgress, StepState

Remaining = Mapping[tuple[str, str, str], int]
"""Pieces still to be done, by step, part number and operation."""

STEADY = (1.5, 1.25, 1 / 1.25, 1 / 1.5)
"""Made-up ratios of actual to estimated hours that stand beside the builder's own: as far above 1
as below. They keep a few finished steps from speaking too loudly, and fade as more are finished.
How many and how wide is chosen by judgement, and tried out in `bench/backtest.py`."""
FLOOR = 0.1
"""A step begun and not finished has at least this share of its estimate left."""
MIN_PIECES = 3
"""Pieces of a part that must have been done before their pace is taken for the others."""


class Basis(StrEnum):
    """What a step's time left is worked out from."""

    PIECES = "pieces left, at the pace of that part's pieces done"
    ESTIMATE = "estimate, at your own ratio of actual to estimated hours"
    OPERATION = "pieces left, at the operation's pace on all parts"
    NOTHING = "neither an estimate nor a pace"


@dataclass(frozen=True, slots=True)
class StepLeft:
    """What an unfinished step still wants."""

    step: str
    basis: Basis
    minutes: int
    """Clock minutes left; 0 where nothing is known."""
    estimate: int
    spent: int


@dataclass(frozen=True, slots=True)
class Left:
    """What the whole build still wants."""

    ratio: float
    """Actual over estimated time of finished steps, drawn towards 1."""
    ratios: tuple[float, ...]
    """Actual over estimated time of each finished step, in the order of the book."""
    steps: dict[str, StepLeft]
    """Every unfinished step, in the order of the book."""
    of_section: dict[str, int]
    """Clock minutes left in each section that has an unfinished step."""
    planned: int
    """Steps of the book, the finished ones included."""

    @property
    def minutes(self) -> int:
        """Clock minutes left in all."""
        return sum(self.of_section.values())

    @property
    def unknown(self) -> tuple[str, ...]:
        """Unfinished steps with neither an estimate nor a pace, which are in no figure."""
        return tuple(n for n, s in self.steps.items() if s.basis is Basis.NOTHING)


def ratio(ratios: Iterable[float]) -> float:
    """Return the geometric mean of the ratios together with the four of STEADY.

    As those cancel each other out, this is exp(sum of ln(ratio) / (n + 4)): 1 where no step is
    finished. A step of two hours counts as much as one of twenty. Weighing by estimates was tried
    and foretold worse.
    """
    pool = (*ratios, *STEADY)
    return math.exp(math.fsum(map(math.log, pool)) / len(pool))


def left(
    steps: Mapping[str, StepProgress],
    paces: PaceLedger | None = None,
    remaining: Remaining | None = None,
) -> Left:
    """Work out the minutes left, by the first of these that a step allows.

    1. The pieces left in the step, at the pace of the pieces of the same part in the same
       operation, where every one of them has a pace from at least three pieces.
    2. The estimate at the builder's ratio: `estimate * ratio` for a step ahead,
       `estimate * ratio - spent` for a step begun; more, where those of the pieces left that have
       such a pace ask for more.
    3. The pieces left at the operation's pace over all parts, which says little, as parts differ.

    A step with an estimate never has less than a tenth of it left while it is not finished.
    """
    ratios = tuple(
        s.clock / s.estimate
        for s in steps.values()
        if s.state is StepState.FINISHED and s.estimate and s.clock
    )
    own = ratio(ratios)
    pieces: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
    for (step, part, operation), count in (remaining or {}).items():
        pieces[step].append((operation, part, count))
    rows = {}
    of_section: dict[str, int] = defaultdict(int)
    for name, one in steps.items():
        if one.state is StepState.FINISHED:
            continue
        rows[name] = row = _step_left(one, own, paces, pieces.get(name, []))
        of_section[name.partition("/")[0]] += row.minutes
    return Left(own, ratios, rows, dict(of_section), len(steps))


def _step_left(
    step: StepProgress,
    own: float,
    paces: PaceLedger | None,
    pieces: list[tuple[str, str, int]],
) -> StepLeft:
    estimate = step.estimate or 0

    def row(basis: Basis, minutes: float) -> StepLeft:
        whole = max(1, round(max(minutes, FLOOR * estimate))) if basis is not Basis.NOTHING else 0
        return StepLeft(step.step, basis, whole, estimate, step.clock)

    of_part = [(paces.of_part(op, part), n) for op, part, n in pieces] if paces else []
    if of_part and all(p is not None and p.pieces >= MIN_PIECES for p, _ in of_part):
        return row(Basis.PIECES, _minutes(of_part))
    if estimate:
        # Never less than what the pieces with a pace of their own ask for: an estimate that is
        # used up says nothing about pieces that are still to be done.
        known = _minutes([(p, n) for p, n in of_part if p is not None and p.pieces >= MIN_PIECES])
        by_estimate = estimate * own - step.clock
        return row(Basis.PIECES if known > by_estimate else Basis.ESTIMATE, max(known, by_estimate))
    if paces and pieces:
        of_all = [(paces.by_operation.get(op), count) for op, _, count in pieces]
        if all(p is not None and p.pieces for p, _ in of_all):
            return row(Basis.OPERATION, _minutes(of_all))
    return row(Basis.NOTHING, 0)


def _minutes(counted: list[tuple[Pace | None, int]]) -> float:
    return sum(pace.minutes_for(count) for pace, count in counted if pace)
