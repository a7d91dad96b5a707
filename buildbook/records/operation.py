"""Operations: the kinds of work, from labelling to torquing."""

from typing import Annotated

from pydantic import AfterValidator, Field, WithJsonSchema

from buildbook.records.air import Conditions
from buildbook.records.durations import Minutes
from buildbook.records.names import Line, Listed, Prose, Several, Slug, YesNo, bad
from buildbook.records.record import Record
from buildbook.reference.answers import RefusedError
from buildbook.reference.hazards import HAZARDS, find


def _hazard(value: str) -> str:
    try:
        return find(value).name
    except RefusedError as error:
        raise bad("hazard", error.message, error.advice) from None


HazardName = Annotated[
    Line,
    AfterValidator(_hazard),
    WithJsonSchema({"type": "string", "enum": list(HAZARDS)}),
]
"""A hazard by the name it has in the reference."""


class Operation(Record):
    """A kind of work done again and again."""

    operation: Slug = Field(description="Short name, as `deburr`.")
    title: Line = Field(description="What it is called on the page.")
    how: Prose | None = Field(None, description="How this build does it.")
    cautions: Listed[Line] = Field(
        (), description="What can hurt, and the usual protection. Shown wherever it is used."
    )
    hazards: Several[HazardName] = Field(
        (),
        description="What is dangerous in it, as `solvents`; the page Reference has them all.",
    )
    set_up: Minutes = Field(
        0,
        description="Time to set up in each session, taken off before a learning curve is fitted.",
    )
    air_matters: YesNo = Field(
        False, description="Temperature and humidity matter, as for primer and sealant."
    )
    conditions: Conditions | None = Field(
        None, description="What the air must be like; the product's data sheet comes first."
    )

    @property
    def needs_air(self) -> bool:
        """Temperature and humidity are to be written down with each session."""
        return self.air_matters or self.conditions is not None
