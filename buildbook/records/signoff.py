"""Sign-offs: inspections before a stage is closed."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import Line, Prose
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
