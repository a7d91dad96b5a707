"""What a builder types to look something up: sizes, torques, temperatures; rows of a table."""

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from buildbook.records.quantities import DIMENSIONS, Quantity, parse_quantity
from buildbook.reference.answers import RefusedError, listed

_BARE = re.compile(r"[-+\N{MINUS SIGN}]?\s*(?:[0-9]+\s+)?[0-9./]+")
"""A number without a unit."""
_COMMA = re.compile(r"(?<![0-9.,])([0-9]*),([0-9]+)(?![0-9.,])")
_LONGEST = 60


class Size(NamedTuple):
    """A row's size: as the trade names it, and in inches."""

    name: str
    inches: float


def sizes(*names: str) -> tuple[Size, ...]:
    """Make sizes from fractions and decimals of an inch: `1/8`, `.032`."""
    return tuple(Size(name, float(Fraction(name))) for name in names)


def measured(text: str, dimension: str, *, bare: str = "") -> Quantity:
    """Read what was typed; a number alone takes the unit `bare`, if there is one.

    A decimal comma is understood where it can be nothing else (`0,032 in`). Raises RefusedError.
    """
    text = " ".join(text.split())
    if len(text) > _LONGEST:
        raise RefusedError("that is too long for a number with a unit")
    plain = _COMMA.sub(_point, text)
    if bare and _BARE.fullmatch(plain):
        plain = f"{plain} {bare}"
    try:
        return parse_quantity(plain, dimension)
    except ValueError as error:
        example = DIMENSIONS[dimension].example
        advice = f"write a number and a unit, as `{example}`"
        raise RefusedError(str(error), advice) from None


def _point(found: re.Match[str]) -> str:
    whole, part = found.groups()
    if len(part) == 3 and whole.strip("0"):  # noqa: PLR2004 - as thousands are parted
        said = f"`{found[0]}` can be read as {whole}.{part} or as {whole}{part}"
        raise RefusedError(said, "write the number with a point")
    return f"{whole or '0'}.{part}"


def length(text: str, what: str) -> Quantity:
    """Read a length above nothing; a number alone is in inches. Raises RefusedError."""
    found = measured(text, "length", bare="in")
    if found.value <= 0:
        raise RefusedError(f"{what} of `{text.strip()}`: it must be more than nothing")
    return found


def find_row(wanted: Quantity, rows: Iterable[Size]) -> Size:
    """Return the row a length names. It may be rounded, to a thousandth of an inch at the most.

    In millimetres it may be rounded to the second decimal. Raises RefusedError for what is between
    rows or beyond them: nothing is interpolated.
    """
    rows = list(rows)
    unit, coarsest = ("inch", 3) if wanted.unit in ("inch", "thou") else ("mm", 2)
    value = wanted.to(unit)
    rounding = 0.5 * 10.0 ** -max(coarsest, _decimals(wanted.written)) + 1e-9
    for row in rows:
        size = row.inches if unit == "inch" else row.inches * 25.4
        if abs(size - value) <= rounding:
            return row
    raise no_row(wanted.written, (f"{row.name} in" for row in rows))


def no_row(asked: str, there: Iterable[str]) -> RefusedError:
    """Compose the refusal of what a table does not have."""
    return RefusedError(
        f"no row for {' '.join(asked.split())}; the table has {listed(there)}",
        "nothing is guessed between rows or beyond them: ask the plans or the maker",
    )


def _decimals(written: str) -> int:
    if "/" in written:
        return 9
    found = re.search(r"\.([0-9]+)", written)
    digits = len(found[1]) if found else 0
    return digits - 3 if "mil" in written else digits
