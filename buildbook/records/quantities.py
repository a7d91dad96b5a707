"""Measured and planned quantities: the value as written, its unit, and its dimension checked.

Units are pint's. pint is loaded at the first quantity, so that commands which meet none stay quick.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad

# How units are written on plans and tools, in words pint knows. `in-lb` would be read as a
# subtraction, and `C` as coulomb.
_SPELLINGS = {
    "in-lb": "force_pound*inch",
    "in-lbs": "force_pound*inch",
    "in·lb": "force_pound*inch",
    "in lb": "force_pound*inch",
    "lb-in": "force_pound*inch",
    "lbf-in": "force_pound*inch",
    "in-lbf": "force_pound*inch",
    "ft-lb": "force_pound*foot",
    "ft-lbs": "force_pound*foot",
    "ft·lb": "force_pound*foot",
    "lb-ft": "force_pound*foot",
    "n·m": "newton*meter",
    "n-m": "newton*meter",
    "nm": "newton*meter",
    "n m": "newton*meter",
    '"': "inch",
    "in": "inch",
    "in.": "inch",
    "mil": "thou",
    "mils": "thou",
    "°c": "degC",
    "c": "degC",
    "degc": "degC",
    "deg c": "degC",
    "°f": "degF",
    "f": "degF",
    "degf": "degF",
    "deg f": "degF",
    "°": "degree",
    "deg": "degree",
    "%": "percent",
    "lbs": "pound",
    "us gal": "gallon",
    "imp gal": "imperial_gallon",
    "lb/us gal": "pound/gallon",
    "lb/imp gal": "pound/imperial_gallon",
    "ohms": "ohm",
    "Ω": "ohm",
    "mω": "milliohm",
    "ω": "ohm",
}

_DIGITS = r"[0-9]{1,12}"
_FRACTION = rf"{_DIGITS}/{_DIGITS}"
_NUMBER = rf"(?:{_DIGITS}\s+{_FRACTION}|{_FRACTION}|{_DIGITS}(?:\.{_DIGITS})?|\.{_DIGITS})"
_WRITTEN = re.compile(
    rf"(?P<sign>[-+\N{{MINUS SIGN}}]?)\s*(?P<number>{_NUMBER})(?![0-9])\s*(?P<unit>\S.*)?"
)


class Dimension(NamedTuple):
    """A kind of quantity: what it is called, a unit of it, and an example to show."""

    name: str
    unit: str
    example: str


DIMENSIONS = {
    d.name: d
    for d in (
        Dimension("length", "millimeter", "0.032 in"),
        Dimension("torque", "newton*meter", "25 in-lb"),
        Dimension("temperature", "degC", "17 °C"),
        Dimension("share", "percent", "55 %"),
        Dimension("angle", "degree", "90 deg"),
        Dimension("mass", "kilogram", "34 kg"),
        Dimension("force", "newton", "20 N"),
        Dimension("pressure", "pascal", "2.4 bar"),
        Dimension("resistance", "ohm", "2.5 milliohm"),
        Dimension("volume", "liter", "250 ml"),
        Dimension("density", "kilogram/liter", "0.72 kg/l"),
        Dimension("time", "second", "90 min"),
    )
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with a unit."""

    written: str
    """As the builder wrote it; never changed."""
    value: float
    """In `unit`."""
    unit: str
    """As pint names it, for example `force_pound*inch`."""
    dimension: str
    """A name in DIMENSIONS."""

    def to(self, unit: str) -> float:
        """Convert to another unit of the same dimension (pint's name or a builder's spelling)."""
        if pint_name(unit) == self.unit:
            return self.value
        registry = _registry()
        return float(registry.Quantity(self.value, self.unit).to(pint_name(unit)).magnitude)


def pint_name(unit: str) -> str:
    """Return pint's name for a unit as a builder spells it."""
    plain = " ".join(unit.split())
    return _SPELLINGS.get(plain, _SPELLINGS.get(plain.lower(), plain))


