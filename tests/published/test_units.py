"""Conversion of units, against published factors."""

import pytest

from buildbook.records.quantities import parse_quantity

# NIST Special Publication 811 (2008 edition), appendix B.8. Factors in bold there are exact.
NIST_SP_811 = [
    ("1 in", "mm", 25.4, 0),  # exact
    ("1 ft", "m", 0.3048, 0),  # exact
    ("1 mil", "mm", 0.0254, 0),  # exact
    ("1 lb", "kg", 0.45359237, 0),  # exact
    ("1 oz", "kg", 2.834952e-2, 5e-9),
    ("1 in-lb", "N·m", 0.1129848, 5e-8),
    ("1 ft-lb", "N·m", 1.355818, 5e-7),
    ("1 lbf", "N", 4.448222, 5e-7),
    ("1 kgf", "N", 9.80665, 0),  # exact
    ("1 psi", "Pa", 6894.757, 5e-4),
    ("1 bar", "Pa", 1e5, 0),  # exact
    ("1 atm", "Pa", 101325.0, 0),  # exact
    ("1 inHg", "Pa", 3386.389, 5e-2),  # conventional; the last digits depend on the definition
    ("1 min", "s", 60.0, 0),  # exact
    ("1 deg", "radian", 0.01745329, 5e-9),
]


@pytest.mark.parametrize(("written", "unit", "value", "rounding"), NIST_SP_811)
def test_factors(written: str, unit: str, value: float, rounding: float) -> None:
    assert parse_quantity(written).to(unit) == pytest.approx(value, rel=1e-12, abs=rounding)


# NIST SP 811, appendix B.8: t/degC = (t/degF - 32)/1.8. Fixed points of the two scales.
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (68, 20), (98.6, 37), (14, -10)]
)
def test_temperatures(fahrenheit: float, celsius: float) -> None:
    assert parse_quantity(f"{fahrenheit} °F").to("°C") == pytest.approx(celsius, abs=1e-9)
    assert parse_quantity(f"{celsius} °C").to("°F") == pytest.approx(fahrenheit, abs=1e-9)
    assert parse_quantity(f"{celsius} °C").to("kelvin") == pytest.approx(celsius + 273.15)


# Tightening torques of AC 43.13-1B (9/8/98), Table 7-1, converted with the factor of NIST SP 811
# and rounded to two decimals.
@pytest.mark.parametrize(
    ("inch_pounds", "newton_metres"),
    [(20, 2.26), (25, 2.82), (50, 5.65), (70, 7.91), (160, 18.08), (190, 21.47)],
)
def test_bolt_torques(inch_pounds: int, newton_metres: float) -> None:
    assert round(parse_quantity(f"{inch_pounds} in-lb").to("N·m"), 2) == newton_metres


# Rivet diameters in AC 43.13-1B are given as fractions of an inch; a 3/32 in rivet is .0938 in.
@pytest.mark.parametrize(
    ("written", "inches"), [("3/32 in", 0.09375), ("1/8 in", 0.125), ("5/32 in", 0.15625)]
)
def test_fractions_of_an_inch_are_exact(written: str, inches: float) -> None:
    assert parse_quantity(written).value == inches
