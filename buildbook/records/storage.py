"""Storage: how long metal may lie bare before somebody looks at it, and corrosion found."""

from typing import Annotated

from pydantic import AfterValidator, Field

from buildbook.records.intervals import Every
from buildbook.records.names import Line, Several, bad
from buildbook.records.quantities import Length, Quantity
from buildbook.records.record import Record
from buildbook.records.references import OperationRef


class Storage(Record):
    """The book's rule for parts that wait without their wrapping and without primer."""

    inspect_bare_parts_every: Every = Field(
        description="How long bare parts may lie before they are looked at, as `90 days`."
    )
    inspected_by: Several[OperationRef] = Field(
        description="Operations that look for corrosion: work with one of them on a part counts.",
        min_length=1,
    )
    protected_by: Several[OperationRef] = Field(
        description="Operations after which a piece is bare no more, as `prime`.", min_length=1
    )


def _some(value: Quantity) -> Quantity:
    if value.value <= 0:
        raise bad("no-depth", f"{value.written} is no depth", "write how deep, as `0.002 in`")
    return value


Depth = Annotated[Length, AfterValidator(_some)]


class Corrosion(Record):
    """Corrosion that was found, and how it was taken off."""

    depth: Depth = Field(description="How deep it went, as `0.002 in`.")
    area: Line | None = Field(None, description="How large and where, as `5 by 12 mm at the edge`.")
    removed: Depth | None = Field(
        None, description="How deep the metal was taken off at the deepest, as `0.003 in`."
    )
