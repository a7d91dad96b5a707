"""Standard torques of bolts and nuts, for where the maker gives none.

AC 43.13-1B (9/8/98), Table 7-1 and paragraphs 7-40 and 7-41: oil-free cadmium-plated threads of
steel. The torque that a self-locking nut needs to turn at all is added on top (7-40 d).
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from buildbook.records.quantities import Quantity
from buildbook.reference.answers import Answer, Fact, RefusedError, inch_pounds, listed
from buildbook.reference.sizes import no_row
from buildbook.reference.source import Source, Sure

TABLE = Source("FAA AC 43.13-1B", "Table 7-1", "9/8/98", Sure.SEEN)
ESTIMATED = Source(
    "FAA AC 43.13-1B", "Table 7-1", "9/8/98", Sure.SEEN, "the table itself calls it estimated"
)
PARAGRAPH = Source("FAA AC 43.13-1B", "par. 7-40", "9/8/98", Sure.SEEN)
AN_THREADS = Source(
    "AN3 to AN20 bolts", "thread by size", "", Sure.SEEN, "in suppliers' guides, not the standard"
)
AN_RECALLED = Source("AN3 to AN20 bolts", "thread by size", "", Sure.MEMORY)

CAUTIONS = (
    (
        "For clean, dry, oil-free cadmium-plated steel threads, and only where the maker gives no "
        "torque."
    ),
    "Measure the drag of a self-locking nut while it turns, before it touches, and add it.",
    "Have the torque wrench calibrated at least once a year, and after every drop.",
)


class Nut(StrEnum):
    """Kinds of nut the table tells apart."""

    TENSION = "tension"
    SHEAR = "shear"


NUTS = {Nut.TENSION: ("MS20365", "AN310"), Nut.SHEAR: ("MS20364", "AN320")}
"""The table's nut numbers of each kind: thick ones, and thin ones."""
_OLDER = {Nut.TENSION: ("AN365",), Nut.SHEAR: ("AN364",)}
"""Numbers that the table's supersede (from memory); they are understood, and not shown."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of Table 7-1, in inch-pounds."""

    thread: str
    fine: bool
    tension: tuple[int, int]
    shear: tuple[int, int]
    most_tension: int
    """Maximum allowable tightening torque with a tension nut."""
    most_shear: int
    bolt: str = ""
    """The AN bolt with this thread, where one is known."""
    bolt_source: Source = AN_THREADS
    shear_estimated: bool = False
    """The table marks it so."""

    def of(self, nut: Nut) -> tuple[int, int]:
        """Recommended torque with a kind of nut."""
        return self.tension if nut is Nut.TENSION else self.shear

    def most(self, nut: Nut) -> int:
        """Maximum allowable tightening torque with a kind of nut."""
        return self.most_tension if nut is Nut.TENSION else self.most_shear


ROWS = (
    Row("8-36", True, (12, 15), (7, 9), 20, 12),
    Row("10-32", True, (20, 25), (12, 15), 40, 25, "AN3"),
    Row("1/4-28", True, (50, 70), (30, 40), 100, 60, "AN4"),
    Row("5/16-24", True, (100, 140), (60, 85), 225, 140, "AN5"),
    Row("3/8-24", True, (160, 190), (95, 110), 390, 240, "AN6"),
    Row("7/16-20", True, (450, 500), (270, 300), 840, 500, "AN7"),
    Row("1/2-20", True, (480, 690), (290, 410), 1100, 660, "AN8"),
    Row("9/16-18", True, (800, 1000), (480, 600), 1600, 960, "AN9", AN_RECALLED),
    Row("5/8-18", True, (1100, 1300), (600, 780), 2400, 1400, "AN10"),
    Row("3/4-16", True, (2300, 2500), (1300, 1500), 5000, 3000, "AN12", AN_RECALLED),
    Row("7/8-14", True, (2500, 3000), (1500, 1800), 7000, 4200, "AN14", AN_RECALLED),
    Row("1-14", True, (3700, 5500), (2200, 3300), 10000, 6000, shear_estimated=True),
    Row("1-1/8-12", True, (5000, 7000), (3000, 4200), 15000, 9000, shear_estimated=True),
    Row("1-1/4-12", True, (9000, 11000), (5400, 6600), 25000, 15000, shear_estimated=True),
    Row("8-32", False, (12, 15), (7, 9), 20, 12),
    Row("10-24", False, (20, 25), (12, 15), 35, 21),
    Row("1/4-20", False, (40, 50), (25, 30), 75, 45),
    Row("5/16-18", False, (80, 90), (48, 55), 160, 100),
    Row("3/8-16", False, (160, 185), (95, 100), 275, 170),
    Row("7/16-14", False, (235, 255), (140, 155), 475, 280),
    Row("1/2-13", False, (400, 480), (240, 290), 880, 520),
    Row("9/16-12", False, (500, 700), (300, 420), 1100, 650),
    Row("5/8-11", False, (700, 900), (420, 540), 1500, 900),
    Row("3/4-10", False, (1150, 1600), (700, 950), 2500, 1500),
    Row("7/8-9", False, (2200, 3000), (1300, 1800), 4600, 2700),
)
_BY_THREAD = {row.thread: row for row in ROWS}
BY_BOLT = {row.bolt: row for row in ROWS if row.bolt}
_BOLT = re.compile(r"AN[ -]?([0-9]{1,2})([A-Z]{0,3})(?:-[0-9]{1,3}A?)?")


