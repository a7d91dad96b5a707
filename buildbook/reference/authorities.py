"""What aviation authorities ask of an amateur builder's record, a paragraph each.

Read in public guidance and quotations of the named documents; rules change, so look up the current
ones. Only the authority decides.
"""

import re
from dataclasses import dataclass

from buildbook.reference.source import Source, Sure


@dataclass(frozen=True, slots=True)
class Rule:
    """The rule of one authority, in short."""

    place: str
    words: str
    sources: tuple[Source, ...]
    names: tuple[str, ...]
    """Words by which a book names the authority, in small letters."""


UNITED_STATES = Rule(
    "United States",
    "The major portion must be fabricated and assembled by persons who do it for their own "
    "education or recreation. The builder shows it by a record kept as the work went on, in "
    "sequence: who did each task, when, where, by which methods, and with what help, paid and not. "
    "Tasks are counted, hours are not.",
    (
        Source("14 CFR 21.191(g)", "", "", Sure.SEEN, "quoted"),
        Source("FAA AC 20-27G", "", "9/30/2009", Sure.SEEN, "quoted"),
        Source("FAA fabrication and assembly checklist", "", "2011", Sure.SEEN),
    ),
    ("faa", "federal aviation administration", "united states", "usa"),
)
UNITED_KINGDOM = Rule(
    "United Kingdom",
    "A permit to fly, through an approved body, with inspections at stages that body names.",
    (Source("Public guidance", "", "", Sure.SEEN),),
    ("united kingdom", "uk caa", "laa", "british civil aviation authority"),
)
CANADA = Rule(
    "Canada",
    "More than half of the fabrication and assembly is done by the amateur builder, and the "
    "aircraft is inspected before it is closed and when it is finished.",
    (Source("Airworthiness manual", "chapter 549", "", Sure.SEEN, "in public guidance"),),
    ("canada", "transport canada", "tcca"),
)
EUROPEAN_UNION = Rule(
    "European Union",
    "At least 51 % is built by amateurs or their association, for their own use and without a "
    "commercial aim; what else is asked, national rules say.",
    (Source("Regulation (EU) 2018/1139", "Annex I", "", Sure.SEEN, "quoted"),),
    ("easa", "european union", "luftfahrt-bundesamt", "dgac", "enac", "trafikstyrelsen"),
)
RULES = (UNITED_STATES, UNITED_KINGDOM, CANADA, EUROPEAN_UNION)


def rule_of(authority: str | None) -> Rule | None:
    """Find the rule of the authority a book names; None where it is none of these."""
    words = f" {' '.join(re.findall(r'[a-z-]+', (authority or '').casefold()))} "
    return next((r for r in RULES if any(f" {name} " in words for name in r.names)), None)
