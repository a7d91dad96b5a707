"""How tightly sheet may be bent: inside radius of a 90 degree bend.

AC 43.13-1B (9/8/98), Table 4-6, in multiples of the thickness. The table gives ranges: what is
smallest depends on the sheet and the tool, so the larger figure is the one to begin with.
"""

from buildbook.records.problems import did_you_mean
from buildbook.records.quantities import Quantity
from buildbook.reference.answers import Answer, Fact, RefusedError, inches, listed
from buildbook.reference.sizes import Size, find_row, sizes
from buildbook.reference.source import Source, Sure

TABLE = Source("FAA AC 43.13-1B", "Table 4-6", "9/8/98", Sure.SEEN)
COMPUTED = Source("FAA AC 43.13-1B", "Table 4-6 times the thickness", "9/8/98", Sure.COMPUTED)

THICKNESSES = sizes(".016", ".032", ".064", ".128")
RADII: dict[str, tuple[tuple[float, float], ...]] = {
    "2024-T3": ((1.5, 3), (2, 4), (3, 5), (4, 6)),
    "6061-T6": ((0, 1), (0.5, 1.5), (1, 2), (1.5, 3)),
    "7075-T6": ((2, 4), (3, 5), (4, 6), (5, 7)),
}
"""By alloy and temper: smallest and largest multiple for each of THICKNESSES."""

CAUTIONS = (
    (
        "Begin with the larger radius; bend across the grain of the sheet, with its edges smooth, "
        "and look for cracks with a glass (common practice)."
    ),
    "The table has bends of 90 degrees only.",
)


def material(name: str) -> str:
    """Return the table's name of a material. Raises RefusedError."""
    asked = "-".join(name.upper().replace("-", " ").split()).removesuffix("-CLAD")
    if asked in RADII:
        return asked
    advice = did_you_mean(asked, RADII) or f"the table has {listed(RADII)}"
    raise RefusedError(f"no row for `{' '.join(name.split())}`", advice)


def multiples(name: str, row: Size) -> tuple[float, float]:
    """Give the range of radii in multiples of the thickness."""
    return RADII[name][THICKNESSES.index(row)]


def radius(name: str, thickness: Quantity) -> tuple[Fact, Fact]:
    """Give the radius as a length and as multiples of the thickness. Raises RefusedError."""
    alloy = material(name)
    row = find_row(thickness, THICKNESSES)
    low, high = multiples(alloy, row)
    return (
        Fact("Inside radius", inches(low * row.inches), inches(high * row.inches), COMPUTED),
        Fact("In thicknesses", None, None, TABLE, f"{low:g} to {high:g}"),
    )


def bend(name: str, thickness: Quantity) -> Answer:
    """Look up the bend radius of a material at a thickness. Raises RefusedError."""
    facts = radius(name, thickness)
    row = find_row(thickness, THICKNESSES)
    return Answer(f"Bend radius of {material(name)}, {row.name} in", facts, CAUTIONS)
