"""Tempers of aluminium alloys in words, and what a change of temper in forming means.

Basic tempers by the designation system of ANSI H35.1, as manufacturers' and textbook tables give
it; the standard itself was not seen.
"""

import re
from dataclasses import dataclass

from buildbook.records.problems import did_you_mean
from buildbook.reference.answers import Answer, Fact, RefusedError, listed
from buildbook.reference.source import Source, Sure

H35 = Source("ANSI H35.1", "temper designations", "", Sure.SEEN, "in tables that quote it")
FORMING = Source("Heat treatment by the user", "T42 and T62", "", Sure.SEEN, "in tables that quote")


@dataclass(frozen=True, slots=True)
class Temper:
    """A temper designation."""

    name: str
    words: str
    soft: bool = False
    """Parts are formed in it and heat-treated afterwards."""


TEMPERS = {
    temper.name: temper
    for temper in (
        Temper("F", "as fabricated, with no promise of strength"),
        Temper("O", "annealed, the softest", soft=True),
        Temper("W", "solution heat-treated, and still hardening by itself: not stable"),
        Temper("H14", "strain-hardened, half hard"),
        Temper("H32", "strain-hardened and stabilised, quarter hard"),
        Temper("H34", "strain-hardened and stabilised, half hard"),
        Temper("T3", "solution heat-treated, cold worked, naturally aged"),
        Temper("T351", "as T3, with stress relieved by stretching"),
        Temper("T4", "solution heat-treated, naturally aged"),
        Temper("T42", "solution heat-treated from O or F by the user, naturally aged"),
        Temper("T6", "solution heat-treated, artificially aged"),
        Temper("T62", "solution heat-treated from O or F by the user, artificially aged"),
        Temper("T651", "as T6, with stress relieved by stretching"),
    )
}

AFTER_FORMING = {"2024": "T42", "6061": "T62", "7075": "T62"}
"""The temper of a part that was formed soft and then heat-treated, by alloy: never T3 or T6."""

CAUTIONS = (
    (
        "A part that was formed soft and heat-treated is not in the temper of the sheet that is "
        "bought hard: its strength is another one, and the plans must allow it."
    ),
    "Heating to bend takes the strength out of a hardened sheet, and nothing shows it.",
)


def split(designation: str) -> tuple[str, str]:
    """Part `2024-T3` into alloy and temper; `T3` has no alloy. Raises RefusedError."""
    asked = re.sub(r"\b(?:CLAD|ALCLAD|AL)\b", " ", designation.upper())
    asked = " ".join(asked.replace("-", " ").split())
    found = re.fullmatch(r"(?:([0-9]{4}) ?)?([A-Z][0-9]{0,4})?", asked)
    if not found or not asked:
        raise RefusedError(
            f"`{' '.join(designation.split())}` is no temper", "write it as `2024-T3` or `T3`"
        )
    return found[1] or "", found[2] or ""


def temper(designation: str) -> Answer:
    """Put a temper, or an alloy and its temper, into words. Raises RefusedError."""
    alloy, name = split(designation)
    if not name and alloy not in AFTER_FORMING:
        raise RefusedError(
            f"`{' '.join(designation.split())}` names no temper", f"known: {listed(TEMPERS)}"
        )
    facts = [Fact(name, None, None, H35, _find(name).words)] if name else []
    formed = {alloy: AFTER_FORMING[alloy]} if alloy in AFTER_FORMING else {}
    if not alloy:
        formed = AFTER_FORMING
    if not name or _find(name).soft or name in ("F", *AFTER_FORMING.values()):
        facts += [after_forming(metal) for metal in formed]
    title = f"{alloy}-{name}" if alloy and name else alloy or name
    return Answer(f"Temper {title}", tuple(facts), CAUTIONS)


def after_forming(alloy: str) -> Fact:
    """Say what temper a part of an alloy has that was formed soft and then heat-treated.

    Raises RefusedError for an alloy that is not known here.
    """
    if alloy not in AFTER_FORMING:
        raise RefusedError(
            f"what {alloy} becomes after forming is not known here",
            f"known: {listed(AFTER_FORMING)}",
        )
    becomes = AFTER_FORMING[alloy]
    hard = "T3 or T4" if becomes == "T42" else "T6"
    words = f"becomes {becomes}, never {hard}"
    return Fact(f"{alloy} formed soft, then heat-treated", None, None, FORMING, words)


def _find(name: str) -> Temper:
    if name not in TEMPERS:
        advice = did_you_mean(name, TEMPERS, name="tempers") or f"known: {listed(TEMPERS)}"
        raise RefusedError(f"the temper `{name}` is not known here", advice)
    return TEMPERS[name]
