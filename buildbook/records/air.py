"""Air: what the workshop's instruments showed, and what an operation asks of it."""

import re
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema, model_validator

from buildbook.records.names import Line, OrText, bad
from buildbook.records.quantities import (
    Quantity,
    Share,
    Temperature,
    parse_quantity,
)
from buildbook.records.record import Record
from buildbook.records.sayings import Saying

if TYPE_CHECKING:
    from buildbook.reference.dewpoint import DewPoint

COLDEST, HOTTEST = -40.0, 60.0
"""°C: beyond these no workshop is meant but a slip of the keys."""
DRIEST, WETTEST = 1.0, 100.0
"""Per cent."""
_HAIR = 1e-6
"""Two values as near as this are the same: converting units leaves the last digits wrong."""


def difference_c(quantity: Quantity) -> float:
    """Return a difference of temperatures in °C: `5.4 °F` of margin is 3 °C, not -15 °C."""
    return quantity.to("degC") - replace(quantity, value=0.0).to("degC")


def show_temperature(celsius: float, unit: str) -> str:
    """Write a temperature in the book's unit, to a tenth."""
    return _tenths(celsius * 9 / 5 + 32 if unit == "°F" else celsius, unit)


def show_difference(celsius: float, unit: str) -> str:
    """Write a difference of temperatures in the book's unit, to a tenth."""
    return _tenths(celsius * 9 / 5 if unit == "°F" else celsius, unit)


def _tenths(value: float, unit: str) -> str:
    rounded = round(value, 1) + 0.0  # never -0.0
    return f"{rounded:g} {unit}".replace("-", "\N{MINUS SIGN}")


@dataclass(frozen=True, slots=True)
class Span:
    """From a smallest to a largest allowed value; one of the two may be open."""

    low: Quantity | None
    high: Quantity | None


def parse_span(written: str, dimension: str) -> Span:
    """Read `10 to 30 °C`, `at least 10 °C`, `at most 75 %`. Raises ValueError with a sentence."""
    text = " ".join(written.replace("\N{EN DASH}", " to ").split())
    for words, is_low in (("at least ", True), ("at most ", False)):
        if text.casefold().startswith(words):
            limit = parse_quantity(text[len(words) :], dimension)
            return Span(limit, None) if is_low else Span(None, limit)
    first, to, last = text.partition(" to ")
    if not to:
        raise ValueError(f"`{written}` does not say from where to where")
    high = parse_quantity(last, dimension)
    # The unit may be written once, at the end.
    unit = last.strip().lstrip("+-\N{MINUS SIGN}.0123456789/ ")
    low = parse_quantity(f"{first} {unit}" if first[-1:].isdigit() else first, dimension)
    if low.to(high.unit) > high.value:
        raise ValueError(f"`{written}` runs backwards")
    return Span(low, high)


def _span(value: Any, dimension: str, example: str) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_span(value, dimension)
    except ValueError as error:
        advice = f"write `{example}`, `at least` or `at most`"
        raise bad("span", str(error), advice) from None


def _schema(example: str) -> WithJsonSchema:
    return WithJsonSchema({"type": ["string"], "pattern": "[0-9]", "examples": [example]})


TemperatureSpan = Annotated[
    Span,
    BeforeValidator(partial(_span, dimension="temperature", example="10 to 30 °C")),
    _schema("10 to 30 °C"),
]
ShareSpan = Annotated[
    Span,
    BeforeValidator(partial(_span, dimension="share", example="20 to 75 %")),
    _schema("20 to 75 %"),
]


def _in_a_workshop(value: Quantity) -> Quantity:
    if not COLDEST <= value.to("degC") <= HOTTEST:
        said = f"{value.written} is not the temperature of a workshop"
        raise bad("temperature", said, "is the unit right? It is written as `17 °C` or `63 °F`")
    return value


def _of_air(value: Quantity) -> Quantity:
    if not DRIEST <= value.to("percent") <= WETTEST:
        said = f"{value.written} is not a relative humidity"
        raise bad("humidity", said, f"write {DRIEST:g} % to {WETTEST:g} %")
    return value


def _above(value: Quantity) -> Quantity:
    if difference_c(value) < 0:
        said = f"a margin of {value.written} would be below the dew point"
        raise bad("negative-margin", said, "write how far above it the metal must be, as `3 °C`")
    return value


WorkshopTemperature = Annotated[Temperature, AfterValidator(_in_a_workshop)]


