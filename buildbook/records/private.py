"""What is not for everybody: fields that an edition holds only when it is said to."""

from dataclasses import dataclass
from functools import cache
from typing import Annotated, get_args, get_origin

from buildbook.records.record import Record

CORRESPONDENCE, ADDRESSES = "correspondence", "addresses"
SERIAL_NUMBERS, COSTS = "serial numbers", "costs"


@dataclass(frozen=True, slots=True)
class Private:
    """Marks the type of a field that an edition holds only when it holds such things."""

    what: str = CORRESPONDENCE
    """Name of a field of `Holding`, as the book file spells it."""


@cache
def private_kinds(model: type[Record]) -> dict[str, str]:
    """Return what must be held for each attribute of a kind of record that is not for everybody."""
    found = {}
    for name, info in model.model_fields.items():
        mark = next((m for m in info.metadata if isinstance(m, Private)), None)
        if mark := mark or _mark(info.annotation):
            found[name] = mark.what
    return found


def _mark(annotation: object) -> Private | None:
    inner = get_args(annotation)
    if get_origin(annotation) is Annotated:
        mark = next((m for m in inner[1:] if isinstance(m, Private)), None)
        if mark:
            return mark
    return next(filter(None, map(_mark, inner)), None)
