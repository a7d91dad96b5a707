"""Learning curves, by the unit theory: how the time of one piece falls as pieces are made.

The unit theory (Crawford's) says that the time of the *n*-th piece alone is

    y(n) = a * n**b,    b = ln(slope) / ln(2)

so that every doubling of *n* multiplies the time of a piece by the slope: on an 80 % curve the
second piece takes 80 % of the first, the fourth 64 %. It is not the cumulative-average theory
(Wright's, 1936), in which the same formula gives the *average* of the first *n*; the two give
different totals from the same slope. Checked against tables printed in textbooks, and against the
NIST reference data for straight lines.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, linear_regression

_EXACT = 32
"""Terms summed one by one; beyond them the Euler-Maclaurin formula is right to twelve digits."""
_FLAT = 1e-6
"""Exponents nearer to nothing than this are counted as no learning at all."""
_ROUNDS = 200
_STEEPEST = 20.0
"""A doubling that changes the time a millionfold: the sessions are no learning curve."""


def exponent(slope: float) -> float:
    """Return b = ln(slope) / ln(2). Raises ValueError unless the slope is above nothing."""
    if slope <= 0:
        raise ValueError(f"a learning curve's slope is a share above 0, as 0.85; this is {slope}")
    return math.log2(slope)


def unit_factor(slope: float, n: float) -> float:
    """Return the time of the n-th piece alone, as a multiple of the first's.

    `slope` is a share (0.8 for an 80 % curve). Raises ValueError for n below 1.
    """
    if n < 1:
        raise ValueError(f"pieces are counted from 1; this is {n}")
    return float(n ** exponent(slope))


def cumulative_factor(slope: float, n: int) -> float:
    """Return the time of the first n pieces together, as a multiple of the first's; 0 for none.

    The first 32 terms are summed as they are, the rest by the Euler-Maclaurin formula up to the
    fifth derivative, whose error here is below 1e-12 of the sum; so the time this takes does not
    grow with n. Raises ValueError for n below 0.
    """
    if n < 0:
        raise ValueError(f"a number of pieces cannot be {n}")
    return _sum(exponent(slope), n)


def _sum(b: float, n: int) -> float:
    total = math.fsum(k**b for k in range(1, min(n, _EXACT) + 1))
    if n <= _EXACT:
        return total
    m = float(_EXACT)
    area = math.log(n / m) if abs(b + 1) < 1e-12 else (n ** (b + 1) - m ** (b + 1)) / (b + 1)  # noqa: PLR2004
    first = b * (n ** (b - 1) - m ** (b - 1))
    third = b * (b - 1) * (b - 2) * (n ** (b - 3) - m ** (b - 3))
    fifth = b * (b - 1) * (b - 2) * (b - 3) * (b - 4) * (n ** (b - 5) - m ** (b - 5))
    return float(total + area + (n**b - m**b) / 2 + first / 12 - third / 720 + fifth / 30240)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line y = intercept + slope * x, and how well it lies."""

    slope: float
    intercept: float
    spread: float
    """Residual standard deviation: the root of the squared residuals over n - 2."""
    predicted: float
    """Sum of the squared misses when each point is predicted from all the others."""
    predicted_flat: float
    """The same for the plain mean of the others, without a slope."""


