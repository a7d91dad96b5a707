"""What a form asks for: the fields of a record, taken from its JSON Schema.

Whatever field a model gains is asked for without another list to keep. Two keywords of ours help:
`x-refers` names the kind of record a text cites, and `x-form` says what a pattern alone does not:
`time`, `duration`, `pieces`, `yes-no`, or `none` for a field that no one types.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from buildbook.records.schema import Schema

_LONG_TEXT = 1000  # characters: what may be longer than this is written in several lines


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a record."""

    name: str
    kind: str
    """`text`, `prose`, `date`, `time`, `duration`, `number`, `choice`, `yes-no`, `pieces`,
    `record`."""
    description: str
    needed: bool = False
    several: bool = False
    """A list of them."""
    numbered: bool = False
    """In place of a record the number of one may stand that is written elsewhere."""
    refers: str = ""
    """Kind of record cited, as in Refers."""
    record: str = ""
    """Name of the record it holds."""
    choices: tuple[str, ...] = ()
    pattern: str = ""
    """Regular expression for the whole of a value."""
    example: str = ""
    longest: int = 0
    """Characters a text may have; 0 where that is not said."""

    def said(self) -> dict[str, Any]:
        """Give what is said of it, without what is not."""
        return {name: value for name, value in asdict(self).items() if value}


FormRecords = dict[str, tuple[FormField, ...]]
"""The fields of a record and of the records inside it, by the record's name."""


def form_records(schema: Schema, name: str) -> FormRecords:
    """List the fields of the record `name` in a schema, and of every record inside it."""
    found: FormRecords = {}
    waiting = [name]
    while waiting:
        if (record := waiting.pop()) not in found:
            found[record] = tuple(_fields(schema["$defs"][record]))
            waiting += [f.record for f in found[record] if f.record]
    return found


def _fields(record: Schema) -> Iterator[FormField]:
    needed = record.get("required", ())
    fields = record["properties"].items()
    for name, content in sorted(fields, key=lambda field: field[0] == "private"):  # comes last
        options = list(_options(content))
        if any(option.get("x-form") == "none" for option in options):
            continue
        yield FormField(
            name, description=content["description"], needed=name in needed, **_form(options)
        )


def _options(schema: Schema) -> Iterator[Schema]:
    """Yield a schema's alternatives, each with the keywords of those around it; never null."""
    inner = schema.get("anyOf") or schema.get("oneOf")
    if not inner:
        if schema.get("type") != "null":
            yield schema
        return
    around = {k: v for k, v in schema.items() if k not in ("anyOf", "oneOf", "description")}
    for option in inner:
        yield from _options({**around, **option})


def _form(options: list[Schema]) -> dict[str, Any]:
    """Choose among a field's spellings the fullest one: a record, a list, then a single text."""
    for option in options:
        if (form := option.get("x-form")) in ("pieces", "yes-no"):
            return {"kind": form}
    records = [o["$ref"].rpartition("/")[2] for o in options if "$ref" in o]
    lists = [o for o in options if o.get("type") == "array" and _is_list(o)]
    if lists:
        return {**_form(list(_options(lists[0]["items"]))), **_cited(options), "several": True}
    if records:
        numbered = any(o.get("type") == "integer" for o in options)
        return {"kind": "record", "record": records[0], "numbered": numbered, **_cited(options)}
    return {**_single(options[0]), **_cited(options)}


def _is_list(option: Schema) -> bool:
    """Tell a list of things from numbers that make one thing, as a place on a picture does."""
    return bool(option["items"].get("type") != "number")


def _cited(options: list[Schema]) -> dict[str, Any]:
    """Say what kind of record is cited; the innermost mark says it of one entry."""
    return next(({"refers": o["x-refers"]} for o in options if "x-refers" in o), {})


def _single(option: Schema) -> dict[str, Any]:
    kinds = option.get("type", ())
    kinds = (kinds,) if isinstance(kinds, str) else kinds
    said: dict[str, Any] = {}
    if pattern := option.get("pattern"):
        said["pattern"] = pattern
    if examples := option.get("examples"):
        said["example"] = str(examples[0])
    if longest := option.get("maxLength"):
        said["longest"] = longest
    if "enum" in option:
        if True in option["enum"]:
            return {"kind": "yes-no"}
        return {"kind": "choice", "choices": tuple(map(str, option["enum"]))}
    if option.get("format") == "date":
        return {**said, "kind": "date"}
    if form := option.get("x-form"):
        return {**said, "kind": form}
    if "integer" in kinds:
        return {"kind": "number"}
    return {**said, "kind": "prose" if said.get("longest", 0) > _LONG_TEXT else "text"}
