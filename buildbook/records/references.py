"""What one record says about another: which fields cite which kind, and every citation in a record.

A field's type carries a mark, so that a new kind of record is checked and cross-linked without
another list to keep.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, NamedTuple, get_args

from pydantic import GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from buildbook.records.names import Line, NoticeNumber, Number, PartNumber, Slug, StepName
from buildbook.records.problems import Place
from buildbook.records.record import Record, record_in


@dataclass(frozen=True, slots=True)
class Refers:
    """Marks a field that cites a record of this kind."""

    to: str
    """Name of a mapping of the Book: `parts`, `steps`, `people` ..."""

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Say it in the schema too, for the form that offers what may be cited."""
        return {**handler(schema), "x-refers": self.to}


PersonRef = Annotated[Slug, Refers("people")]
OperationRef = Annotated[Slug, Refers("operations")]
ToolRef = Annotated[Slug, Refers("tools")]
LotRef = Annotated[Slug, Refers("lots")]
PartRef = Annotated[PartNumber, Refers("parts")]
StepRef = Annotated[StepName, Refers("steps")]
SectionRef = Annotated[Slug, Refers("sections")]
NoticeRef = Annotated[NoticeNumber, Refers("notices")]
EquipmentRef = Annotated[Slug, Refers("equipment")]
SquawkRef = Annotated[Number, Refers("squawks")]
PieceRef = Annotated[Line, Refers("pieces")]
"""A piece by its full label."""
PhotoRef = Annotated[Line, Refers("photos")]
"""A picture by its path inside `photos/`."""
ClipRef = Annotated[Line, Refers("clips")]
"""A video clip by its path inside `photos/`."""


class Reference(NamedTuple):
    """One citation."""

    to: str
    """Kind cited, as in Refers."""
    name: Any
    """Identity cited."""
    place: Place
    """Where it is written."""
    record: Record
    """The record it is a field of."""
    is_key: bool = False
    """The name stands before the colon, as a part number does in `pieces`."""


class _Field(NamedTuple):
    attribute: str
    name: str
    to: str | None
    """Kind cited, or None for a field that holds records."""


@cache
def _fields(model: type[Record]) -> tuple[_Field, ...]:
    found = []
    for attribute, info in model.model_fields.items():
        mark = next((m for m in info.metadata if isinstance(m, Refers)), None) or _mark(
            info.annotation
        )
        if mark or record_in(info.annotation):
            found.append(_Field(attribute, info.alias or attribute, mark.to if mark else None))
    return tuple(found)


def _mark(annotation: Any) -> Refers | None:
    for inner in get_args(annotation):
        if isinstance(inner, Refers):
            return inner
        if found := _mark(inner):
            return found
    return None


def references(record: Record) -> tuple[Reference, ...]:
    """List every citation in a record and in the records inside it, followed once."""
    # Kept with the record, which never changes, as its place is.
    known: tuple[Reference, ...] | None = record.__dict__.get("references")
    if known is None:
        known = record.__dict__["references"] = tuple(_followed(record))
    return known


def _followed(record: Record) -> Iterator[Reference]:
    for attribute, name, to in _fields(type(record)):
        value = getattr(record, attribute)
        if value is None or value == ():
            continue
        if isinstance(value, Record):
            yield from _followed(value)
        elif isinstance(value, tuple):
            yield from _in_list(record, name, to, value)
        elif to and isinstance(value, dict):
            for key in value:
                if key != "":
                    yield Reference(to, key, record.place.at(name, key), record, is_key=True)
        elif to:
            yield Reference(to, value, record.place.at(name), record)


def _in_list(
    record: Record, name: str, to: str | None, items: tuple[Any, ...]
) -> Iterator[Reference]:
    for i, item in enumerate(items):
        if isinstance(item, Record):
            yield from _followed(item)
        elif to:
            yield Reference(to, item, record.place.at(name, i), record)
