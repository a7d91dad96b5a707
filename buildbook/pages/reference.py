"""The page of published tables and formulas, each value with its source."""

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Page, SearchEntry
from buildbook.pages.referencetables import (
    Table,
    bend_tables,
    dew_point_tables,
    rivet_tables,
    rule_tables,
    sheet_metal_tables,
    shelf_life_tables,
    spacing_tables,
    temper_tables,
    torque_tables,
)
from buildbook.pages.words import mark, say, translated
from buildbook.reference import (
    bends,
    dewpoint,
    rivets,
    sheetmetal,
    shelflife,
    spacing,
    tempers,
    torque,
)
from buildbook.reference.answers import STANDING, UNVERIFIED
from buildbook.reference.hazards import FIRST, HAZARDS, Hazard
from buildbook.reference.source import Source


@dataclass(frozen=True, slots=True)
class SourceView:
    """A document that values rest on."""

    name: str
    places: str
    """Tables, paragraphs or pages."""
    sure: str
    """`seen`, `computed` or `from memory, unverified`."""
    unverified: bool


@dataclass(frozen=True, slots=True)
class SubjectView:
    """One subject of the page."""

    anchor: str
    title: str
    intro: tuple[str, ...]
    command: str
    """The same on the command line."""
    tables: tuple[Table, ...]
    cautions: tuple[str, ...]
    sources: tuple[SourceView, ...]


@dataclass(frozen=True, slots=True)
class HazardText:
    """A hazard, whole."""

    anchor: str
    title: str
    harm: str
    protection: tuple[str, ...]
    sources: tuple[SourceView, ...]


@dataclass(frozen=True, slots=True)
class ReferenceView:
    """Template `reference.html`."""

    standing: str
    unverified: str
    """The words that mark what nobody looked up."""
    subjects: tuple[SubjectView, ...]
    hazards: tuple[HazardText, ...]
    hazards_first: str


def reference_page(context: Context) -> Page:  # noqa: ARG001 - the same in every book
    """Lay out the page of tables."""
    subjects = _subjects()
    hazards = tuple(map(_hazard, HAZARDS.values()))
    search = [
        SearchEntry(say("Reference"), say("Published tables: torque, rivets, bends, dew point"))
    ]
    search += [
        SearchEntry(
            s.title, f"{' '.join(s.intro)} {' '.join(t.caption for t in s.tables)}", s.anchor
        )
        for s in subjects
    ]
    search += [
        SearchEntry(h.title, f"{h.harm} {' '.join(h.protection)}", h.anchor) for h in hazards
    ]
    return Page(
        paths.REFERENCE,
        say("Reference"),
        "reference.html",
        ReferenceView(
            translated(STANDING), translated(UNVERIFIED), subjects, hazards, translated(FIRST)
        ),
        search,
        frozenset(),
        listed=True,
        description=say("Published tables and formulas, each value with its source."),
    )


INTROS = {
    "torque": """
        Recommended torque of dry cadmium-plated steel threads, for bolts loaded mostly in shear.
        The torque that a self-locking nut needs just to turn is measured and added on top of every
        figure.

        Never more: the largest torque, drag added, while a castle nut is turned on to its pin.
        Tension nuts are MS20365 and AN310, shear nuts MS20364 and AN320.
        """,
    "rivets": """
        A number says head, alloy, diameter and length: MS20470AD4-3.5 is a universal head of
        2117-T4, 4/32 in by 3.5/16 in. AN470 and AN426 are the older numbers of MS20470 and MS20426.

        Length = grip + 1.5 D. The nearest half sixteenth is said first, then the next whole
        sixteenth that is not shorter.

        Documents ask different things of a driven head, so each is a rule with a name. A limit
        that names none goes by MIL-R-47196A.
        """,
    "spacing": "From the middle of the hole; D is the diameter of the shank.",
    "bends": "Inside radius of a 90 degree bend, for the thicknesses of the table and no others.",
    "tempers": "What stands behind the alloy's number.",
    "dew-point": f"""
        Below freezing the frost point, over ice, is given and called so. A surface to be coated
        should be at least {dewpoint.difference(dewpoint.MARGIN)} above it.
        """,
    "sheet-metal": """
        Setback of a bend = K (R + t), with K the tangent of half the angle of bend.

        Nothing published was found for fluting, flange angles or the edges of lightening holes:
        their limits come from the plans.
        """,
    "shelf-life": """
        Months are counted to the same day of the month, or to its last: 31 January and one month
        is 28 February. A month without a day runs to its end.

        Time out of the cold adds up and is never set back; pot life runs from mixing.
        """,
    "rules": "In place of figures, a limit in a record may name one of these.",
}
"""Paragraphs before the tables of a subject, by its anchor."""


