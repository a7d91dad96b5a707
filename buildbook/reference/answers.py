"""What a look-up answers with: values beside their sources, cautions, or a refusal in words."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from buildbook.records.quantities import Quantity
from buildbook.reference.source import Source

STANDING = (
    "The plans, the kit maker's instructions and their current revisions come first; "
    "what is shown here is for cross-checking."
)
"""Said with every answer."""
UNVERIFIED = "from memory, unverified"
"""Shown beside every value that nobody looked up."""


class RefusedError(ValueError):
    """There is no answer: what was asked is not in the table, or cannot be understood."""

    def __init__(self, message: str, advice: str = "") -> None:
        super().__init__(message)
        self.message = message
        """What is wrong, in a sentence without a full stop."""
        self.advice = advice
        """What to do about it; may be empty."""


class Units(StrEnum):
    """The unit systems an answer is shown in."""

    BOTH = "both"
    INCH = "inch"
    METRIC = "metric"


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing known: a range, a value (both ends alike), a limit on one side, or words."""

    what: str
    low: Quantity | None
    high: Quantity | None
    source: Source
    words: str = ""
    """What it says where it is no number, or what stands beside the number."""

    def shown(self, units: Units = Units.BOTH) -> str:
        """Write it in the units asked for."""
        number = show_range(self.low, self.high, units)
        return ", ".join(filter(None, (number, self.words)))


@dataclass(frozen=True, slots=True)
class Answer:
    """What is known about what was asked."""

    title: str
    facts: tuple[Fact, ...]
    cautions: tuple[str, ...]

    @property
    def sources(self) -> tuple[Source, ...]:
        """Every source it rests on, once."""
        return tuple(dict.fromkeys(fact.source for fact in self.facts))


def inches(value: float) -> Quantity:
    """Make a length of so many inches."""
    return Quantity(f"{_trimmed(value, 4, 3)} in", value, "inch", "length")


def inch_pounds(value: float) -> Quantity:
    """Make a torque of so many inch-pounds."""
    return Quantity(f"{_trimmed(value, 1)} in-lb", value, "force_pound*inch", "torque")


def celsius(value: float) -> Quantity:
    """Make a temperature of so many degrees Celsius."""
    return Quantity(f"{value:.1f} °C", value, "degC", "temperature")


_SYSTEMS: dict[str, tuple[tuple[str, str, int], tuple[str, str, int]]] = {
    # Unit in pint's words, as shown, decimals: in inches and pounds, and metric.
    "length": (("inch", "in", 4), ("mm", "mm", 2)),
    "torque": (("force_pound*inch", "in-lb", 1), ("newton*meter", "N·m", 2)),
    "temperature": (("degF", "°F", 1), ("degC", "°C", 1)),
}
_PUBLISHED = {"length": Units.INCH, "torque": Units.INCH, "temperature": Units.METRIC}
"""The system each kind of value is published in: it is shown first."""


def show_range(low: Quantity | None, high: Quantity | None, units: Units) -> str:
    """Write a range, a value or a limit: `50 to 70 in-lb (5.65 to 7.91 N·m)`; empty for none.

    Metric values are rounded to the second decimal, temperatures to the first.
    """
    one = low or high
    if one is None:
        return ""
    if one.dimension not in _SYSTEMS:
        return _in_unit(low, high, (one.unit, one.unit, 4))
    inch, metric = _SYSTEMS[one.dimension]
    first, second = (inch, metric) if _PUBLISHED[one.dimension] is Units.INCH else (metric, inch)
    if units is Units.BOTH:
        words, other = _in_unit(low, high, first), _in_unit(low, high, second)
        return f"{words} ({_without_limit_words(other)})"
    return _in_unit(low, high, inch if units is Units.INCH else metric)


def _in_unit(low: Quantity | None, high: Quantity | None, unit: tuple[str, str, int]) -> str:
    name, sign, decimals = unit
    fixed = sign not in ("in", "in-lb")
    least = decimals if fixed else 3 if sign == "in" else 0
    numbers = [_trimmed(q.to(name), decimals, least) if q else "" for q in (low, high)]
    if low and high:
        both = numbers[0] if numbers[0] == numbers[1] else " to ".join(numbers)
        return f"{both} {sign}"
    return f"at least {numbers[0]} {sign}" if low else f"at most {numbers[1]} {sign}"


def numbers(low: Quantity | None, high: Quantity | None, units: Units) -> str:
    """Write a range or a limit without its unit, for a column that names it."""
    text = show_range(low, high, units)
    one = low or high
    if one is None or one.dimension not in _SYSTEMS:
        return text
    sign = _SYSTEMS[one.dimension][0 if units is Units.INCH else 1][1]
    return _without_limit_words(text).removesuffix(f" {sign}")


def _without_limit_words(text: str) -> str:
    return text.removeprefix("at least ").removeprefix("at most ")


def _trimmed(value: float, decimals: int, least: int = 0) -> str:
    """Write with at most and at least so many decimals.

    Halves are rounded away from nothing, as they are on paper: 1/8 in is 3.18 mm.
    """
    text = f"{value + math.copysign(1e-9, value):.{decimals}f}"
    needless = len(text) - len(text.rstrip("0")) if decimals else 0
    text = text[: len(text) - min(needless, decimals - least)].removesuffix(".")
    return text.removeprefix("-") if not text.strip("-0.") else text


def listed(words: Iterable[str]) -> str:
    """Join words as a sentence does: `a, b and c`."""
    *most, last = list(words)
    return f"{', '.join(most)} and {last}" if most else last