def find(size: str) -> Row:
    """Return the row of a thread (`1/4-28`) or an AN bolt (`AN4`, `AN4-15A`).

    Raises RefusedError for another size, and for bolts that are not of cadmium-plated steel.
    """
    asked = " ".join(size.split()).upper()
    asked = re.sub(r"^(?:NO\.? ?|#)", "", asked).removesuffix(" IN").replace('"', "")
    if row := _BY_THREAD.get(re.sub(r"(?<=[0-9]) ?(?:UNF|UNC|NF|NC)$", "", asked)):
        return row
    if found := _BOLT.fullmatch(asked):
        return _bolt(size, found[1], found[2])
    alike = [thread for thread in _BY_THREAD if thread.startswith(f"{asked}-")]
    if alike and asked != "1":
        fine = " or ".join(f"`{t}` ({'fine' if _BY_THREAD[t].fine else 'coarse'})" for t in alike)
        raise RefusedError(f"`{size.strip()}` leaves the thread open", f"write {fine}")
    if re.match(r"M ?[0-9]", asked) and not asked.startswith("MS"):
        raise RefusedError(f"`{size.strip()}` is metric, and the table has inch threads only")
    raise no_row(size, [*BY_BOLT, *_BY_THREAD])


def _bolt(size: str, number: str, letters: str) -> Row:
    for letter, metal in (("DD", "aluminium"), ("C", "corrosion-resistant steel")):
        if letters.startswith(letter):
            raise RefusedError(
                f"`{size.strip()}` is of {metal}, and the table is for cadmium-plated steel",
                "ask the plans or the maker",
            )
    if letters in ("", "H", "A", "HA") and (row := BY_BOLT.get(f"AN{number}")):
        return row
    raise no_row(size, BY_BOLT)


def nut_kind(word: str) -> Nut:
    """Read `tension`, `shear` or a nut's number (`AN365-428A`). Raises RefusedError."""
    plain = word.strip().lower()
    for nut, numbers in NUTS.items():
        names = "|".join(number.lower() for number in (*numbers, *_OLDER[nut]))
        if plain == nut.value or re.fullmatch(rf"(?:{names})(?:-[0-9a-z]+)*", plain):
            return nut
    known = listed(number for numbers in NUTS.values() for number in numbers)
    raise RefusedError(
        f"`{word.strip()}` is no kind of nut known here",
        f"write `tension` or `shear`, or a number of {known}",
    )


def fact(row: Row, nut: Nut, drag: Quantity | None = None) -> Fact:
    """Give the torque for a row and a kind of nut, with the nut's measured drag on top.

    Raises RefusedError for a drag below nothing, and for one above the largest torque allowed.
    """
    low, high = row.of(nut)
    source = ESTIMATED if row.shear_estimated and nut is Nut.SHEAR else TABLE
    name = f"{nut.value.capitalize()} nut ({listed(NUTS[nut])})"
    if drag is None:
        return Fact(name, inch_pounds(low), inch_pounds(high), source)
    added = drag.to("in-lb")
    if added < 0:
        raise RefusedError(f"a drag of `{drag.written}` is less than nothing")
    if added > row.most(nut):
        raise RefusedError(
            f"a drag of `{drag.written}` alone is more than the {row.most(nut)} in-lb that the "
            f"table allows on {row.thread} with a {nut.value} nut",
            "measure again, or take another nut",
        )
    name = f"{nut.value.capitalize()} nut, on the wrench with {drag.written} drag"
    return Fact(name, inch_pounds(low + added), inch_pounds(high + added), PARAGRAPH)


def most(row: Row, nut: Nut, drag: Quantity | None = None) -> Fact:
    """Give the largest torque allowed while a castle nut is turned on to its pin, drag added."""
    name = f"Never more than, with a {nut.value} nut"
    if drag is not None:
        total = inch_pounds(row.most(nut) + drag.to("in-lb"))
        return Fact(f"{name} and its drag", None, total, PARAGRAPH)
    return Fact(name, None, inch_pounds(row.most(nut)), TABLE)


def torque(size: str, nut: Nut | None = None, drag: Quantity | None = None) -> Answer:
    """Look up the torque of a thread or an AN bolt, for one kind of nut or both.

    Raises RefusedError where the table has no row.
    """
    row = find(size)
    facts = []
    for kind in Nut if nut is None else (nut,):
        facts.append(fact(row, kind))
        if drag is not None:
            facts.append(fact(row, kind, drag))
        facts.append(most(row, kind, drag))
    if row.bolt:
        facts.append(Fact("Bolt", None, None, row.bolt_source, f"{row.bolt} has {row.thread}"))
    series = "fine" if row.fine else "coarse"
    title = f"Torque of {row.thread} ({series} thread{f', {row.bolt}' if row.bolt else ''})"
    return Answer(title, tuple(facts), CAUTIONS)
