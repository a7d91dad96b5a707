"""What an edition must know of the fields of a record, found once for each kind of record."""

from dataclasses import dataclass
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import StringConstraints

from buildbook.records.names import Slug
from buildbook.records.private import private_kinds
from buildbook.records.record import Record, record_in
from buildbook.records.references import Refers

_SLUG = get_args(Slug)[1]


@dataclass(frozen=True, slots=True)
class FieldPlan:
    """One field of a kind of record."""

    attribute: str
    name: str
    """As it is written in a file."""
    required: bool
    empty: Any
    """What stands in it when it is left out."""
    refers: str
    """Kind cited, as in Refers; empty for a field that cites none."""
    is_text: bool
    """It holds words of the builder's, in whatever form."""
    holds_records: bool
    is_short_name: bool
    """What a record is called and cited by: small letters, digits, hyphens."""
    kept_with: str
    """Field of `Holding` that must be held for this one to be; empty for one that always is."""


@cache
def field_plans(model: type[Record]) -> tuple[FieldPlan, ...]:
    """List the fields of a kind of record."""
    kinds = private_kinds(model)
    return tuple(
        FieldPlan(
            attribute=attribute,
            name=info.alias or attribute,
            required=info.is_required(),
            empty=None if info.is_required() else info.get_default(call_default_factory=True),
            refers=_cited(info.metadata, info.annotation),
            is_text=_has(StringConstraints, info.metadata, info.annotation),
            holds_records=record_in(info.annotation) is not None,
            is_short_name=_SLUG in info.metadata and not _cited(info.metadata, info.annotation),
            kept_with=kinds.get(attribute, ""),
        )
        for attribute, info in model.model_fields.items()
        if attribute != "private"
    )


def _cited(metadata: list[Any], annotation: Any) -> str:
    mark = _first(Refers, metadata, annotation)
    return mark.to if isinstance(mark, Refers) else ""


def _has(kind: type, metadata: list[Any], annotation: Any) -> bool:
    return _first(kind, metadata, annotation) is not None


def _first(kind: type, metadata: list[Any], annotation: Any) -> Any:
    """Find a mark on a type or on what it is made of; records are looked at by themselves."""
    for mark in metadata:
        if isinstance(mark, kind):
            return mark
    if isinstance(annotation, type) and get_origin(annotation) is None:
        return None
    for inner in get_args(annotation):
        if isinstance(inner, kind):
            return inner
        if (found := _first(kind, [], inner)) is not None:
            return found
    return None
