"""Readings: measured values, and the limits they are held against."""

import re
from itertools import product
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from buildbook.records.names import Count, Line, OrOne, Several, YesNo, bad
from buildbook.records.quantities import AnyQuantity, Quantity, an
from buildbook.records.record import Record
from buildbook.records.references import PartRef, PieceRef, SquawkRef, StepRef, ToolRef

ROUNDING = 1e-9
"""Of a value: what the same quantity in two units may differ by in floating point."""

_IN_BRACKETS = re.compile(r"\[(.*)\]\s*(.*)", re.DOTALL)
_NUMBER = re.compile(r"(?:[-+\N{MINUS SIGN}]\s*)?[0-9.][0-9./ ]*")


def _values(value: Any) -> Any:
    """Part values written on one line, and give those without a unit that of the next one.

    They are parted at a comma with a space: a comma alone may be a decimal.
    """
    if isinstance(value, str):
        text = value.strip()
        if listed := _IN_BRACKETS.fullmatch(text):
            text = f"{listed[1].strip()} {listed[2]}".strip()
        value = re.split(r",\s+|;\s*", text)
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        return value
    if len(value) > 1 and all(_NUMBER.fullmatch(v.strip()) for v in value):
        raise bad("quantity", "these values have no unit", "write it after the last of them")
    unit, spread = "", []
    for written in reversed(value):
        bare = _NUMBER.fullmatch(written.strip())
        if not bare and (number := _NUMBER.match(written.strip())):
            unit = written.strip()[number.end() :]
        spread.append(f"{written.strip()} {unit}" if bare and unit else written)
    return spread[::-1]


def number_and_unit(quantity: Quantity) -> tuple[str, str]:
    """Part what was written into its number and its unit, both as the builder spelled them."""
    written = " ".join(quantity.written.split())
    number = _NUMBER.match(written)
    end = number.end() if number else 0
    return written[:end].strip(), written[end:]


_Value = Annotated[
    AnyQuantity,
    WithJsonSchema(
        {
            "type": ["string", "number"],  # the unit may stand at the last value only
            "pattern": "^[-+\N{MINUS SIGN}]? *[0-9.][0-9./ ]*",
            "examples": ["0.190 in", "25 in-lb"],
        }
    ),
]


def check_limits(smallest: Quantity | None, largest: Quantity | None, *others: Quantity) -> None:
    """Refuse limits and values that cannot be compared. Raises PydanticCustomError."""
    limits = [(n, q) for n, q in (("min", smallest), ("max", largest)) if q is not None]
    for (name, limit), other in product(limits, (*others, *(q for _, q in limits))):
        if limit.dimension != other.dimension:
            said = f"`{name}` is {an(limit.dimension)}, and `{other.written}` {an(other.dimension)}"
            raise bad("limits-differ", said, "mend the unit of one of them", field=name)
    slack = ROUNDING * abs(largest.value) if largest else 0
    if smallest and largest and smallest.to(largest.unit) - largest.value > slack:
        said = f"`min` is larger than `max`: {smallest.written} and {largest.written}"
        raise bad("limits-reversed", said, "exchange the two", field="min")


def check_uncertainty(uncertainty: Quantity | None) -> None:
    """Refuse an uncertainty below zero. Raises PydanticCustomError."""
    if uncertainty and uncertainty.value < 0:
        said = f"`{uncertainty.written}` is below zero; an uncertainty is to either side"
        raise bad("negative-uncertainty", said, "write it without the sign", field="uncertainty")


def fits(uncertainty: Quantity, value: Quantity) -> bool:
    """Tell whether an uncertainty can be that of a value: in its dimension, or a share of it."""
    return uncertainty.dimension in (value.dimension, "share")


class Limited(Record):
    """What a limit is written in: two numbers, or a rule that knows them."""

    reading: Line = Field(description="The characteristic, as `shop head diameter`.")
    min: AnyQuantity | None = Field(None, description="Smallest allowed value, with unit.")
    max: AnyQuantity | None = Field(None, description="Largest allowed value, with unit.")
    rule: Line | None = Field(
        None, description="Rule of a published table, in place of `min` and `max`."
    )
    source: Line | None = Field(None, description="Where the limit comes from.")

    @model_validator(mode="after")
    def _one_limit(self) -> "Limited":
        check_limits(self.min, self.max)
        if self.rule and (self.min or self.max):
            said = "a `rule` stands beside `min` or `max`"
            raise bad("two-limits", said, "keep one of the two", field="rule")
        return self


class Limit(Limited):
    """What a measured characteristic of a part must keep to."""


class StepLimit(Limit):
    """What a characteristic measured in a step must keep to."""

    parts: Several[PartRef] = Field((), description="Parts it is for, when not for all.")


class RequiredReading(StepLimit):
    """A reading that must be there before the step is closed, with its limit."""

    pieces: Several[PieceRef] = Field((), description="Labels of the pieces it is asked for on.")
    each: YesNo = Field(False, description="On every piece to be fitted, not once in all.")
    count: Count = Field(
        1, description="How many values are asked for; on each piece where pieces are.", ge=1
    )


class Reading(Limited):
    """One characteristic measured once or several times."""

    values: Annotated[tuple[_Value, ...], BeforeValidator(_values), OrOne(commas=True)] = Field(
        description="The measured values; the unit may stand at the last of them.", min_length=1
    )
    step: StepRef | None = Field(None, description="Step, when not the session's own.")
    part: PartRef | None = Field(None, description="Part it was measured on.")
    piece: PieceRef | None = Field(None, description="Label of the piece.")
    tool: ToolRef | None = Field(None, description="What it was measured with.")
    uncertainty: AnyQuantity | None = Field(
        None, description="Of the instrument, to either side; else that of the tool."
    )
    squawk: SquawkRef | None = Field(None, description="The squawk about a value that is out.")
    notes: Line | None = Field(None, description="How it was measured, if that matters.")

    @model_validator(mode="after")
    def _values_fit(self) -> "Reading":
        check_limits(self.min, self.max, *self.values)
        first, *others = self.values
        for other in others:
            if other.dimension != first.dimension:
                said = f"`{first.written}` is {an(first.dimension)}, and `{other.written}` "
                advice = "mend the unit of one of them"
                raise bad("values-differ", said + an(other.dimension), advice, field="values")
        check_uncertainty(self.uncertainty)
        if self.uncertainty and not fits(self.uncertainty, first):
            said = f"`{self.uncertainty.written}` is {an(self.uncertainty.dimension)}, and "
            said += f"`{first.written}` {an(first.dimension)}"
            advice = "write it in the unit of the values, or as a share of them in %"
            raise bad("uncertainty-differs", said, advice, field="uncertainty")
        return self
