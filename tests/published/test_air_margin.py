"""The margin of a surface to the dew point, against notes on the inspection of coatings.

The notes, which attribute the three degrees to ISO 8502-4 (the standard's own text not seen): dry
bulb 16 °C, 71 %, surface 13 °C: dew point 11, margin 2, not fit to coat; dry bulb 21 °C with a dew
point of 15 °C and a surface of 19 °C: fit. Psychrolib gives 10.75 where the notes say 11.
"""

from buildbook.records.air import Air, Conditions

THREE = Conditions.model_validate({"margin": "3 °C"})
FIVE_F = Conditions.model_validate({"margin": "5.4 °F"})


def measured(temperature: str, humidity: str, surface: str) -> Air:
    return Air.model_validate(
        {"temperature": temperature, "humidity": humidity, "surface": surface}
    )


def test_too_near_to_coat() -> None:
    air = measured("16 °C", "71 %", "13 °C")
    assert air.margin is not None
    assert abs(air.margin - 2.25) < 0.05
    assert THREE.faults(air, "°C")
    assert FIVE_F.faults(air, "°F")


def test_fit_to_coat() -> None:
    """A wet bulb of 17 °C at 21 °C is a relative humidity of about 67 % (computed)."""
    air = measured("21 °C", "67 %", "19 °C")
    assert round(air.dew_point.celsius) == 15
    assert not THREE.faults(air, "°C")
    assert not FIVE_F.faults(air, "°F")
