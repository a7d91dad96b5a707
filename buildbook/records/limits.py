"""Limits: which one a reading is held against, and on which side of it each value lies.

How far an instrument may be off decides nothing by itself: a value beyond the limit is outside,
however little. It only tells which values inside are too near the limit to be sure of.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from buildbook.records.book import Book
from buildbook.records.quantities import Quantity
from buildbook.records.reading import ROUNDING, Limited, Reading, StepLimit, fits


class Verdict(StrEnum):
    """Where a value lies."""

    NONE = "no limit given"
    INSIDE = "inside"
    NEAR = "near the limit"
    """Inside, and no further from the limit than the instrument may be off."""
    OUTSIDE = "outside"


_BY_WEIGHT = (Verdict.OUTSIDE, Verdict.NEAR, Verdict.INSIDE, Verdict.NONE)


@dataclass(frozen=True, slots=True)
class Bounds:
    """A limit, and where it comes from."""

    low: Quantity | None
    high: Quantity | None
    source: str
    """As the book names it; may be empty."""
    given_by: str
    """`reading`, `step` or `part`: whose limit it is."""
    caution: str = ""
    """What a published table says beside it."""

    @property
    def dimension(self) -> str:
        """Dimension of what it limits."""
        limit = self.low or self.high
        return limit.dimension if limit else ""

    @property
    def words(self) -> str:
        """The limit as written."""
        low, high = (" ".join(q.written.split()) if q else "" for q in (self.low, self.high))
        if low and high:
            return f"{low} to {high}"
        return f"at least {low}" if low else f"at most {high}"


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading held against its limit."""

    bounds: Bounds | None
    uncertainty: Quantity | None
    """Stated with the reading, or else with its tool."""
    verdicts: tuple[Verdict, ...]
    """Of each value."""

    @property
    def worst(self) -> Verdict:
        """The verdict on the reading as a whole."""
        return next(v for v in _BY_WEIGHT if v in self.verdicts)

    def count(self, verdict: Verdict) -> int:
        """Count the values of which this is said."""
        return self.verdicts.count(verdict)


def part_of(book: Book, reading: Reading) -> str | None:
    """Tell the part a reading was taken on: its own, or that of its piece."""
    piece = book.piece_by_label.get(reading.piece) if reading.piece else None
    return reading.part or (piece.part if piece else None)


def same_name(one: str) -> str:
    """Reduce a characteristic's name to what must agree: capitals and spaces do not count."""
    return " ".join(one.casefold().split())


def limits_of_step(book: Book, step: str | None) -> tuple[StepLimit, ...]:
    """List the limits of a step, those of the readings it asks for first."""
    known = book.steps.get(step or "")
    return (*known.required_readings, *known.limits) if known else ()


def bounds_for(book: Book, reading: Reading, step: str | None) -> Bounds | None:
    """Find the limit of a reading: its own, else the step's, else the part's.

    `step` is the one it was taken in. None where nobody gives a limit, or one in another dimension.
    """
    part = part_of(book, reading)
    dimension = reading.values[0].dimension
    found = _first(_own(reading), "reading", dimension)
    if found is None:
        of_step = (
            limit
            for limit in limits_of_step(book, step)
            if same_name(limit.reading) == same_name(reading.reading)
            and (not limit.parts or part in limit.parts)
        )
        found = _first(of_step, "step", dimension)
    if found is None and (known := book.parts.get(part or "")):
        of_part = (
            limit
            for limit in known.limits
            if same_name(limit.reading) == same_name(reading.reading)
        )
        found = _first(of_part, "part", dimension)
    return found


def _own(reading: Reading) -> Iterable[Reading]:
    if reading.min or reading.max or reading.rule:
        yield reading


def _first(limits: Iterable[Limited], given_by: str, dimension: str) -> Bounds | None:
    bounds = (bounds_of(limit, given_by) for limit in limits)
    return next((b for b in bounds if b and b.dimension == dimension), None)


def bounds_of(limit: Limited, given_by: str) -> Bounds | None:
    """Read a limit as written; None where it has no number and no rule that is known."""
    if limit.rule:
        from buildbook.reference.rules import UnknownRuleError  # noqa: PLC0415 - see _by_rule

        try:
            low, high, source, caution = _by_rule(limit.rule)
        except UnknownRuleError:
            return None
        return Bounds(low, high, limit.source or source, given_by, caution)
    if limit.min or limit.max:
        return Bounds(limit.min, limit.max, limit.source or "", given_by)
    return None


@lru_cache(maxsize=256)
def _by_rule(text: str) -> tuple[Quantity | None, Quantity | None, str, str]:
    """Look a rule up. Raises UnknownRuleError."""
    from buildbook.reference.rules import limit_by_rule  # noqa: PLC0415 - few books use one

    found = limit_by_rule(text)
    return found.low, found.high, found.source.words, found.caution


def wrong_with_rule(text: str) -> tuple[str, str] | None:
    """Say what is wrong with a rule and what may mend it, or None."""
    from buildbook.reference.rules import UnknownRuleError  # noqa: PLC0415

    try:
        _by_rule(text)
    except UnknownRuleError as error:
        return error.message, error.advice
    return None


def uncertainty_of(book: Book, reading: Reading) -> Quantity | None:
    """Return how far off a reading may be: as it says itself, or else as its tool does."""
    if reading.uncertainty:
        return reading.uncertainty
    tool = book.tools.get(reading.tool or "")
    if tool and tool.uncertainty and fits(tool.uncertainty, reading.values[0]):
        return tool.uncertainty
    return None


def judge(book: Book, reading: Reading, step: str | None) -> Judged:
    """Hold every value of a reading against its limit. `step` is the one it was taken in."""
    bounds, uncertainty = bounds_for(book, reading, step), uncertainty_of(book, reading)
    return Judged(
        bounds, uncertainty, tuple(verdict(v, bounds, uncertainty) for v in reading.values)
    )


def verdict(value: Quantity, bounds: Bounds | None, uncertainty: Quantity | None) -> Verdict:
    """Tell on which side of its limit a value lies.

    A value on the limit is inside, or near it where any uncertainty is stated. All quantities are
    of one dimension; the uncertainty may be a share of the value.
    """
    if bounds is None:
        return Verdict.NONE
    room = []
    for limit, side in ((bounds.low, 1), (bounds.high, -1)):
        if limit:
            at = limit.to(value.unit)
            room.append((side * (value.value - at), ROUNDING * max(abs(at), abs(value.value))))
    if any(left < -slack for left, slack in room):
        return Verdict.OUTSIDE
    off = half_width(uncertainty, value)
    if off > 0 and any(left <= off + slack for left, slack in room):
        return Verdict.NEAR
    return Verdict.INSIDE


def half_width(uncertainty: Quantity | None, value: Quantity) -> float:
    """Turn an uncertainty into the unit of a value; 0 where none is stated.

    A difference is converted, not a point on a scale: 1 °C to either side is 1.8 °F.
    """
    if uncertainty is None:
        return 0.0
    if uncertainty.dimension == "share" != value.dimension:
        return abs(value.value) * uncertainty.to("percent") / 100
    zero = Quantity("", 0.0, uncertainty.unit, uncertainty.dimension)
    return abs(uncertainty.to(value.unit) - zero.to(value.unit))
