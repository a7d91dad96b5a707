"""Who built the aircraft, by tasks: the sums an authority's checklist asks for, in whole tenths.

The worked example is that of the United States, 14 CFR 21.191(g): the major portion fabricated and
assembled by persons who did it for their own education or recreation. The FAA's fabrication and
assembly checklist of 2011 gives every task one point, shared in tenths between A, the maker of the
kit, part or component; B, commercial assistance; C, the builder's assembly; D, the builder's
fabrication (seen; its example is A .5 + B .3 + D .2 = 1). Tasks that do not apply are left out and
others may be added (seen). C and D together are held against half of the tasks that apply (from
memory).
"""

from collections.abc import Iterable
from dataclasses import dataclass

WHOLE = 10
"""Tenths in a task."""
COLUMNS = ("A", "B", "C", "D")
MEANS = (
    "Maker of the kit, part or component",
    "Paid help",
    "Builder's assembly",
    "Builder's fabrication",
)


@dataclass(frozen=True, slots=True)
class Shares:
    """What some tasks come to."""

    tasks: int
    """Those that apply, shared or not."""
    tenths: tuple[int, int, int, int]
    """In columns A to D."""

    @property
    def whole(self) -> int:
        """Tenths of all tasks that apply."""
        return self.tasks * WHOLE

    @property
    def builder(self) -> int:
        """Tenths of columns C and D."""
        return self.tenths[2] + self.tenths[3]

    @property
    def untold(self) -> int:
        """Tenths that nobody has shared yet: they are in the whole, and are not the builder's."""
        return self.whole - sum(self.tenths)

    @property
    def over_half(self) -> bool:
        """Tell whether C and D are more than half: 5.1 of 10 is, 5.0 is not."""
        return self.builder * 2 > self.whole

    def percent(self) -> str:
        """Write C and D as a percentage of all, cut to one decimal so that it never says too much.

        Empty where no task applies.
        """
        if not self.whole:
            return ""
        permille = self.builder * 1000 // self.whole
        return f"{permille // 10}.{permille % 10} %"


def add_up(rows: Iterable[tuple[int, int, int, int]]) -> Shares:
    """Add up the tenths of tasks that apply; one that is not shared yet has none anywhere."""
    listed = list(rows)
    a, b, c, d = (sum(row[i] for row in listed) for i in range(4))
    return Shares(len(listed), (a, b, c, d))


def points(tenths: int) -> str:
    """Write tenths as points: 51 is `5.1`."""
    return f"{tenths // WHOLE}.{tenths % WHOLE}"
