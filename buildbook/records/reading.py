"""Readings: measured values, against a limit."""

import re
from itertools import product
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from buildbook.records.names import Line, OrOne, bad
from buildbook.records.quantities import AnyQuantity, Quantity
from buildbook.records.record import Record
from buildbook.records.references import PartRef, PieceRef, SquawkRef, StepRef, ToolRef


def _values(value: Any) -> Any:
    """Part values written on one line at a comma with a space: a comma alone may be a decimal."""
    return re.split(r",\s+|;\s*", value.strip()) if isinstance(value, str) else value


def check_limits(smallest: Quantity | None, largest: Quantity | None, *others: Quantity) -> None:
    """Refuse limits and values that cannot be compared. Raises PydanticCustomError."""
    limits = [(n, q) for n, q in (("min", smallest), ("max", largest)) if q is not None]
    for (name, limit), other in product(limits, (*others, *(q for _, q in limits))):
        if limit.dimension != other.dimension:
            said = f"`{name}` is a {limit.dimension}, and `{other.written}` a {other.dimension}"
            raise bad("limits-differ", said, "mend the unit of one of them", field=name)
    if smallest and largest and smallest.to(largest.unit) > largest.value:
        said = f"`min` is larger than `max`: {smallest.written} and {largest.written}"
        raise bad("limits-reversed", said, "exchange the two", field="min")


class Reading(Record):
    """One characteristic measured once or several times."""

    reading: Line = Field(description="What was measured, as `shop head diameter`.")
    values: Annotated[tuple[AnyQuantity, ...], BeforeValidator(_values), OrOne(commas=True)] = (
        Field(description="The measured values, each with its unit.", min_length=1)
    )
    step: StepRef | None = Field(None, description="Step, when not the session's own.")
    part: PartRef | None = Field(None, description="Part it was measured on.")
    piece: PieceRef | None = Field(None, description="Label of the piece.")
    min: AnyQuantity | None = Field(None, description="Smallest allowed value.")
    max: AnyQuantity | None = Field(None, description="Largest allowed value.")
    source: Line | None = Field(None, description="Where the limit comes from.")
    tool: ToolRef | None = Field(None, description="What it was measured with.")
    uncertainty: AnyQuantity | None = Field(None, description="Of the instrument, plus or minus.")
    squawk: SquawkRef | None = Field(None, description="The squawk about a value that is out.")
    notes: Line | None = Field(None, description="How it was measured, if that matters.")

    @model_validator(mode="after")
    def _limits_fit(self) -> "Reading":
        check_limits(self.min, self.max, *self.values)
        return self
