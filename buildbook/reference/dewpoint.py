"""Dew point of the air, and how far a surface is above it.

By psychrolib, which follows the ASHRAE Handbook: Fundamentals (2017), chapter 1. Below freezing
that is the frost point, over ice; it is called so. Temperatures are in degrees Celsius.
"""

from dataclasses import dataclass

import psychrolib

from buildbook.records.quantities import Quantity
from buildbook.reference.answers import Answer, Fact, RefusedError, celsius
from buildbook.reference.source import Source, Sure

FORMULA = Source("ASHRAE Handbook: Fundamentals", "ch. 1, by psychrolib", "2017", Sure.COMPUTED)
COATING = Source(
    "ISO 8502-4", "3 °C above the dew point", "", Sure.SEEN, "in notes that attribute it"
)

COLDEST, HOTTEST = -40.0, 60.0
"""Of a workshop, °C; outside of them a figure is in another unit, or a slip."""
MARGIN = 3.0
"""How many °C (5.4 °F) a surface should be above the dew point to be coated."""
SEA_LEVEL = 101_325.0
"""Standard pressure, pascal."""
LOWEST_PRESSURE, HIGHEST_PRESSURE = 60_000.0, 110_000.0
"""Of places where people build, pascal."""
_FREEZING = 0.0

CAUTIONS = (
    "Measure the surface itself, where it is coldest: metal lags behind the air.",
    "The product's data sheet comes first, for the margin and for the range of temperature.",
)


@dataclass(frozen=True, slots=True)
class DewPoint:
    """Temperature at which moisture settles."""

    celsius: float

    @property
    def is_frost(self) -> bool:
        """It settles as frost: the point is over ice."""
        return self.celsius < _FREEZING

    @property
    def name(self) -> str:
        """`dew point`, or `frost point` below freezing."""
        return "frost point" if self.is_frost else "dew point"

    def margin(self, surface: float) -> float:
        """How many °C a surface is above it; below nothing when it is wet."""
        return surface - self.celsius


def dew_point(air: float, humidity: float) -> DewPoint:
    """Compute from the air's temperature (°C) and relative humidity (percent).

    Raises RefusedError for air colder than -40 °C or hotter than 60 °C, for a humidity not above 0
    or above 100 percent, and for air too dry for the formula.
    """
    _check_air(air)
    if not 0 < humidity <= 100:  # noqa: PLR2004 - percent
        raise RefusedError(
            f"a relative humidity of {humidity:g} % does not exist"
            if humidity
            else "air of 0 % has no dew point",
            "write a share above 0 and up to 100 %",
        )
    psychrolib.SetUnitSystem(psychrolib.SI)  # its setting is the process's, so it is made anew
    try:
        return DewPoint(float(psychrolib.GetTDewPointFromRelHum(air, humidity / 100)))
    except ValueError:
        raise RefusedError(f"air of {humidity:g} % is too dry for the formula") from None


def from_wet_bulb(air: float, wet_bulb: float, pressure: float = SEA_LEVEL) -> DewPoint:
    """Compute from dry-bulb and wet-bulb temperature (°C) and pressure (pascal).

    Raises RefusedError for a wet bulb warmer than the air, or so cold that no air is so dry.
    """
    _check_air(air)
    _check_air(wet_bulb)
    if wet_bulb > air:
        raise RefusedError(
            f"a wet bulb of {wet_bulb:g} °C is warmer than the air of {air:g} °C",
            "exchange the two, or wet the wick",
        )
    if not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        raise RefusedError(
            f"a pressure of {pressure / 100:g} hPa is not that of a workshop",
            "write it as measured there, not reduced to sea level, as `1013 hPa`",
        )
    psychrolib.SetUnitSystem(psychrolib.SI)
    ratio = psychrolib.GetHumRatioFromTWetBulb(air, wet_bulb, pressure)
    if ratio <= psychrolib.MIN_HUM_RATIO:
        raise RefusedError(f"no air of {air:g} °C has a wet bulb as cold as {wet_bulb:g} °C")
    try:
        return DewPoint(float(psychrolib.GetTDewPointFromHumRatio(air, ratio, pressure)))
    except ValueError:
        raise RefusedError("that air is too dry for the formula") from None


def fit_to_coat(point: DewPoint, surface: float) -> bool:
    """Tell whether a surface (°C) is at least MARGIN above the dew point."""
    return point.margin(surface) >= MARGIN - 1e-9


def answer(point: DewPoint, title: str, surface: Quantity | None = None) -> Answer:
    """Show a dew point, with the margin of a surface. Raises RefusedError."""
    shown = celsius(point.celsius)
    facts = [Fact(point.name.capitalize(), shown, shown, FORMULA)]
    if surface is not None:
        degrees = surface.to("degC")
        _check_air(degrees)
        margin = point.margin(degrees)
        facts.append(Fact(f"Surface of {surface.written}", None, None, FORMULA, _above(margin)))
        words = "far enough above it" if fit_to_coat(point, degrees) else "too near to it: wait"
        limit = f"at least {difference(MARGIN)} above: {words}"
        facts.append(Fact("To coat", None, None, COATING, limit))
    return Answer(title, tuple(facts), CAUTIONS)


def difference(degrees: float) -> str:
    """Write a difference of temperatures: `3.0 °C (5.4 °F)`, without the 32 of a reading."""
    return f"{degrees:.1f} °C ({degrees * 1.8:.1f} °F)"


def _above(margin: float) -> str:
    if margin < 0:
        return f"{difference(-margin)} below it: it is wet"
    return f"{difference(margin)} above it"


def _check_air(degrees: float) -> None:
    if not COLDEST <= degrees <= HOTTEST:
        raise RefusedError(
            f"{degrees:.4g} °C is no temperature of a workshop",
            f"from {COLDEST:g} to {HOTTEST:g} °C; write `°F` behind a figure in Fahrenheit",
        )
