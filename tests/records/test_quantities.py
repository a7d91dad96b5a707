"""Quantities: what is written is kept, its unit understood, its dimension checked."""

import contextlib

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.quantities import DIMENSIONS, USUAL, parse_quantity, show_number


@pytest.mark.parametrize(
    ("written", "dimension", "unit", "value"),
    [
        ("0.032 in", "length", "in", 0.032),
        ("3/32 in", "length", "in", 0.09375),
        ("1 1/2 in", "length", "in", 1.5),
        (".5 in", "length", "in", 0.5),
        ('4"', "length", "in", 4.0),
        ("32 mil", "length", "in", 0.032),
        ("12 in-lb", "torque", "in-lb", 12.0),
        ("12 in lb", "torque", "in-lb", 12.0),
        ("1.4 N·m", "torque", "N·m", 1.4),
        ("1.4 Nm", "torque", "N·m", 1.4),
        ("17 °C", "temperature", "°C", 17.0),
        ("17 C", "temperature", "°C", 17.0),
        ("-5 °C", "temperature", "°C", -5.0),
        ("\N{MINUS SIGN}5 °C", "temperature", "°C", -5.0),
        ("55 %", "share", "percent", 55.0),
        ("55%", "share", "percent", 55.0),
        ("0.1 deg", "angle", "deg", 0.1),
        ("34 kg", "mass", "kg", 34.0),
        ("75 lbs", "mass", "lb", 75.0),
        ("2.5 milliohm", "resistance", "milliohm", 2.5),
        ("250 ml", "volume", "ml", 250.0),
        ("20 N", "force", "N", 20.0),
        ("2.4 bar", "pressure", "bar", 2.4),
        ("90 min", "time", "min", 90.0),
    ],
)
def test_reads(written: str, dimension: str, unit: str, value: float) -> None:
    quantity = parse_quantity(written, dimension)
    assert quantity.written == written
    assert quantity.dimension == dimension
    assert quantity.to(unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "dimension", "said"),
    [
        ("0,032 in", "length", "has a comma"),
        ("0.032", "length", "has no unit"),
        ("in", "length", "not a number with a unit"),
        ("12 in-lb", "length", "is a torque, and a length is needed here"),
        ("3 in", "angle", "is a length, and an angle is needed here"),
        ("3 furlongz", "length", "`furlongz` is not a unit"),
        ("1/0 in", "length", "divides by zero"),
        ("1 in**2", None, "is not a unit"),
        ("1 in**99999999", None, "is not a unit"),
        ("1 dimensionless", None, "is not a unit"),
        ("1 kg/m", None, "is not a unit"),
        ("9" * 100 + " in", "length", "not a number with a unit"),
        ("1e5 in", "length", "is not a unit"),
        ("__import__ in", "length", "not a number with a unit"),
    ],
)
def test_refuses_in_words(written: str, dimension: str | None, said: str) -> None:
    with pytest.raises(ValueError, match=said.replace("*", r"\*")):
        parse_quantity(written, dimension)


def test_every_dimension_reads_its_own_example() -> None:
    for dimension in DIMENSIONS.values():
        quantity = parse_quantity(dimension.example, dimension.name)
        assert quantity.to(dimension.unit) == quantity.to(dimension.unit)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(ValueError):
        assert parse_quantity(text).dimension in DIMENSIONS


@pytest.mark.parametrize(
    ("value", "shown"), [(0.5, "0.5"), (12.0, "12"), (2.25969, "2.26"), (0.032, "0.032")]
)
def test_shows(value: float, shown: str) -> None:
    assert show_number(value) == shown


def test_large_numbers_are_written_out() -> None:
    assert [show_number(v) for v in (9999.6, 10000, 123456.7, 0.0320, 12.5)] == [
        "10000",
        "10000",
        "123457",
        "0.032",
        "12.5",
    ]


@pytest.mark.parametrize(("unit", "dimension"), USUAL.items())
def test_usual_units_are_what_pint_says(unit: str, dimension: str) -> None:
    registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    same = registry.Unit(DIMENSIONS[dimension].unit).dimensionality
    assert registry.Unit(unit).dimensionality == same
