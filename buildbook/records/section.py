"""Sections of the aircraft and the steps planned in each."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.durations import Minutes
from buildbook.records.names import Count, Line, Listed, Prose, Several, Slug, YesNo
from buildbook.records.reading import RequiredReading, StepLimit
from buildbook.records.record import Record
from buildbook.records.references import OperationRef, PartRef, ToolRef


class Step(Record):
    """A planned piece of work."""

    step: Slug = Field(description="Short name inside the section; cited as `section/step`.")
    title: Line = Field(description="What the page is called.")
    plan: Line | None = Field(None, description="Drawing sheet or manual page.")
    parts: Several[PartRef] = Field((), description="Part numbers worked on.")
    without_parts: YesNo = Field(False, description="This step works on no part of its own.")
    operations: Several[OperationRef] = Field((), description="Kinds of work, in order.")
    estimate: Minutes | None = Field(None, description="Hours you expect it to take.", gt=0)
    cautions: Listed[Line] = Field((), description="What to watch out for in this step.")
    inspections: Listed[Line] = Field((), description="Checks that must be signed off.")
    limits: Listed[StepLimit] = Field((), description="Limits for what is measured in this step.")
    required_readings: Listed[RequiredReading] = Field(
        (), description="Readings that must be there, and inside, before the step is closed."
    )
    tools: Several[ToolRef] = Field((), description="Tools it needs.")
    required_photos: Listed[Line] = Field(
        (), description="Pictures to take before the structure is closed."
    )
    closes: YesNo = Field(False, description="After this step what is inside cannot be seen.")
    notes: Prose | None = Field(None, description="How to go about it.")


class Section(Record):
    """An assembly of the aircraft, with its steps in order."""

    section: Slug = Field(description="Short name, as `fin`.")
    title: Line = Field(description="What the page is called.")
    order: Count | None = Field(None, description="Place among the sections; else by file name.")
    plans: Line | None = Field(None, description="Which drawings or manual chapters it follows.")
    kit_received: Date | None = Field(None, description="When its parts arrived.")
    intro: Prose | None = Field(None, description="What it is, for a reader new to it.")
    steps: Listed[Step] = Field((), description="The steps, in order.")
