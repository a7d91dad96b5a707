"""The numbers of solid rivets, read and written; and their diameters.

A number says head, alloy, diameter in thirty-seconds and length in sixteenths of an inch
(NAVEDTRA 14315, Table 3-1 and figure 3-2; AC 43.13-1B, par. 4-57).
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from buildbook.records.problems import did_you_mean
from buildbook.records.quantities import Quantity
from buildbook.reference.answers import RefusedError, listed
from buildbook.reference.sizes import Size, find_row, length, no_row, sizes

DIAMETERS = sizes("3/32", "1/8", "5/32", "3/16", "1/4")
"""Of the rules that are multiples of the diameter. Rivets under 3/32 in are not for structure
(NAVEDTRA 14018)."""


@dataclass(frozen=True, slots=True)
class Head:
    """A shape of manufactured head."""

    name: str
    flush: bool
    ms: str
    an: str
    """The older number."""


UNIVERSAL = Head("universal head", flush=False, ms="MS20470", an="AN470")
COUNTERSUNK = Head("100 degree countersunk head", flush=True, ms="MS20426", an="AN426")
HEADS = (UNIVERSAL, COUNTERSUNK)
_BY_STANDARD = {number: head for head in HEADS for number in (head.ms, head.an)}

ALLOYS = {
    "A": ("1100-F", "plain"),
    "AD": ("2117-T4", "indented dimple"),
    "D": ("2017-T4", "raised teat"),
    "DD": ("2024-T4", "raised double dash"),
    "B": ("5056-H32", "raised cross"),
}
"""Alloy and mark on the head, by the letters of the number."""

_CODE = re.compile(
    r"(?P<standard>MS20470|MS20426|AN470|AN426)[ -]?(?P<alloy>[A-Z]{1,2})[ -]?"
    r"(?P<diameter>[0-9]{1,2})-(?P<length>[0-9]{1,2}(?:\.5)?)"
)
_LOOKS_LIKE = re.compile(r"(?:MS|AN|NAS)\s?[0-9]{3}", re.IGNORECASE)
SMALLEST_DIAMETER, LARGEST_DIAMETER = 2, 12
"""In thirty-seconds of an inch."""
SHORTEST, LONGEST = Fraction(2), Fraction(48)
"""In sixteenths of an inch."""


@dataclass(frozen=True, slots=True)
class Rivet:
    """A solid rivet as its number says it."""

    head: Head
    alloy: str
    """Letters, a key of ALLOYS."""
    thirty_seconds: int
    """Diameter."""
    sixteenths: Fraction
    """Length, in whole or half sixteenths: 7/2 is 7/32 in."""

    @property
    def diameter(self) -> float:
        """In inches."""
        return self.thirty_seconds / 32

    @property
    def length(self) -> float:
        """In inches."""
        return float(self.sixteenths / 16)

    def number(self, *, older: bool = False) -> str:
        """Write its number: `MS20470AD4-3.5`, or the older `AN470AD4-3.5`."""
        length_ = self.sixteenths
        written = str(length_.numerator) if length_.denominator == 1 else f"{float(length_):.1f}"
        standard = self.head.an if older else self.head.ms
        return f"{standard}{self.alloy}{self.thirty_seconds}-{written}"


def is_number(text: str) -> bool:
    """Tell whether a text is meant as a rivet's number rather than as a size."""
    return bool(_LOOKS_LIKE.match(text.strip()))


def decode(number: str) -> Rivet:
    """Read `AN470AD3-5` or `MS20470 AD4-3.5`. Raises RefusedError."""
    asked = " ".join(number.split())
    found = _CODE.fullmatch(asked.upper())
    if not found:
        standard = re.split(r"(?<=[0-9])[ -]?(?=[A-Z])", asked.upper(), maxsplit=1)[0]
        advice = did_you_mean(standard, _BY_STANDARD) if standard not in _BY_STANDARD else ""
        raise RefusedError(
            f"`{asked}` is not the number of a solid rivet known here",
            advice or "write head, alloy, diameter and length, as `MS20470AD4-3.5`",
        )
    return encode(
        _BY_STANDARD[found["standard"]], found["alloy"], int(found["diameter"]), found["length"]
    )


def encode(head: Head, alloy: str, thirty_seconds: int, sixteenths: str) -> Rivet:
    """Make a rivet of its alloy's letters, diameter and length; `.number()` writes it.

    Raises RefusedError for an alloy or a size that is not made.
    """
    if alloy not in ALLOYS:
        letters = listed(f"`{a}` ({metal})" for a, (metal, _) in ALLOYS.items())
        raise RefusedError(f"`{alloy}` is no rivet alloy known here", f"known: {letters}")
    if not SMALLEST_DIAMETER <= thirty_seconds <= LARGEST_DIAMETER:
        raise RefusedError(
            f"no rivet of {thirty_seconds}/32 in diameter is known here",
            f"the first figure is the diameter in thirty-seconds, from {SMALLEST_DIAMETER} to "
            f"{LARGEST_DIAMETER}",
        )
    long = Fraction(sixteenths)
    if not SHORTEST <= long <= LONGEST or long.denominator > 2:  # noqa: PLR2004 - halves are made
        raise RefusedError(
            f"no rivet {sixteenths} sixteenths long is known here",
            f"the last figure is the length in sixteenths of an inch, from {SHORTEST} to "
            f"{LONGEST}, and halves",
        )
    return Rivet(head, alloy, thirty_seconds, long)


def diameter_of(text: str) -> Quantity:
    """Read a rivet's diameter: `1/8`, `.125 in`, `3.18 mm`, `-4`. Raises RefusedError."""
    dash = re.fullmatch(r"-\s*([0-9]{1,2})", text.strip())
    if dash:
        text = f"{dash[1]}/32"
    return length(text, "a rivet diameter")


def rivet_shank(size: str) -> tuple[Size, str]:
    """Return the diameter that a size or a rivet's number names, and the head its number says.

    The head is empty for a size, else `flush` or `protruding`. Raises RefusedError.
    """
    if not is_number(size):
        return find_row(diameter_of(size), DIAMETERS), ""
    number = decode(size)
    row = next((d for d in DIAMETERS if d.inches == number.diameter), None)
    if row is None:
        raise no_row(f"{number.thirty_seconds}/32 in", (f"{d.name} in" for d in DIAMETERS))
    return row, "flush" if number.head.flush else "protruding"
