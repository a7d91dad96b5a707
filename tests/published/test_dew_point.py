"""Dew points against a library, formulas and charts printed elsewhere.

- psychrolib 2.5.0 (ASHRAE 2017) prints 21.3094 for 25 °C and 80 % as its own example.
- Magnus with 17.62 and 243.12 °C (WMO-No. 8), computed here.
- MetPy 1.7, values taken down; the package is not needed.
- A dew point chart for coatings in Fahrenheit, and the example of a psychrometric chart in a
  heating manual, read in copies.
- Notes for coating inspectors: 21 °C, wet bulb 17, dew point 15; 16 °C, 71 %, dew point 11.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference.answers import RefusedError
from buildbook.reference.dewpoint import (
    SEA_LEVEL,
    DewPoint,
    answer,
    dew_point,
    difference,
    fit_to_coat,
    from_wet_bulb,
)
from buildbook.reference.sizes import measured

# °C, %, psychrolib 2.5.0, MetPy 1.7.
LIBRARIES = [
    (25, 60, 16.7011, 16.6801),
    (20, 50, 9.2724, 9.2561),
    (30, 80, 26.1686, 26.1313),
    (10, 90, 8.4372, 8.4299),
]


def magnus(air, humidity):
    gamma = math.log(humidity / 100) + 17.62 * air / (243.12 + air)
    return 243.12 * gamma / (17.62 - gamma)


@pytest.mark.parametrize(("air", "humidity", "ashrae", "metpy"), LIBRARIES)
def test_libraries_and_formulas(air, humidity, ashrae, metpy):
    found = dew_point(air, humidity)
    assert found.celsius == pytest.approx(ashrae, abs=5e-5)
    assert found.celsius == pytest.approx(metpy, abs=0.05)
    assert found.celsius == pytest.approx(magnus(air, humidity), abs=0.05)
    assert found.name == "dew point"


def test_the_library_s_own_example():
    assert dew_point(25, 80).celsius == pytest.approx(21.309397163661785, abs=1e-6)


def test_below_freezing_it_is_the_frost_point():
    found = dew_point(0, 50)
    assert found.celsius == pytest.approx(-8.1636, abs=5e-5)
    assert found.name == "frost point"
    assert found.celsius - magnus(0, 50) > 1, "over water it would be lower"
    assert "Frost point" in [f.what for f in answer(found, "").facts]


# Air °F by column; humidity %; the chart's dew points where they are above freezing. It goes on to
# 120 °F, where it is off by more than its rounding.
CHART_AIR = (40, 50, 60, 70, 80)
CHART = {
    90: (37, 47, 57, 67, 77),
    80: (34, 44, 54, 63, 73),
    70: (None, 40, 50, 60, 68),
    60: (None, 36, 45, 55, 64),
    50: (None, None, 40, 50, 59),
    40: (None, None, 35, 43, 52),
    30: (None, None, None, 37, 46),
}


@pytest.mark.parametrize("humidity", CHART)
def test_a_chart_for_coatings(humidity):
    for air, printed in zip(CHART_AIR, CHART[humidity], strict=True):
        if printed is not None:
            found = dew_point((air - 32) / 1.8, humidity).celsius * 1.8 + 32
            # Whole degrees, and drawn by hand: up to one more off.
            assert found == pytest.approx(printed, abs=1.6), (air, humidity)


def test_a_psychrometric_chart_in_a_design_manual():
    """Its example: dew point 42.8 °F for 68 °F and 40 %."""
    assert dew_point(20, 40).celsius * 1.8 + 32 == pytest.approx(42.8, abs=0.05)


def test_the_example_printed_on_the_chart():
    """70 °F and 65 %: dew point 57 °F, so no coat under 62 °F."""
    found = dew_point((70 - 32) / 1.8, 65)
    assert round(found.celsius * 1.8 + 32, 0) in (57, 58)
    assert not fit_to_coat(found, (60 - 32) / 1.8)
    assert fit_to_coat(found, (64 - 32) / 1.8)


def test_coating_inspection_notes():
    wet = from_wet_bulb(21, 17)
    assert wet.celsius == pytest.approx(14.73, abs=0.005)
    assert fit_to_coat(wet, 19)
    damp = dew_point(16, 71)
    assert damp.celsius == pytest.approx(10.75, abs=0.005)
    assert damp.margin(13) == pytest.approx(2.25, abs=0.005)
    assert not fit_to_coat(damp, 13)


def test_the_margin_itself_is_enough():
    assert fit_to_coat(DewPoint(10.0), 13.0)
    assert not fit_to_coat(DewPoint(10.0), 12.99)


def test_a_difference_has_no_32_in_it():
    assert difference(3) == "3.0 °C (5.4 °F)"


@given(st.floats(-40, 60), st.floats(0.5, 100))
def test_it_is_never_above_the_air_and_rises_with_humidity(air, humidity):
    try:
        found = dew_point(air, humidity)
    except RefusedError:
        assert humidity < 5
        return
    assert found.celsius <= air + 1e-6
    assert found.celsius <= dew_point(air, min(100, humidity + 1)).celsius + 1e-6


@given(st.floats(5, 40), st.floats(20, 100))
def test_both_ways_of_measuring_agree(air, humidity):
    import psychrolib  # noqa: PLC0415

    wet = psychrolib.GetTWetBulbFromRelHum(air, humidity / 100, SEA_LEVEL)
    if wet > 0.5:  # around freezing the wick may hold water or ice
        assert from_wet_bulb(air, wet).celsius == pytest.approx(
            dew_point(air, humidity).celsius, abs=0.15
        )


@pytest.mark.parametrize(
    ("air", "humidity", "said"),
    [
        (70, 50, "no temperature of a workshop"),
        (-41, 50, "no temperature of a workshop"),
        (math.nan, 50, "no temperature"),
        (20, 0, "no dew point"),
        (20, 101, "does not exist"),
        (20, -5, "does not exist"),
        (20, math.nan, "does not exist"),
        (20, 1e-9, "too dry"),
    ],
)
def test_air_that_is_none(air, humidity, said):
    with pytest.raises(RefusedError, match=said):
        dew_point(air, humidity)


@pytest.mark.parametrize(
    ("air", "wet", "pressure", "said"),
    [
        (20, 21, SEA_LEVEL, "warmer than the air"),
        (20, -5, SEA_LEVEL, "no air"),
        (20, 15, 1013, "not that of a workshop"),
    ],
)
def test_wet_bulbs_that_are_none(air, wet, pressure, said):
    with pytest.raises(RefusedError, match=said):
        from_wet_bulb(air, wet, pressure)


def test_a_surface_colder_than_the_dew_point_is_wet():
    found = answer(dew_point(20, 80), "", measured("15", "temperature", bare="°C"))
    assert "below it: it is wet" in found.facts[1].words
    assert "wait" in found.facts[2].words
