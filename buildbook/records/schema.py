"""JSON Schemas of the record files, for editors that help while typing.

Draft 2020-12. A schema accepts what `check` accepts, as far as one file tells: it knows names of
fields and forms of values, and nothing of other files. Editors read YAML 1.2, in which `010` is a
number and `2025-03-08` a text; so every text may also be a number here.
"""

from typing import Any

from buildbook.records.kinds import KINDS, Kind

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]


def schemas() -> dict[str, Schema]:
    """Return the schema of every kind of file, by the kind's name."""
    return {name: schema_of(kind) for name, kind in KINDS.items()}


def schema_of(kind: Kind) -> Schema:
    """Return the schema of a kind of file: one record, or where the kind allows it a list."""
    model = kind.model.model_json_schema(by_alias=True)
    records: Schema = model.pop("$defs", {})
    name = kind.model.__name__
    records[name] = model
    for record in records.values():
        _for_editors(record)
    one = {"$ref": f"#/$defs/{name}"}
    where = f"`{kind.name}.yml`, or any file in the folder `{kind.name}/`"
    if kind.name == "book":
        where = "`book.yml`"
    form: Schema = one
    if kind.several:
        form = {"anyOf": [one, {"type": "array", "items": one}, {"type": "null"}]}
    return {
        "$schema": DRAFT,
        "title": f"buildbook: {kind.name}",
        "description": f"{model.get('description', '')} Written in {where}.",
        **form,
        "$defs": records,
    }


def _for_editors(record: Schema) -> None:
    """Fit the schema of one record to what an editor makes of YAML, and drop what it repeats."""
    needed = record.get("required", ())
    properties = record.get("properties", {})
    if "private" in properties:  # what all records share comes after what is their own
        properties["private"] = properties.pop("private")
    for name, field in properties.items():
        field.pop("title", None)
        if field.get("default") in (None, [], {}, ""):
            field.pop("default", None)
        _widen(field)
        if name not in needed and not _allows_null(field):  # a field left empty is not written
            kept = {k: field.pop(k) for k in ("description", "default") if k in field}
            inner = dict(field)
            field.clear()
            field.update({**kept, "anyOf": [inner, {"type": "null"}]})


def _widen(schema: Any) -> None:
    """Let every text be a number too, all the way down."""
    if isinstance(schema, list):
        for inner in schema:
            _widen(inner)
    elif isinstance(schema, dict):
        if schema.get("type") == "string" and "format" not in schema and "enum" not in schema:
            schema["type"] = ["string", "number"]
        for key, inner in schema.items():
            if key not in ("default", "examples", "enum"):
                _widen(inner)


def _allows_null(schema: Schema) -> bool:
    return any(option.get("type") == "null" for option in schema.get("anyOf", ()))
