"""Air: conditions read as they are written, and faults where there are any."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from buildbook.records.air import (
    Air,
    Conditions,
    difference_c,
    parse_span,
    show_difference,
    show_temperature,
)
from buildbook.records.quantities import parse_quantity

CELSIUS = st.integers(-400, 600).map(lambda tenths: tenths / 10)
PERCENT = st.integers(1, 100)


def air(temperature: str, humidity: str, surface: str | None = None) -> Air:
    fields = {"temperature": temperature, "humidity": humidity}
    return Air.model_validate(fields | ({"surface": surface} if surface else {}))


@pytest.mark.parametrize(
    ("written", "low", "high"),
    [
        ("10 to 30 °C", 10, 30),
        ("10 °C to 30 °C", 10, 30),
        ("10\N{EN DASH}30 °C", 10, 30),
        ("-5 to 30 °C", -5, 30),
        ("50 °F to 30 °C", 10, 30),
        ("at least 10 °C", 10, None),
        ("At most 30 °C", None, 30),
    ],
)
def test_reading_a_span(written: str, low: float | None, high: float | None) -> None:
    span = parse_span(written, "temperature")
    for limit, celsius in ((span.low, low), (span.high, high)):
        assert (limit and limit.to("degC")) == (celsius and pytest.approx(celsius))


@pytest.mark.parametrize(
    "written",
    ["", "10 °C", "30 to 10 °C", "10 to 30", "10 to 30 %", "10,5 to 30 °C", "at least", "to 30 °C"],
)
def test_refusing_a_span(written: str) -> None:
    with pytest.raises(ValueError, match="`"):
        parse_span(written, "temperature")


@pytest.mark.parametrize(
    ("written", "celsius"), [("3 °C", 3.0), ("5.4 °F", 3.0), ("9 °F", 5.0), ("3 K", 3.0)]
)
def test_a_margin_is_a_difference(written: str, celsius: float) -> None:
    """NIST SP 811, B.8: a difference of 9 °F is one of 5 °C; the 32 belongs to readings only."""
    assert difference_c(parse_quantity(written, "temperature")) == pytest.approx(celsius)


def test_showing_in_both_units() -> None:
    assert (show_temperature(0, "°F"), show_difference(3, "°F")) == ("32 °F", "5.4 °F")
    assert (show_temperature(-0.04, "°C"), show_difference(3, "°C")) == ("0 °C", "3 °C")
    assert show_temperature(-8.16, "°C") == "\N{MINUS SIGN}8.2 °C"


@pytest.mark.parametrize(
    "fields",
    [
        {"temperature": "17 °C", "humidity": "0 %"},
        {"temperature": "17 °C", "humidity": "101 %"},
        {"temperature": "170 °C", "humidity": "55 %"},
        {"temperature": "-41 °C", "humidity": "55 %"},
        {"temperature": "17 °C", "humidity": "55 %", "surface": "61 °C"},
        {"temperature": "17 °C", "humidity": "55 °C"},
        {"temperature": "17", "humidity": "55 %"},
    ],
)
def test_air_of_no_workshop_is_refused(fields: dict[str, str]) -> None:
    with pytest.raises(ValidationError):
        Air.model_validate(fields)


@given(CELSIUS, PERCENT, CELSIUS)
def test_every_air_has_a_dew_point_below_its_temperature(
    temperature: float, humidity: int, surface: float
) -> None:
    measured = air(f"{temperature} °C", f"{humidity} %", f"{surface} °C")
    point = measured.dew_point
    # At 100 % they are the same; psychrolib's formula for ice meets that for water within 0.01.
    assert point.celsius <= temperature + 0.05
    assert measured.margin == pytest.approx(surface - point.celsius)
    assert point.is_frost == (point.celsius < 0)
    assert point.name == ("frost point" if point.celsius < 0 else "dew point")


@given(CELSIUS, PERCENT, CELSIUS, st.integers(0, 10), CELSIUS, CELSIUS, PERCENT, PERCENT)
def test_faults_are_told_exactly_where_there_are_some(
    temperature: float,
    humidity: int,
    surface: float,
    margin: int,
    one: float,
    other: float,
    driest: int,
    dampest: int,
) -> None:
    coldest, hottest = sorted((one, other))
    driest, dampest = sorted((driest, dampest))
    asked = Conditions.model_validate(
        {
            "margin": f"{margin} °C",
            "temperature": f"{coldest} to {hottest} °C",
            "humidity": f"{driest} to {dampest} %",
        }
    )
    measured = air(f"{temperature} °C", f"{humidity} %", f"{surface} °C")
    faults = asked.faults(measured, "°C")
    assert any("the air is" in f for f in faults) == (not coldest <= temperature <= hottest)
    assert any("the humidity is" in f for f in faults) == (not driest <= humidity <= dampest)
    above = surface - measured.dew_point.celsius
    if abs(above - margin) > 1e-5:
        assert any("the metal is" in f for f in faults) == (above < margin)


def test_a_surface_that_was_not_measured_is_no_margin() -> None:
    asked = Conditions.model_validate({"margin": "3 °C"})
    (fault,) = asked.faults(air("17 °C", "55 %"), "°C")
    assert "not written down" in fault


def test_below_freezing_it_is_called_frost() -> None:
    asked = Conditions.model_validate({"margin": "3 °C"})
    (fault,) = asked.faults(air("0 °C", "50 %", "-7 °C"), "°C")
    assert "above the frost point" in fault
    (wet,) = asked.faults(air("10 °C", "90 %", "5 °C"), "°C")
    assert "below the dew point" in wet
