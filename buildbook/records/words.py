"""What pydantic found wrong, said in the builder's words."""

import re
from typing import Any

from pydantic_core import ErrorDetails

from buildbook.records.names import NUMBER_TAG, RECORD_TAG
from buildbook.records.problems import Place, Problem, Step, did_you_mean
from buildbook.records.record import Record, fold, record_in

_KEY = "[key]"
_LONGEST_FIND = 300


def plain_path(error: ErrorDetails) -> tuple[Step, ...]:
    """Turn an error's path into the way through the file: what pydantic adds to it drops out."""
    loc = error["loc"][:-1] if _is_about_key(error) else error["loc"]
    return tuple(step for step in loc if step not in (RECORD_TAG, NUMBER_TAG))


def _is_about_key(error: ErrorDetails) -> bool:
    return error["loc"][-1:] == (_KEY,) and error["type"] != "extra_forbidden"


def explain(  # noqa: PLR0911 - one return for each way of being wrong
    error: ErrorDetails, model: type[Record], place: Place, *, is_empty: bool = False
) -> Problem:
    """Say one validation error in words. `place` is that of the value it is about.

    `is_empty` tells a field that is written with nothing after its colon from one that is missing.
    """
    kind, context, value = error["type"], error.get("ctx", {}), error["input"]
    field = next((s for s in reversed(place.path) if isinstance(s, str) and s), "")
    name = f"`{field}`" if field else "this entry"
    if kind == "missing":
        return _missing(field, place, is_empty=is_empty)
    if kind == "extra_forbidden":
        return _unknown_field(field, place, _model_at(model, error["loc"][:-1]))
    of_key = _is_about_key(error)
    if "said" in context:  # one of our own
        find = "" if of_key or "field" in context else _words(value)
        advice = context.get("advice", "")
        return Problem(kind, context["said"], place, advice=advice, of_key=of_key, find=find)
    if value is None:
        return _empty(name, place)
    if kind == "string_type" and isinstance(value, dict):
        return Problem(
            "colon-in-text",
            f"{name} should be text, and a colon makes a field of it",
            place,
            advice="put quotes around the whole text, or take the space after the colon away",
        )
    for pattern, code, message, advice in _WORDS:
        if re.fullmatch(pattern, kind):
            values = {k: _choices(v) if k == "expected" else v for k, v in context.items()}
            shown = f"`{value}`" if isinstance(value, (str, int)) else "this"
            said = message.format(name=name, input=shown, **values)
            return Problem(
                code, said, place, advice=advice.format(name=name, **values), find=_words(value)
            )
    return Problem("bad-value", f"{name} is not right: {error['msg']}", place)


def _missing(field: str, place: Place, *, is_empty: bool) -> Problem:
    if is_empty:
        said = f"`{field}` is left empty, and is needed"
        return Problem("empty", said, place, advice="write it after the colon", of_key=True)
    return Problem(
        "missing-field",
        f"`{field}` is missing",
        Place(place.file, place.path[:-1]),
        advice=f"add a line `{field}:`",
    )


def _unknown_field(field: str, place: Place, model: type[Record]) -> Problem:
    known = list(model.spellings)
    if field.startswith("-"):
        said, advice = f"a space is missing in `{field}`", f"write `- {field[1:]}: ...`"
        return Problem("dash-without-space", said, place, advice=advice, of_key=True)
    if fold(field) in known:
        return Problem(
            "repeated-key",
            f"`{field}` is the field `{fold(field)}`, which this record already has",
            place,
            advice="keep one of them; a list can hold several values",
            of_key=True,
        )
    listed = ", ".join(name for name in known if name != "private")
    advice = did_you_mean(fold(field), known) or f"known fields: {listed}"
    said = f"there is no field `{field}` here"
    return Problem("unknown-field", said, place, advice=advice, of_key=True)


def _empty(name: str, place: Place) -> Problem:
    if place.path and isinstance(place.path[-1], int):
        where = f"an entry of {name}" if name.startswith("`") else "an entry of the list"
        advice = "write it, or take its `-` away"
        return Problem("empty", f"{where} is empty", place, advice=advice)
    advice = "write it after the colon, or take the line away"
    return Problem("empty", f"{name} is left empty", place, advice=advice, of_key=True)


def _words(value: Any) -> str:
    return value.strip() if isinstance(value, str) and len(value) <= _LONGEST_FIND else ""


def _choices(expected: str) -> str:
    return expected.replace("'", "`")


_WORDS = (
    # pydantic's error types, code, message, advice
    (
        r"string_type|string_sub_type",
        "not-text",
        "{name} should be text, not a list",
        "write it on one line, or put quotes around it",
    ),
    (r"string_too_long", "too-long", "{name} is longer than {max_length} characters", "shorten it"),
    (
        r"tuple_type|list_type",
        "not-a-list",
        "{name} should be a list",
        "start each entry on its own line with `- `",
    ),
    (
        r"dict_type|model_type|model_attributes_type|mapping_type",
        "not-fields",
        "{name} should hold fields, as `name: value`",
        "put each field on its own line, indented",
    ),
    (
        r"literal_error|enum",
        "bad-choice",
        "{input} is not a choice for {name}",
        "write {expected}",
    ),
    (r"greater_than", "too-small", "{name} must be more than {gt}", ""),
    (r"greater_than_equal", "too-small", "{name} must be at least {ge}", ""),
    (r"less_than_equal", "too-large", "{name} must be at most {le}", ""),
    (r"too_short", "too-few", "{name} is empty", "write at least one entry"),
    (
        r"int_.*|is_instance_of|dataclass_type|dataclass_exact_type|date_.*|bool_.*",
        "not-one-value",
        "{name} should be a single value, not a list or fields",
        "write it on one line",
    ),
)


def _model_at(model: type[Record], loc: tuple[Step, ...]) -> type[Record]:
    """Follow an error's path through the fields' types to the record it ends in."""
    for step in loc:
        info = next((f for n, f in model.model_fields.items() if step in (n, f.alias)), None)
        if info is not None:
            model = record_in(info.annotation) or model
    return model
