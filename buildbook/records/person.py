"""People: who works on the aircraft, advises and inspects."""

from typing import Annotated, Literal

from pydantic import Field

from buildbook.records.names import AnyCase, Line, Prose, Slug
from buildbook.records.record import Record

Role = Annotated[
    Literal["builder", "helper", "inspector", "designer", "adviser", "supplier"], AnyCase
]


class Person(Record):
    """Someone the records name."""

    person: Slug = Field(description="Short name used in `who`.")
    name: Line = Field(description="Name as the book shows it.")
    role: Role = Field("helper", description="What the person is to this build.")
    notes: Prose | None = Field(None, description="Qualification, club, anything worth saying.")
