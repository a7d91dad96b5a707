"""Solid rivets: holes, driven heads, and the length for a grip (NAVEDTRA 14018, p. 13-43).

How large a driven head must be is said differently by different documents, so each is a rule with
a name, and the book chooses.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from buildbook.records.problems import did_you_mean
from buildbook.records.quantities import Quantity
from buildbook.reference import spacing
from buildbook.reference.answers import Answer, Fact, RefusedError, inches
from buildbook.reference.rivetcodes import (
    ALLOYS,
    DIAMETERS,
    HEADS,
    LONGEST,
    SHORTEST,
    Rivet,
    decode,
    diameter_of,
    encode,
    is_number,
)
from buildbook.reference.sizes import Size, find_row, sizes
from buildbook.reference.source import Source, Sure

AC_4_57 = Source("FAA AC 43.13-1B", "par. 4-57", "9/8/98", Sure.SEEN)
CODES = Source("NAVEDTRA 14315", "Table 3-1 and figure 3-2", "", Sure.SEEN)
LENGTH = Source("NAVEDTRA 14018", "p. 13-43, figure 13-43", "", Sure.SEEN)
MIL_HEADS = Source("MIL-R-47196A", "Table III", "6 September 1977", Sure.SEEN, "quoted")
MIL_HOLES = Source("MIL-R-47196A", "Table I", "6 September 1977", Sure.SEEN, "quoted")
HANDBOOK_HEADS = Source(
    "FAA AC 43.13-1B", "1.5 D by 0.5 D", "9/8/98", Sure.SEEN, "quoted in study guides"
)
HDBK_5 = Source("MIL-HDBK-5H", "p. 8-9", "1 December 1998", Sure.SEEN)
DRILLS = Source("number drills for rivets", "#30 for 1/8 in", "", Sure.SEEN)
DRILLS_RECALLED = Source("number drills for rivets", "#40 and #21", "", Sure.MEMORY)
SIZES_RECALLED = Source("MS20470 and MS20426", "sizes made", "", Sure.MEMORY)
ROUNDING = Source("rounding to sizes that are made", "", "", Sure.COMPUTED)

USUAL_ALLOY = "AD"
SLACK = 0.02
"""Sixteenths of an inch: what a length in millimetres may be rounded by."""

CAUTIONS = (
    "Documents differ about driven heads: use the rule your plans name.",
    "Drive a few in scrap of the same thickness, and gauge them.",
)


@dataclass(frozen=True, slots=True)
class HeadRule:
    """What a document asks of the driven head, in inches by rivet diameter or in diameters."""

    name: str
    """As a limit names it: `by MIL-R-47196A`."""
    source: Source
    target: bool = False
    """Some take it for what to aim at rather than for the smallest allowed."""
    diameter_share: float = 0
    height_share: float = 0
    """Smallest, in rivet diameters, where there is no table."""
    table: tuple[tuple[str, float, float, float], ...] = ()
    """Rivet, smallest diameter, smallest height, largest height."""

    @property
    def rows(self) -> tuple[Size, ...]:
        """Rivets it speaks of."""
        return sizes(*(row[0] for row in self.table)) if self.table else DIAMETERS

    def diameter(self, rivet: Size) -> Fact:
        """Limit for the diameter of the head."""
        row = self._row(rivet)
        low = row[1] if row else self.diameter_share * rivet.inches
        return Fact(f"Shop head diameter by {self.name}", inches(low), None, self.source)

    def height(self, rivet: Size) -> Fact:
        """Limit for the height of the head."""
        row = self._row(rivet)
        low = row[2] if row else self.height_share * rivet.inches
        high = inches(row[3]) if row else None
        return Fact(f"Shop head height by {self.name}", inches(low), high, self.source)

    def _row(self, rivet: Size) -> tuple[str, float, float, float] | None:
        return next((row for row in self.table if row[0] == rivet.name), None)


HEAD_RULES = {
    rule.name: rule
    for rule in (
        HeadRule(
            "MIL-R-47196A",
            MIL_HEADS,
            table=(
                ("3/32", 0.122, 0.038, 0.050),
                ("1/8", 0.163, 0.050, 0.070),
                ("5/32", 0.203, 0.062, 0.092),
            ),
        ),
        HeadRule("1.5D", HANDBOOK_HEADS, target=True, diameter_share=1.5, height_share=0.5),
        HeadRule("MIL-HDBK-5H", HDBK_5, diameter_share=1.3, height_share=0.3),
    )
}
"""By name; the first holds where a limit names none."""


def head_rule(name: str) -> HeadRule:
    """Find a rule by name; an empty name is the first. Raises RefusedError."""
    if not name:
        return next(iter(HEAD_RULES.values()))
    by_fold = {key.casefold(): rule for key, rule in HEAD_RULES.items()}
    if rule := by_fold.get(re.sub(r"\s", "", name).casefold()):
        return rule
    advice = did_you_mean(name, HEAD_RULES, name="rules")
    raise RefusedError(f"there is no rule `{name}` for shop heads", advice)


@dataclass(frozen=True, slots=True)
class Hole:
    """The hole for a rivet."""

    rivet: str
    drill: str
    inches: float
    source: Source
    older: str = ""
    """The drill in older manuals."""


HOLES = (
    Hole("3/32", "#40", 0.0980, DRILLS_RECALLED, "#41"),
    Hole("1/8", "#30", 0.1285, DRILLS),
    Hole("5/32", "#21", 0.1590, DRILLS_RECALLED, "#22"),
)
HOLE_LIMITS = (("3/32", 0.093, 0.103),)
"""Rivet, smallest and largest hole: MIL-R-47196A, Table I; the other rows were not seen."""


def hole_limit(size: str) -> Fact:
    """Give the limits of the hole for a rivet. Raises RefusedError."""
    row = find_row(diameter_of(size), sizes(*(name for name, _, _ in HOLE_LIMITS)))
    low, high = next((lo, hi) for name, lo, hi in HOLE_LIMITS if name == row.name)
    return Fact("Hole", inches(low), inches(high), MIL_HOLES)


def shop_head(size: str, rule: str = "") -> tuple[Fact, Fact]:
    """Give diameter and height of the driven head by a rule. Raises RefusedError."""
    named = head_rule(rule)
    row = find_row(diameter_of(size), named.rows)
    return named.diameter(row), named.height(row)


def length_for(rivet: Size, grip: Quantity) -> tuple[Fact, ...]:
    """Give the length for a grip: L = G + 1.5 D, and the sizes next to it.

    The nearest half sixteenth comes first; then the next whole sixteenth that is not shorter, for
    where halves are not at hand. Raises RefusedError for a length that is not made.
    """
    exact = grip.to("inch") + 1.5 * rivet.inches
    in_sixteenths = exact * 16
    if not SHORTEST <= in_sixteenths <= LONGEST:
        raise RefusedError(
            f"a grip of {grip.written} asks for a rivet {in_sixteenths:.1f} sixteenths long, and "
            f"{SHORTEST} to {LONGEST} are known here"
        )
    half = round(in_sixteenths * 2) / 2
    whole = -(-round(in_sixteenths, 6) // 1)
    words = f"{in_sixteenths:.2f} sixteenths"
    return (
        Fact(f"Length for a grip of {grip.written}", inches(exact), inches(exact), LENGTH, words),
        Fact("Nearest half size", None, None, ROUNDING, f"-{half:g}"),
        Fact("Next whole size that is not shorter", None, None, ROUNDING, f"-{whole:g}"),
    )


def numbers_of(rivet: Size, long: Quantity) -> tuple[Fact, ...]:
    """Write the numbers of a rivet in the usual alloy, AD, from its diameter and length.

    Raises RefusedError for a length that is not made: it is never rounded to one.
    """
    in_sixteenths = long.to("inch") * 16
    half = Fraction(round(in_sixteenths * 2), 2)
    if abs(in_sixteenths - half) > SLACK:
        raise RefusedError(
            f"no rivet is {long.written} long, {in_sixteenths:.2f} sixteenths",
            "lengths are whole and half sixteenths of an inch; for a thickness write `--grip`",
        )
    made = [encode(h, USUAL_ALLOY, round(rivet.inches * 32), str(half)) for h in HEADS]
    metal = ALLOYS[USUAL_ALLOY][0]
    return tuple(
        Fact(
            f"Number, {r.head.name}, {metal}",
            None,
            None,
            CODES,
            f"{r.number()}, in older books {r.number(older=True)}",
        )
        for r in made
    )


def rivet(asked: str, grip: Quantity | None = None, long: Quantity | None = None) -> Answer:
    """Look up a rivet by number (`MS20470AD4-3.5`) or diameter (`1/8`). Raises RefusedError.

    `grip` asks for its length; `long` is the length of one whose number is asked for.
    """
    number = decode(asked) if is_number(asked) else None
    if number and long:
        raise RefusedError(
            f"`{asked.strip()}` says its length already, {float(number.sixteenths):g}/16 in",
            "write a diameter to ask for a number, as `1/8`",
        )
    size = f"{number.thirty_seconds}/32" if number else asked
    facts = list(_number_facts(number)) if number else []
    try:
        row = find_row(diameter_of(size), DIAMETERS)
    except RefusedError:
        if not number:
            raise
        return Answer(f"Rivet {number.number()}", tuple(facts), CAUTIONS)
    if long is not None:
        facts += numbers_of(row, long)
    if grip is not None:
        facts += length_for(row, grip)
    said = "" if not number else "flush" if number.head.flush else "protruding"
    facts += [*size_facts(row), *spacing.of_rivet(row, spacing.heads_of(said))]
    title = number.number() if number else f"{row.name} in"
    return Answer(f"Rivet {title}", tuple(facts), CAUTIONS)


def size_facts(row: Size) -> tuple[Fact, ...]:
    """Give everything about a diameter: hole, drill, and driven head by each rule."""
    facts = []
    if any(name == row.name for name, _, _ in HOLE_LIMITS):
        facts.append(hole_limit(row.name))
    for hole in HOLES:
        if hole.rivet == row.name:
            older = f"drill {hole.drill}" + (f"; {hole.older} in older books" * bool(hole.older))
            size = inches(hole.inches)
            facts.append(Fact("Drill", size, size, hole.source, older))
    for rule in HEAD_RULES.values():
        if row in rule.rows:
            facts += [rule.diameter(row), rule.height(row)]
    return tuple(facts)


def _number_facts(number: Rivet) -> tuple[Fact, ...]:
    metal, mark = ALLOYS[number.alloy]
    head = f"{number.head.name}; {number.head.ms} supersedes {number.head.an}"
    diameter, long = inches(number.diameter), inches(number.length)
    thirds, halves = f"{number.thirty_seconds}/32 in", f"{float(number.sixteenths):g}/16 in"
    return (
        Fact("Head", None, None, AC_4_57, head),
        Fact("Alloy", None, None, CODES, f"{metal}, marked with {_mark(mark)}"),
        Fact("Diameter", diameter, diameter, CODES, thirds),
        Fact("Length", long, long, CODES, halves),
    )


def _mark(mark: str) -> str:
    return "nothing (plain)" if mark == "plain" else f"a {mark}".replace("a i", "an i")