class Air(Record):
    """Temperature and humidity in the workshop."""

    temperature: WorkshopTemperature = Field(description="Of the air, as `17 °C`.")
    humidity: Annotated[Share, AfterValidator(_of_air)] = Field(
        description="Relative humidity, as `55 %`."
    )
    surface: WorkshopTemperature | None = Field(None, description="Temperature of the metal.")

    @property
    def dew_point(self) -> "DewPoint":
        """The dew point of the air; below freezing the frost point."""
        from buildbook.reference.dewpoint import dew_point  # noqa: PLC0415 - few commands need it

        return dew_point(self.temperature.to("degC"), self.humidity.to("percent"))

    @property
    def margin(self) -> float | None:
        """How far the metal is above the dew point, in °C; None where it was not measured."""
        if self.surface is None:
            return None
        return self.dew_point.margin(self.surface.to("degC"))


_DEGREES = r"[-+\N{MINUS SIGN}]?[0-9]+(\.[0-9]+)? *°? *[CFcf]"
_PERCENT = r"[0-9]+(\.[0-9]+)? *%"
_AIR = rf"({_DEGREES})[ ,;/]+({_PERCENT})|({_PERCENT})[ ,;/]+({_DEGREES})"


def _air(value: Any) -> Any:
    """Take `17 °C, 55 %` apart; either may come first, as their units tell them apart."""
    if not isinstance(value, str):
        return value
    found = re.fullmatch(_AIR, value.strip())
    if not found:
        said = f"`{value}` is not a temperature with a humidity"
        raise bad("air", said, "write both, as `17 °C, 55 %`, or the fields one below the other")
    temperature, humidity = found[1] or found[7], found[3] or found[5]
    return {"temperature": temperature, "humidity": humidity}


AirOrText = Annotated[Air, BeforeValidator(_air), OrText(f"({_AIR})")]
"""The air in fields, or on one line."""


class Conditions(Record):
    """What the air must be like for an operation, as its product's data sheet says."""

    margin: Annotated[Temperature, AfterValidator(_above)] | None = Field(
        None, description="How far the metal must be above the dew point at least, as `3 °C`."
    )
    temperature: TemperatureSpan | None = Field(None, description="Of the air, as `10 to 30 °C`.")
    humidity: ShareSpan | None = Field(None, description="Relative humidity, as `20 to 75 %`.")
    source: Line | None = Field(None, description="Which data sheet says so.")

    @model_validator(mode="after")
    def _says_something(self) -> "Conditions":
        if not (self.margin or self.temperature or self.humidity):
            said = "these conditions ask for nothing"
            advice = "add `margin`, `temperature` or `humidity`"
            raise bad("no-conditions", said, advice, field="source")
        return self

    def faults(self, air: Air, unit: str) -> tuple[str, ...]:
        """Say in words what of the air is outside, nothing where all is inside.

        `unit` is the book's unit of temperature.
        """
        said = []
        if limit := _beyond(self.temperature, air.temperature):
            said.append(
                Saying(
                    "the air is %(value)s, and %(limit)s is asked for",
                    value=air.temperature.written,
                    limit=limit,
                )
            )
        if limit := _beyond(self.humidity, air.humidity):
            said.append(
                Saying(
                    "the humidity is %(value)s, and %(limit)s is asked for",
                    value=air.humidity.written,
                    limit=limit,
                )
            )
        if self.margin:
            asked = show_difference(difference_c(self.margin), unit)
            least = Saying("at least %(low)s", low=asked)
            point = Saying(air.dew_point.name)
            if air.margin is None:
                said.append(
                    Saying(
                        "the temperature of the metal is not written down, and %(least)s above "
                        "the %(point)s is asked for",
                        least=least,
                        point=point,
                    )
                )
            elif air.margin < difference_c(self.margin) - _HAIR:
                margin = show_difference(abs(air.margin), unit)
                above = Saying(
                    "the metal is %(margin)s above the %(point)s, and %(least)s is asked for",
                    margin=margin,
                    point=point,
                    least=least,
                )
                below = Saying(
                    "the metal is %(margin)s below the %(point)s, and %(least)s is asked for",
                    margin=margin,
                    point=point,
                    least=least,
                )
                said.append(above if air.margin >= 0 else below)
        return tuple(said)


def _beyond(span: Span | None, value: Quantity) -> str:
    """Say which limit a value is beyond, or nothing."""
    if span is None:
        return ""
    if span.low and value.to(span.low.unit) < span.low.value - _HAIR:
        return Saying("at least %(low)s", low=span.low.written)
    if span.high and value.to(span.high.unit) > span.high.value + _HAIR:
        return Saying("at most %(high)s", high=span.high.written)
    return ""
