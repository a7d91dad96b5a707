"""Amendments: what a session said before it was corrected."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import Line, Prose
from buildbook.records.record import Record
from buildbook.records.references import PersonRef


class Amendment(Record):
    """One correction of a record: which field, what stood there, and why it was changed."""

    date: Date = Field(description="Day of the correction.")
    field: Line = Field(
        description="What was corrected: a field, as `hours`, or `work 2 hours` inside `work`."
    )
    was: Prose | None = Field(
        None, description="What stood there before; left out where nothing did."
    )
    why: Line | None = Field(None, description="Why it was corrected.")
    by: PersonRef | None = Field(None, description="Who corrected it, if not the builder.")
