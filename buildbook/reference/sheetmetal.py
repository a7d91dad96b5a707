"""Small rules of sheet metal: blending corrosion out, deburring holes, setback of a bend.

How deep corrosion may be removed at all has no published limit here: that is the maker's, or an
engineer's. Nothing published was found for fluting, flange angles or edges of lightening holes.
"""

import math

from buildbook.records.quantities import Quantity
from buildbook.reference.answers import Answer, Fact, RefusedError, inches
from buildbook.reference.source import Source, Sure

BLEND = Source("FAA AC 43.13-1B", "ch. 6, p. 6-28", "9/8/98", Sure.SEEN)
ABRASIVES = Source("FAA AC 43.13-1B", "Table 6-1", "9/8/98", Sure.SEEN)
DEBURR = Source("MIL-R-47196A", "burrs", "6 September 1977", Sure.SEEN, "quoted")
SETBACK = Source("FAA AC 43.13-1B", "figure 4-3: K (R + t)", "9/8/98", Sure.COMPUTED)

BLEND_RATIO = 20
"""Length to depth."""
DEBURR_SHARE, DEBURR_MOST = 0.10, 0.032
"""Of the thickness, and inches, whichever is less."""
THICKEST = 1.0
"""Inches: beyond it is no sheet."""

BLEND_CAUTIONS = (
    "How much may be removed is the maker's or an engineer's to say: no limit is given here.",
    "No silicon carbide on aluminium. On clad sheet sand minor scratches only.",
)
DEBURR_CAUTIONS = ("A deeper chamfer weakens the edge of the hole, and under a dimple it cracks.",)
SETBACK_CAUTIONS = ("From the mould line to the bend line; bend a strip of scrap first.",)


def blend_length(depth: Quantity) -> Fact:
    """Give the least length over which a depth is blended. Raises RefusedError."""
    least = BLEND_RATIO * _sheet(depth, "depth")
    return Fact(f"Length of the blend ({BLEND_RATIO} to 1)", inches(least), None, BLEND)


def blend(depth: Quantity) -> Answer:
    """Look up how a depth of removed corrosion is blended. Raises RefusedError."""
    finish = Fact("Finish", None, None, BLEND, "finer and finer paper, to 400 grit")
    paper = Fact("Paper", None, None, ABRASIVES, "aluminium oxide or garnet")
    facts = (blend_length(depth), finish, paper)
    return Answer(f"Blending a depth of {depth.written}", facts, BLEND_CAUTIONS)


def deburr_depth(thickness: Quantity) -> Fact:
    """Give the deepest chamfer of a hole in sheet of a thickness. Raises RefusedError."""
    deepest = min(DEBURR_SHARE * _sheet(thickness, "thickness"), DEBURR_MOST)
    return Fact("Depth of the chamfer", None, inches(deepest), DEBURR, "10 % of the thickness")


def deburr(thickness: Quantity) -> Answer:
    """Look up how deep the edge of a hole may be deburred. Raises RefusedError."""
    title = f"Deburring a hole in {thickness.written}"
    return Answer(title, (deburr_depth(thickness),), DEBURR_CAUTIONS)


def setback(radius: Quantity, thickness: Quantity, degrees: float) -> Answer:
    """Compute K (R + t) with K = tan(angle / 2), from the inside radius.

    `degrees` is the angle through which the sheet is bent. Raises RefusedError unless it is above
    0 and below 180, and for a radius below nothing.
    """
    if not 0 < degrees < 180:  # noqa: PLR2004 - a bend of 180 degrees has no mould lines that meet
        raise RefusedError(
            f"a bend of {degrees:g} degrees has no setback", "write an angle between 0 and 180"
        )
    inside = radius.to("inch")
    if inside < 0:
        raise RefusedError(f"a radius of `{radius.written}` is less than nothing")
    k = math.tan(math.radians(degrees) / 2)
    length = k * (inside + _sheet(thickness, "thickness"))
    facts = (
        Fact("Setback", inches(length), inches(length), SETBACK),
        Fact("K", None, None, SETBACK, f"{k:.5g}"),
    )
    title = f"Setback of {degrees:g} degrees, radius {radius.written}, {thickness.written}"
    return Answer(title, facts, SETBACK_CAUTIONS)


def _sheet(length: Quantity, what: str) -> float:
    """Return a depth or a thickness in inches; refuse what no sheet has."""
    value = length.to("inch")
    if not 0 < value <= THICKEST:
        raise RefusedError(
            f"a {what} of `{length.written}` is not one of sheet metal",
            f"from 0 to {THICKEST:g} in; write the unit, as `.032 in` or `0.8 mm`",
        )
    return value