def straight_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Fit by ordinary least squares: the sum of squared vertical distances is the smallest.

    Raises ValueError for fewer than three points or when all `x` are alike. The misses of a point
    left out come from its leverage h as residual / (1 - h), the textbook identity, so that nothing
    is fitted twice.
    """
    n = len(x)
    if n < 3:  # noqa: PLR2004 - two points leave nothing to tell how well a line lies
        raise ValueError(f"a line through {n} points says nothing about its spread")
    try:
        slope, intercept = linear_regression(x, y)
    except ValueError as error:
        raise ValueError("a line needs at least two different places") from error
    misses = [b - (intercept + slope * a) for a, b in zip(x, y, strict=True)]
    middle, level = fmean(x), fmean(y)
    width = math.fsum((a - middle) ** 2 for a in x)
    leverage = [1 / n + (a - middle) ** 2 / width for a in x]
    # A point that alone decides the slope (leverage 1) cannot be predicted from the others.
    predicted = math.fsum(
        (m / (1 - h)) ** 2 if h < 1 - 1e-9 else math.inf
        for m, h in zip(misses, leverage, strict=True)
    )
    return Line(
        slope,
        intercept,
        math.sqrt(math.fsum(m * m for m in misses) / (n - 2)),
        predicted,
        math.fsum(((b - level) * n / (n - 1)) ** 2 for b in y),
    )


@dataclass(frozen=True, slots=True)
class Lot:
    """Pieces made one after another in one session, and the minutes they took together."""

    pieces: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Curve:
    """A fitted learning curve."""

    first: float
    """Minutes of the first piece, a in y(n) = a * n**b."""
    slope: float
    """What a doubling multiplies the time of a piece by; above 1 the pieces took longer."""
    spread: float
    """Residual standard deviation of the logarithm; e**spread is about the usual factor off."""
    lots: int
    """Sessions fitted."""
    pieces: int
    """Pieces in them."""
    better_than_mean: bool
    """Each session is foretold better from the others by the curve than by their mean."""

    def unit(self, n: float) -> float:
        """Minutes of the n-th piece alone."""
        return self.first * unit_factor(self.slope, n)

    def run(self, first: int, last: int) -> float:
        """Minutes of pieces `first` to `last` together, counted from 1."""
        b = exponent(self.slope)
        return self.first * (_sum(b, last) - _sum(b, first - 1))


def lot_midpoint(b: float, first: int, last: int) -> float:
    """Return the piece whose own time is the mean time of pieces `first` to `last`.

    That is K with K**b = sum(n**b, n = first..last) / (last - first + 1): the algebraic lot
    midpoint of cost estimating. The sum is exact here, where handbooks use an integral. Without
    learning it is the geometric mean of the run, to which the formula tends. Raises ValueError
    for a run that is empty or starts below 1.
    """
    if not 1 <= first <= last:
        raise ValueError(f"{first} to {last} is not a run of pieces")
    count = last - first + 1
    if count == 1:
        return float(first)
    if abs(b) < _FLAT:
        return math.exp((math.lgamma(last + 1) - math.lgamma(first)) / count)
    return float(((_sum(b, last) - _sum(b, first - 1)) / count) ** (1 / b))


def fit(lots: Sequence[Lot], setup_minutes: float = 0) -> Curve:
    """Fit a unit-theory curve to sessions in the order they happened.

    A session is known by its total minutes for a run of pieces. Its mean time is placed at the
    run's lot midpoint, and the line ln(mean) = ln(a) + b * ln(midpoint) is fitted so that the sum
    over sessions of the squared difference of the logarithms is the smallest. The midpoints depend
    on b, so both are worked out in turn until b stands still (to 1e-10). Every session counts the
    same, however many pieces it had. `setup_minutes` is taken off each session first.

    Raises ValueError, in a sentence, for fewer than three sessions, sessions without pieces or
    without time left after setting up, and when b does not come to rest.
    """
    if any(lot.pieces < 1 for lot in lots):
        raise ValueError("a session without pieces cannot be placed on a learning curve")
    if any(lot.minutes <= setup_minutes for lot in lots):
        raise ValueError("a session has no time left after setting up")
    if len(lots) < 3:  # noqa: PLR2004
        raise ValueError(f"{len(lots)} sessions are too few for a learning curve")
    means = [math.log((lot.minutes - setup_minutes) / lot.pieces) for lot in lots]
    runs, made = [], 0
    for lot in lots:
        runs.append((made + 1, made + lot.pieces))
        made += lot.pieces
    b = 0.0
    for _ in range(_ROUNDS):
        line = straight_line([math.log(lot_midpoint(b, i, j)) for i, j in runs], means)
        if abs(line.slope - b) < 1e-10:  # noqa: PLR2004
            return Curve(
                math.exp(line.intercept),
                2**line.slope,
                line.spread,
                len(lots),
                made,
                line.predicted < line.predicted_flat,
            )
        b = line.slope
        if abs(b) > _STEEPEST:
            break
    raise ValueError("no learning curve fits these sessions")
