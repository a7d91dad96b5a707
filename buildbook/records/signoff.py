"""Sign-offs and weighings."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import Line, Listed, Prose
from buildbook.records.quantities import Length, Mass
from buildbook.records.record import Record
from buildbook.records.references import PersonRef, StepRef


class SignOff(Record):
    """An inspection before a stage is closed. A typed name is not a signature."""

    step: StepRef = Field(description="Step that was inspected, as `fin/skeleton`.")
    inspection: Line = Field(description="What was inspected, as the step names it.")
    date: Date = Field(description="Day of the inspection.")
    by: PersonRef = Field(description="Who inspected.")
    role: Line | None = Field(None, description="In what capacity.")
    reference: Line | None = Field(None, description="Number of the paper record, if any.")
    notes: Prose | None = Field(None, description="What was said and found.")


class Scale(Record):
    """One scale under the aircraft."""

    at: Line = Field(description="Where it stands, as `tailwheel`.")
    reading: Mass = Field(description="What it showed, as `34 kg`.")
    tare: Mass | None = Field(None, description="Weight on it that is no part of the aircraft.")
    arm: Length = Field(description="Distance aft of the datum; negative ahead of it.")


class Weighing(Record):
    """Scale readings and arms, for the empty weight and its centre of gravity."""

    date: Date = Field(description="Day of the weighing.")
    datum: Line = Field(description="Point the arms are measured from, as the plans name it.")
    levelled: Line | None = Field(None, description="How it was levelled.")
    on_board: Line | None = Field(None, description="What was in it.")
    scales: Listed[Scale] = Field(description="The scales and what they showed.", min_length=1)
    notes: Prose | None = Field(None, description="How it went, and what was not on board.")
