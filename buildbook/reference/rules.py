"""Limits named in words, so that a record can cite one: `torque AN4 tension`.

A rule's text is its name, then what it is about. RULES lists them with an example each.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from buildbook.records.problems import did_you_mean
from buildbook.records.quantities import Quantity
from buildbook.reference import bends, rivets, sheetmetal, spacing, torque
from buildbook.reference.answers import Fact, RefusedError
from buildbook.reference.rivetcodes import rivet_shank
from buildbook.reference.sizes import find_row, length, measured
from buildbook.reference.source import Source


class UnknownRuleError(RefusedError):
    """No rule is called that, or its table has no such row."""


@dataclass(frozen=True, slots=True)
class RuleLimit:
    """What a rule allows. At least one of the two limits is there."""

    low: Quantity | None
    high: Quantity | None
    source: Source
    caution: str
    """A sentence shown beside the limit."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A limit that can be named."""

    name: str
    """The words its text begins with."""
    example: str
    words: str
    """What may follow the name."""
    find: Callable[[str], tuple[Fact, str]]
    """From what follows the name to the limit and its caution."""


def limit_by_rule(text: str) -> RuleLimit:
    """Find the limit that a text names, as `rivet shop head diameter 1/8 by 1.5D`.

    Capitals and spaces do not matter. Raises UnknownRuleError with advice: for a name that no rule
    has, and for a size that the rule's table does not have.
    """
    plain = " ".join(text.split())
    folded = plain.casefold()
    named = [n for n in RULES if folded == n or folded.startswith(f"{n} ")]
    if not named:
        name = " ".join(re.split(r"\s(?=[-.\w]*\d)", folded, maxsplit=1)[:1])
        advice = did_you_mean(name, RULES) or f"rules: {', '.join(RULES)}"
        raise UnknownRuleError(f"no rule is called `{plain}`", advice)
    rule = RULES[max(named, key=len)]
    rest = plain[len(rule.name) :].strip()
    if not rest:
        raise UnknownRuleError(f"`{plain}` does not say of what", f"write it as `{rule.example}`")
    try:
        fact, caution = rule.find(rest)
    except RefusedError as error:
        advice = error.advice or f"write it as `{rule.example}`"
        raise UnknownRuleError(error.message, advice) from None
    return RuleLimit(fact.low, fact.high, fact.source, caution)


def _torque(rest: str) -> tuple[Fact, str]:
    words, _, drag = rest.partition(" drag ")
    size, _, kind = words.removesuffix(" plus").strip().rpartition(" ")
    if not size:
        raise RefusedError(f"the kind of nut is missing after `{rest}`")
    added = measured(drag, "torque") if drag else None
    fact = torque.fact(torque.find(size), torque.nut_kind(kind), added)
    return fact, torque.CAUTIONS[0] if added else torque.CAUTIONS[1]


def _shop_head(which: int) -> Callable[[str], tuple[Fact, str]]:
    def find(rest: str) -> tuple[Fact, str]:
        size, _, by = re.sub(r"\s+by\s+", " by ", rest, flags=re.IGNORECASE).partition(" by ")
        row, _ = rivet_shank(size)
        return rivets.shop_head(f"{row.name} in", by)[which], rivets.CAUTIONS[0]

    return find


def _hole(rest: str) -> tuple[Fact, str]:
    return rivets.hole_limit(rest), rivets.CAUTIONS[1]


def _edge(rest: str) -> tuple[Fact, str]:
    if spacing.is_bolt(rest):
        return spacing.edge_of_bolt(spacing.bolt_shank(rest)), spacing.BOLT_CAUTIONS[-1]
    size, _, head = rest.rpartition(" ")
    if head.casefold() not in spacing.HEADS:
        size, head = rest, ""
    row, said = rivet_shank(size)
    return spacing.edge_of_rivet(row, head.casefold() or said or "protruding"), spacing.CAUTIONS[0]


def _pitch(rest: str) -> tuple[Fact, str]:
    if spacing.is_bolt(rest):
        return spacing.pitch_of_bolt(spacing.bolt_shank(rest)), spacing.BOLT_CAUTIONS[-1]
    return spacing.pitch_of_rivet(rivet_shank(rest)[0]), spacing.CAUTIONS[0]


def _bend(rest: str) -> tuple[Fact, str]:
    found = re.fullmatch(r"(\S+(?: [TtOoFf]\d*)?)\s+(.+)", rest)
    if not found:
        raise RefusedError(f"the thickness is missing after `{rest}`")
    name, thickness = found.groups()
    wanted = length(thickness, "a thickness")
    find_row(wanted, bends.THICKNESSES)
    fact = bends.radius(name, wanted)[0]
    # A larger radius is never too large for the sheet; the plans may say otherwise.
    return Fact(fact.what, fact.low, None, fact.source), bends.CAUTIONS[0]


def _deburr(rest: str) -> tuple[Fact, str]:
    return sheetmetal.deburr_depth(length(rest, "a thickness")), sheetmetal.DEBURR_CAUTIONS[0]


def _blend(rest: str) -> tuple[Fact, str]:
    return sheetmetal.blend_length(length(rest, "a depth")), sheetmetal.BLEND_CAUTIONS[0]


_HEAD_WORDS = "a rivet's size or number, and if wanted: by 1.5D"
RULES = {
    rule.name: rule
    for rule in (
        Rule(
            "torque",
            "torque AN4 tension",
            "a thread or AN bolt, the kind of nut, and if there is any: drag 8 in-lb",
            _torque,
        ),
        Rule(
            "rivet shop head diameter",
            "rivet shop head diameter 1/8",
            _HEAD_WORDS,
            _shop_head(0),
        ),
        Rule(
            "rivet shop head height",
            "rivet shop head height 1/8 by 1.5D",
            _HEAD_WORDS,
            _shop_head(1),
        ),
        Rule("rivet hole", "rivet hole 3/32", "a rivet's size", _hole),
        Rule(
            "edge distance",
            "edge distance 1/8 flush",
            "a rivet's size or number, or an AN bolt, and if so: flush, or dimpled",
            _edge,
        ),
        Rule("pitch", "pitch 1/8", "a rivet's size or number, or an AN bolt", _pitch),
        Rule("bend radius", "bend radius 2024-T3 .032", "material and thickness", _bend),
        Rule("hole deburr", "hole deburr .032", "a thickness", _deburr),
        Rule("blend length", "blend length .005", "a depth", _blend),
    )
}
"""Every rule, by the name its text begins with."""
