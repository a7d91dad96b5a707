"""Weighings: what scales under the aircraft showed, where they stood, and what was on board."""

from typing import ClassVar

from pydantic import Field, model_validator

from buildbook.records.dates import Date
from buildbook.records.names import Line, Listed, Prose, SeveralPeople, bad
from buildbook.records.quantities import Length, Mass
from buildbook.records.record import Record
from buildbook.records.references import PersonRef, ToolRef
from buildbook.reference.exact import exact


def not_negative(name: str, mass: Mass | None) -> None:
    """Refuse a weight below zero. Raises PydanticCustomError."""
    if mass and mass.value < 0:
        said = f"`{mass.written}` is below zero"
        raise bad("negative-weight", said, "write the weight without a sign", field=name)


class Scale(Record):
    """One scale under the aircraft."""

    can_be_private = False

    at: Line = Field(description="Where it stands, as `tailwheel`.")
    reading: Mass = Field(description="What it showed, as `34 kg`.")
    tare: Mass | None = Field(None, description="Weight on it that is no part of the aircraft.")
    arm: Length = Field(description="Distance aft of the datum; negative ahead of it.")

    @model_validator(mode="after")
    def _weighs_something(self) -> "Scale":
        not_negative("reading", self.reading)
        not_negative("tare", self.tare)
        if self.tare and exact(self.tare, "kg") > exact(self.reading, "kg"):
            said = f"the tare, {self.tare.written}, is more than the scale showed, "
            advice = "chocks and stands weigh less than what they hold: mend one of the two"
            raise bad("tare-over-reading", said + self.reading.written, advice, field="tare")
        return self


class Extra(Record):
    """Something that was on the scales and does not count, or the other way round."""

    can_be_private = False

    what: Line = Field(description="What it is, as `Fuel in the header tank`.")
    weight: Mass = Field(description="What it weighs.")
    arm: Length = Field(description="Distance aft of the datum; negative ahead of it.")

    @model_validator(mode="after")
    def _weighs_something(self) -> "Extra":
        not_negative("weight", self.weight)
        return self


class Weighing(Record):
    """Scale readings and arms, for the empty weight and its centre of gravity."""

    # Without one of its scales it would say something else.
    all_or_nothing: ClassVar[dict[str, int]] = {"scales": 0, "deduct": 0, "add": 0}

    date: Date = Field(description="Day of the weighing.")
    of: Line | None = Field(
        None,
        description="What was weighed, when it was not the whole aircraft; then it gives no "
        "empty weight.",
    )
    by: SeveralPeople[PersonRef] = Field((), description="Who weighed.")
    datum: Line = Field(description="Point the arms are measured from, as the plans name it.")
    levelled: Line | None = Field(None, description="How it was levelled.")
    on_board: Line | None = Field(None, description="What was in it.")
    tool: ToolRef | None = Field(None, description="The scales, where `tools.yml` has them.")
    scales: Listed[Scale] = Field(description="The scales and what they showed.", min_length=1)
    deduct: Listed[Extra] = Field(
        (), description="What was on the scales and is no part of the empty aircraft."
    )
    add: Listed[Extra] = Field(
        (), description="What is part of the empty aircraft and was not on the scales."
    )
    expected: Mass | None = Field(None, description="What the designer says it weighs.")
    reference: Line | None = Field(None, description="Number of the paper record, if any.")
    notes: Prose | None = Field(None, description="How it went, and what was not on board.")
