"""Weight and balance: moments added up, the centre of gravity, and the designer's limits.

Weight times arm is moment; the sum of the moments divided by the sum of the weights is the arm of
the centre of gravity. A share of the mean aerodynamic chord is the distance from its leading edge
divided by its length. FAA-H-8083-1, Aircraft Weight and Balance Handbook (from memory; its worked
examples were seen restated elsewhere, see the tests).

Everything is reckoned in exact fractions, in whatever units the caller keeps to, and rounded only
when it is shown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

CAUTIONS = (
    "This is arithmetic on figures the builder wrote down. It approves nothing.",
    (
        "Scales and arms are only as good as they were measured: level the aircraft as the plans "
        "say, close the hangar doors, and measure every arm twice."
    ),
    (
        "The designer's limits and the authority's paperwork decide, and the pilot works every "
        "flight out anew."
    ),
)


MOST_CORNERS = 100
"""Of limits: every side is held against every other."""


@dataclass(frozen=True, slots=True)
class Mass:
    """A weight and where it is. Taken out, its weight is negative."""

    weight: Fraction
    moment: Fraction
    """Weight times arm."""

    @property
    def arm(self) -> Fraction | None:
        """Its centre of gravity from the datum; None where there is no weight."""
        return self.moment / self.weight if self.weight else None

    def __add__(self, other: "Mass") -> "Mass":
        """Put two together."""
        return Mass(self.weight + other.weight, self.moment + other.moment)

    def __neg__(self) -> "Mass":
        """Take it away."""
        return Mass(-self.weight, -self.moment)


NOTHING = Mass(Fraction(0), Fraction(0))


def at(weight: Fraction, arm: Fraction) -> Mass:
    """Make a weight at an arm."""
    return Mass(weight, weight * arm)


def total(masses: Iterable[Mass]) -> Mass:
    """Add up weights and moments."""
    return sum(masses, NOTHING)


def share_of_chord(arm: Fraction, lemac: Fraction, mac: Fraction) -> Fraction:
    """Return a place as a share of the mean aerodynamic chord: 1/4 is a quarter of it.

    `lemac` is the chord's leading edge from the datum, `mac` its length.
    """
    return (arm - lemac) / mac


def from_share(share: Fraction, lemac: Fraction, mac: Fraction) -> Fraction:
    """Return the arm of a share of the chord."""
    return lemac + share * mac


@dataclass(frozen=True, slots=True)
class Corner:
    """A point of the limits: a weight, and a centre of gravity."""

    weight: Fraction
    arm: Fraction


@dataclass(frozen=True, slots=True)
class Envelope:
    """The area of weights and centres of gravity that the designer allows."""

    corners: tuple[Corner, ...]
    """In order round it; the last is joined to the first."""

    @property
    def sides(self) -> tuple[tuple[Corner, Corner], ...]:
        """Its sides, each from a corner to the next."""
        return tuple(pairwise((*self.corners, self.corners[0]))) if self.corners else ()

    @property
    def lightest(self) -> Fraction:
        """Weight below which it allows nothing."""
        return min(c.weight for c in self.corners)

    @property
    def heaviest(self) -> Fraction:
        """Weight above which it allows nothing."""
        return max(c.weight for c in self.corners)

    def fault(self) -> str:
        """Say why these corners enclose nothing, or in no clear way; empty where they do."""
        if len(set(self.corners)) < 3:  # noqa: PLR2004 - a triangle is the least
            return "limits need three corners or more"
        if len(self.corners) > MOST_CORNERS:
            return f"limits with more than {MOST_CORNERS} corners are none that anybody drew"
        if len(set(self.corners)) < len(self.corners):
            return "a corner of the limits is there twice"
        sides = self.sides
        for (i, one), (j, other) in combinations(enumerate(sides), 2):
            beside = j - i == 1 or (i == 0 and j == len(sides) - 1)
            if not beside and _meet(one, other):
                return "the corners are not in order round the limits: two sides cross"
        if not sum(_cross(Corner(Fraction(0), Fraction(0)), a, b) for a, b in sides):
            return "the corners of the limits enclose no area"
        return ""

    def at(self, weight: Fraction) -> tuple[Fraction, Fraction] | None:
        """Return the foremost and rearmost centre of gravity at a weight; None where none is."""
        found: list[Fraction] = []
        for a, b in self.sides:
            if a.weight == weight == b.weight:
                found += [a.arm, b.arm]
            elif min(a.weight, b.weight) <= weight <= max(a.weight, b.weight):
                along = (weight - a.weight) / (b.weight - a.weight)
                found.append(a.arm + along * (b.arm - a.arm))
        return (min(found), max(found)) if found else None

    def holds(self, point: Corner) -> bool:
        """Tell whether a point is inside or on the line."""
        if any(_on(point, side) for side in self.sides):
            return True
        inside = False
        for a, b in self.sides:
            if (a.weight > point.weight) != (b.weight > point.weight):
                along = (point.weight - a.weight) / (b.weight - a.weight)
                if point.arm < a.arm + along * (b.arm - a.arm):
                    inside = not inside
        return inside


def _cross(origin: Corner, a: Corner, b: Corner) -> Fraction:
    """Return twice the area of a triangle, negative where it turns the other way."""
    return (a.arm - origin.arm) * (b.weight - origin.weight) - (a.weight - origin.weight) * (
        b.arm - origin.arm
    )


def _on(point: Corner, side: tuple[Corner, Corner]) -> bool:
    a, b = side
    return (
        not _cross(a, b, point)
        and min(a.arm, b.arm) <= point.arm <= max(a.arm, b.arm)
        and min(a.weight, b.weight) <= point.weight <= max(a.weight, b.weight)
    )


def _meet(one: Sequence[Corner], other: Sequence[Corner]) -> bool:
    """Tell whether two sides have a point in common."""
    (a, b), (c, d) = one, other
    turns = _cross(a, b, c), _cross(a, b, d), _cross(c, d, a), _cross(c, d, b)
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    ends = ((c, (a, b)), (d, (a, b)), (a, (c, d)), (b, (c, d)))
    return any(_on(point, side) for point, side in ends)