def paragraphs(anchor: str) -> tuple[str, ...]:
    """Give what is said before the tables of a subject."""
    return tuple(" ".join(text.split()) for text in INTROS[anchor].split("\n\n"))


def _subjects() -> tuple[SubjectView, ...]:
    sheet_metal = (
        *sheetmetal.BLEND_CAUTIONS,
        *sheetmetal.DEBURR_CAUTIONS,
        *sheetmetal.SETBACK_CAUTIONS,
    )
    return tuple(
        _subject(anchor, title, command, tables(), cautions)
        for anchor, title, command, tables, cautions in (
            (
                "torque",
                mark("Torque of bolts and nuts"),
                "torque AN4 tension --drag '8 in-lb'",
                torque_tables,
                torque.CAUTIONS,
            ),
            (
                "rivets",
                mark("Solid rivets"),
                "rivet MS20470AD4-3.5 --grip .064",
                rivet_tables,
                rivets.CAUTIONS,
            ),
            (
                "spacing",
                mark("Edge distance and pitch"),
                "spacing AN4",
                spacing_tables,
                spacing.BOLT_CAUTIONS,
            ),
            ("bends", mark("Bend radius"), "bend 2024-T3 .032", bend_tables, bends.CAUTIONS),
            ("tempers", mark("Tempers"), "temper 2024-T3", temper_tables, tempers.CAUTIONS),
            (
                "dew-point",
                mark("Dew point"),
                "dew-point 21 71 --surface 13",
                dew_point_tables,
                dewpoint.CAUTIONS,
            ),
            ("sheet-metal", mark("Sheet metal"), "blend .005", sheet_metal_tables, sheet_metal),
            (
                "shelf-life",
                mark("Shelf life"),
                "shelf-life 2026-01-31 6",
                shelf_life_tables,
                shelflife.CAUTIONS,
            ),
            (
                "rules",
                mark("Rules that a limit can name"),
                "rule edge distance 1/8 flush",
                rule_tables,
                (),
            ),
        )
    )


def _subject(
    anchor: str,
    title: str,
    command: str,
    tables: tuple[Table, ...],
    cautions: tuple[str, ...],
) -> SubjectView:
    sources = dict.fromkeys(source for table in tables for source in table.sources)
    intro = tuple(map(translated, paragraphs(anchor)))
    whole = f"buildbook look-up {command}"
    said = tuple(map(translated, cautions))
    return SubjectView(anchor, say(title), intro, whole, tables, said, _sources(sources))


def _hazard(hazard: Hazard) -> HazardText:
    return HazardText(
        hazard.anchor,
        translated(hazard.title),
        translated(hazard.harm),
        tuple(map(translated, hazard.protection)),
        _sources(hazard.sources),
    )


def _sources(sources: Iterable[Source]) -> tuple[SourceView, ...]:
    """Name each document once for each way it was seen, with all its places."""
    places: dict[tuple[str, str, bool], list[str]] = {}
    for source in sources:
        sure = translated(source.sure.value if source.verified else UNVERIFIED)
        words = f"{sure}; {translated(source.note)}" if source.note else sure
        places.setdefault((source.name, words, not source.verified), []).append(source.table)
    return tuple(
        SourceView(name, ", ".join(filter(None, dict.fromkeys(tables))), words, unverified)
        for (name, words, unverified), tables in places.items()
    )
