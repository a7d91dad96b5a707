"""Quantities as exact fractions, for sums that must come out the same whatever the units.

The inch, the pound and the gallons are exact by definition: international yard and pound agreement
of 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg); NIST Handbook 44, appendix C (US gallon of 231 cubic
inches); United Kingdom Units of Measurement Regulations 1995 (gallon of 4.54609 litres). From
memory; a test holds every one against pint.
"""

from fractions import Fraction

from buildbook.records.quantities import Quantity, pint_name

_F = Fraction
_INCH = _F("25.4")
_POUND = _F("0.45359237")
_US_GALLON = 231 * (_INCH / 100) ** 3
_GALLON = _F("4.54609")

FACTORS: dict[str, Fraction] = {
    # Length in millimetres.
    **dict.fromkeys(("mm", "millimeter", "millimetre"), _F(1)),
    **dict.fromkeys(("cm", "centimeter", "centimetre"), _F(10)),
    **dict.fromkeys(("m", "meter", "metre"), _F(1000)),
    **dict.fromkeys(("inch", "inches"), _INCH),
    **dict.fromkeys(("ft", "foot", "feet"), 12 * _INCH),
    # Mass in kilograms.
    **dict.fromkeys(("g", "gram"), _F(1, 1000)),
    **dict.fromkeys(("kg", "kilogram"), _F(1)),
    **dict.fromkeys(("lb", "pound", "pounds"), _POUND),
    **dict.fromkeys(("oz", "ounce"), _POUND / 16),
    # Volume in litres.
    **dict.fromkeys(("ml", "milliliter", "millilitre"), _F(1, 1000)),
    **dict.fromkeys(("l", "L", "liter", "litre"), _F(1)),
    **dict.fromkeys(("gal", "gallon"), _US_GALLON),
    "imperial_gallon": _GALLON,
    # Density in kilograms to the litre.
    **dict.fromkeys(("kg/l", "kg/L", "kilogram/liter"), _F(1)),
    "g/ml": _F(1),
    **dict.fromkeys(("lb/gal", "pound/gallon"), _POUND / _US_GALLON),
    "pound/imperial_gallon": _POUND / _GALLON,
    "percent": _F(1),
}
"""What one of each unit is in the unit that is reckoned in."""


def exact(quantity: Quantity, unit: str) -> Fraction:
    """Return a quantity in another unit of its dimension, exactly where both are in FACTORS.

    `unit` is pint's name or a builder's spelling. Of other units the digits of a float are kept.
    """
    name = pint_name(unit)
    value = Fraction(repr(quantity.value))
    if quantity.unit == name:
        return value
    if quantity.unit in FACTORS and name in FACTORS:
        return value * FACTORS[quantity.unit] / FACTORS[name]
    return Fraction(repr(quantity.to(name)))


def in_unit(value: Fraction, unit: str) -> Fraction:
    """Return a value in millimetres, kilograms, litres or kilograms to the litre in another unit.

    Raises KeyError for a unit that is not in FACTORS.
    """
    return value / FACTORS[pint_name(unit)]
