"""Lessons: what to do differently next time."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import Line, Number, Prose, Several
from buildbook.records.record import Record
from buildbook.records.references import OperationRef, PartRef, StepRef, ToolRef


class Lesson(Record):
    """Something learned, to be found again before the same work is done again."""

    lesson: Number = Field(description="Its number; cited as `lesson 12`.")
    title: Line = Field(description="The lesson in one sentence.")
    text: Prose | None = Field(None, description="What happened and what to do instead.")
    date: Date | None = Field(None, description="When it was learned, if not in a session.")
    operations: Several[OperationRef] = Field((), description="Kinds of work it applies to.")
    parts: Several[PartRef] = Field((), description="Parts it applies to.")
    tools: Several[ToolRef] = Field((), description="Tools it applies to.")
    steps: Several[StepRef] = Field((), description="Steps it applies to.")