@lru_cache(maxsize=4096)  # the same few sizes and limits are written again and again
def parse_quantity(written: str, dimension: str | None = None) -> Quantity:
    """Read `0.032 in`, `3/32 in`, `12 in-lb`, `1.4 N·m`, `17 °C`, `55 %`.

    With `dimension`, a name in DIMENSIONS, any other is refused. Raises ValueError with a sentence.
    """
    text = written.strip()
    if re.search(r"\d,\d", text):
        raise ValueError(f"`{written}` has a comma; write the number with a point")
    found = _WRITTEN.fullmatch(text)
    if not found:
        raise ValueError(f"`{written}` is not a number with a unit")
    try:
        value = float(sum(Fraction(part) for part in found["number"].split()))
    except ZeroDivisionError:
        raise ValueError(f"`{written}` divides by zero") from None
    if found["sign"] not in ("", "+"):
        value = -value
    if not found["unit"]:
        raise ValueError(f"`{written}` has no unit")
    unit = pint_name(found["unit"])
    known = dimension_of(unit)
    if known is None:
        raise ValueError(f"`{found['unit'].strip()}` is not a unit known here")
    if dimension is not None and known != dimension:
        raise ValueError(f"`{written}` is {an(known)}, and {an(dimension)} is needed here")
    return Quantity(written, value, unit, known)


def an(noun: str) -> str:
    """Put `a` or `an` before a noun."""
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


# The units nearly all books get by with: while they do, pint is not loaded, which takes longer than
# reading a hundred records. A test holds them against pint.
USUAL = {
    "inch": "length",
    "mm": "length",
    "force_pound*inch": "torque",
    "newton*meter": "torque",
    "degC": "temperature",
    "degF": "temperature",
    "percent": "share",
    "degree": "angle",
    "kg": "mass",
    "pound": "mass",
    "l": "volume",
    "kg/l": "density",
}


_WITHOUT_DIMENSION = dict.fromkeys(("percent", "pct"), "share") | dict.fromkeys(
    ("degree", "degrees", "radian", "radians", "arcmin"), "angle"
)


@lru_cache(maxsize=512)
def dimension_of(unit: str) -> str | None:
    """Name the dimension of a unit in pint's spelling, or None when it is not a unit used here."""
    if usual := USUAL.get(unit):
        return usual
    # pint also evaluates powers and products; a builder's unit is a word or a product of two.
    if not re.fullmatch(r"[A-Za-zµμ°_]+(?:[*/·][A-Za-zµμ_]+)?", unit):
        return None
    registry = _registry()
    try:
        dimensionality = registry.Unit(unit).dimensionality
    except Exception:  # noqa: BLE001 - pint raises several unrelated kinds for what it cannot read
        return None
    # Percent and degrees are both dimensionless to pint: tell them apart by name.
    if not dimensionality:
        return _WITHOUT_DIMENSION.get(unit)
    for name, other in _dimensionalities().items():
        if dimensionality == other:
            return name
    return None


@cache
def _registry() -> Any:
    import pint  # noqa: PLC0415 - slow to load, and many commands never need it

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@cache
def _dimensionalities() -> dict[str, Any]:
    registry = _registry()
    return {
        name: registry.Unit(d.unit).dimensionality
        for name, d in DIMENSIONS.items()
        if name not in ("share", "angle")
    }


def show_number(value: float, digits: int = 4) -> str:
    """Write a number with at most `digits` significant digits and no needless zeros."""
    if abs(value) >= 10**digits - 0.5:
        return f"{value:.0f}"  # and never as 1e+04
    return f"{value:.{digits}g}"


def _field(dimension: str | None) -> BeforeValidator:
    def validate(value: Any) -> Any:
        if not isinstance(value, str):
            return value
        try:
            return parse_quantity(value, dimension)
        except ValueError as error:
            example = DIMENSIONS[dimension].example if dimension else "0.190 in"
            advice = f"write a number and a unit, as `{example}`"
            raise bad("quantity", str(error), advice) from None

    return BeforeValidator(validate)


def _schema(dimension: str | None) -> WithJsonSchema:
    examples = [DIMENSIONS[dimension].example] if dimension else ["0.190 in", "25 in-lb"]
    return WithJsonSchema(
        {
            "type": ["string"],  # never a bare number: it would lack its unit
            "pattern": "^[-+\N{MINUS SIGN}]? *[0-9.][0-9./ ]*[^0-9./ ]",
            "examples": examples,
        }
    )


AnyQuantity = Annotated[Quantity, _field(None), _schema(None)]
Length = Annotated[Quantity, _field("length"), _schema("length")]
Torque = Annotated[Quantity, _field("torque"), _schema("torque")]
Temperature = Annotated[Quantity, _field("temperature"), _schema("temperature")]
Share = Annotated[Quantity, _field("share"), _schema("share")]
Mass = Annotated[Quantity, _field("mass"), _schema("mass")]
