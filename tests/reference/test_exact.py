"""Exact units against pint, whose definitions come from the same standards."""

from fractions import Fraction

import pint
import pytest

from buildbook.records.quantities import parse_quantity
from buildbook.reference.exact import FACTORS, exact, in_unit

REGISTRY = pint.UnitRegistry(non_int_type=Fraction)
BASES = ("millimeter", "kilogram", "liter", "kilogram/liter")


@pytest.mark.parametrize("unit", sorted(FACTORS.keys() - {"percent"}))
def test_every_factor(unit: str) -> None:
    one = REGISTRY.Quantity(Fraction(1), unit)
    base = next(b for b in BASES if one.check(REGISTRY.Unit(b).dimensionality))
    assert FACTORS[unit] == one.to(base).magnitude


@pytest.mark.parametrize(
    ("written", "unit", "value"),
    [
        ("97.5 kg", "kg", Fraction(975, 10)),
        ("1 in", "mm", Fraction(254, 10)),
        ("-12.25 in", "mm", Fraction("-311.15")),
        ("1/4 in", "mm", Fraction("6.35")),
        ("2 ft", "in", Fraction(24)),
        ("100 lb", "kg", Fraction("45.359237")),
        ("16 oz", "lb", Fraction(1)),
        ("1 gal", "l", Fraction("3.785411784")),
        ("1 US gal", "l", Fraction("3.785411784")),
        ("1 imp gal", "l", Fraction("4.54609")),
        ("24 %", "percent", Fraction(24)),
    ],
)
def test_quantities(written: str, unit: str, value: Fraction) -> None:
    assert exact(parse_quantity(written), unit) == value


def test_six_pounds_to_the_gallon() -> None:
    """What avgas is commonly reckoned with: 0.719 kg/l (common practice)."""
    density = exact(parse_quantity("6 lb/gal"), "kg/l")
    assert round(float(density), 3) == 0.719
    assert density == exact(parse_quantity("6 lb/US gal"), "kg/l")
    assert exact(parse_quantity("7.2 lb/imp gal"), "kg/l") < density


def test_other_units_go_by_floats() -> None:
    assert float(exact(parse_quantity("1 stone"), "kg")) == pytest.approx(6.35029318)


def test_back_again() -> None:
    assert in_unit(Fraction("45.359237"), "lb") == 100
