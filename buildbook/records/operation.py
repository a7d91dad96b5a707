"""Operations: the kinds of work, from labelling to torquing."""

from pydantic import Field

from buildbook.records.durations import Minutes
from buildbook.records.names import Line, Listed, Prose, Slug, YesNo
from buildbook.records.record import Record


class Operation(Record):
    """A kind of work done again and again."""

    operation: Slug = Field(description="Short name, as `deburr`.")
    title: Line = Field(description="What it is called on the page.")
    how: Prose | None = Field(None, description="How this build does it.")
    cautions: Listed[Line] = Field(
        (), description="What can hurt, and the usual protection. Shown wherever it is used."
    )
    set_up: Minutes = Field(
        0,
        description="Time to set up in each session, taken off before a learning curve is fitted.",
    )
    air_matters: YesNo = Field(
        False, description="Temperature and humidity matter, as for primer and sealant."
    )
