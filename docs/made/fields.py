"""A page for each kind of record with every field, from the models themselves."""

from collections.abc import Iterator
from html import escape
from typing import Any

from samples import sample

from buildbook.records.kinds import KINDS, Kind
from buildbook.records.private import private_kinds
from buildbook.records.record import Record, record_in, spaced
from buildbook.records.schema import Schema, schema_of

_CITED = {
    "people": ("a person", "people"),
    "operations": ("an operation", "operations"),
    "tools": ("a tool", "tools"),
    "lots": ("a lot", "lots"),
    "parts": ("a part number", "parts"),
    "steps": ("a step, as `fin/skeleton`", "sections"),
    "sections": ("a section", "sections"),
    "notices": ("a notice", "notices"),
    "equipment": ("an item of equipment", "equipment"),
    "lessons": ("the number of a lesson", "lessons"),
    "squawks": ("the number of a squawk", "squawks"),
    "pieces": ("the full label of a piece", "parts"),
    "photos": ("a picture's path inside `photos/`", ""),
    "clips": ("a clip's path inside `photos/`", ""),
}
"""What a citation is, and the kind whose page tells of it."""
_FORMS = {
    "^[a-z0-9]+(-[a-z0-9]+)*$": "a short name: small letters, digits, hyphens",
    "^[A-Za-z0-9._-]+$": "a number as issued, without spaces",
    "^[A-Z]{3}$": "three letters of a currency",
    "^https?://.+$": "an address",
    "^https://.+$": "an address",
    "^.+ (at|@) .+$": "as `430 kg at 24 %`",
    "^(.|\\n)*$": "text",
}
"""What a pattern means in words. Any other stands beside examples."""
_AIR = "^(([-+"
"""How the pattern of temperature and humidity on one line begins."""
_LONG = 1000
"""A text that may be longer than this may have paragraphs."""


def list_of_kinds() -> str:
    """Return a table of all kinds of record."""
    rows = ["| kind | where it is written | what it is |", "| --- | --- | --- |"]
    for kind in KINDS.values():
        said = _schema(kind).get("description", "")
        rows.append(f"| [{kind.one}]({kind.name}.md) | {_where(kind)} | {_cell(said)} |")
    return "\n".join(rows)


def page_of(kind: Kind) -> str:
    """Return the Markdown page about a kind: its fields, those of the records in it, a sample."""
    schema = schema_of(kind)["$defs"]
    models = dict(_models(kind.model))
    held = {name: f"#{_anchor(name)}" for name in models}
    lines = [
        f"# {kind.name.capitalize()}",
        "",
        schema[kind.model.__name__].get("description", ""),
        "",
        f"Written in {_where(kind)}, under `content/`. {_identity(kind)}",
        "",
        f'```yaml title="{_file(kind)}"',
        sample(kind),
        "```",
    ]
    for name, model in models.items():
        if model is not kind.model:
            lines += ["", f"## {_title(name)} {{ #{_anchor(name)} }}", ""]
            lines += [schema[name].get("description", "")]
        lines += ["", *_table(model, schema[name], held)]
    lines += [
        "",
        "Every record, and every record inside one, also takes `private`: "
        + schema[kind.model.__name__]["properties"]["private"]["description"]
        + " More in [Editions](../how-to/editions.md).",
        "",
    ]
    return "\n".join(lines)


def _models(model: type[Record]) -> Iterator[tuple[str, type[Record]]]:
    """Yield a model and all that its fields hold, each once, outermost first."""
    waiting, seen = [model], set()
    while waiting:
        one = waiting.pop(0)
        if one.__name__ in seen:
            continue
        seen.add(one.__name__)
        yield one.__name__, one
        for info in one.model_fields.values():
            waiting += _held(info.annotation)


def _held(annotation: Any) -> list[type[Record]]:
    inner = record_in(annotation)
    return [inner] if inner else []


def _table(model: type[Record], schema: Schema, held: dict[str, str]) -> Iterator[str]:
    needed = schema.get("required", ())
    private = {
        (info.alias or spaced(name)): private_kinds(model)[name]
        for name, info in model.model_fields.items()
        if name in private_kinds(model)
    }
    yield "| field | what it is | what it takes |"
    yield "| --- | --- | --- |"
    properties = schema.get("properties", {})
    for name in sorted(properties, key=lambda n: n not in needed):  # in order, the needed first
        if name == "private":
            continue
        field = properties[name]
        said = [str(field.get("description", ""))]
        if name in private:
            said.append(f"*Only in editions that hold {private[name]}.*")
        takes = _takes(field, held)
        if "default" in field:
            takes += f"; else {_value(field['default'])}"
        mark = " **(needed)**" if name in needed else ""
        yield f"| `{name}`{mark} | {_cell(' '.join(said))} | {_cell(takes)} |"


def _takes(field: Schema, held: dict[str, str]) -> str:
    """Say in words what a field takes, from its JSON Schema."""
    found: list[str] = []
    several = False
    for form in _forms(field):
        if form.get("type") == "array":
            several = True
            form = form["items"]  # noqa: PLW2901 - what is in the list is what counts
            found += [w for f in _forms(form) if (w := _form(f, held))]
        elif word := _form(form, held):
            found.append(word)
    words = list(dict.fromkeys(found))
    if several and "text" in words and len(words) > 1:
        words.remove("text")  # one on a line by itself, or several with commas
    if field.get("x-form") == "pieces" or any(f.get("x-form") == "pieces" for f in _forms(field)):
        return "`all`, a side, labels, or these by part number"
    return " or ".join(words) + (", one or several" if several else "")


def _forms(field: Schema) -> Iterator[Schema]:
    """Yield every form a field may have."""
    choices = field.get("anyOf") or field.get("oneOf")
    if not choices:
        if field.get("type") != "null":
            yield field
        return
    for choice in choices:
        shared: Schema = {k: field[k] for k in ("x-form", "x-refers", "examples") if k in field}
        yield from _forms({**shared, **choice})


def _form(form: Schema, held: dict[str, str]) -> str:  # noqa: PLR0911 - a line a form
    if ref := form.get("$ref"):
        name = ref.rsplit("/", 1)[-1]
        return f"[{_title(name).lower()}]({held[name]})"
    if to := form.get("x-refers"):
        noun, page = _CITED[to]
        return f"[{noun}]({page}.md)" if page and "`" not in noun else noun
    if choices := form.get("enum"):
        plain = [c for c in choices if isinstance(c, str)]
        return " or ".join(f"`{c}`" for c in plain)
    if form.get("format") == "date":
        return "a date, as `2025-03-08`"
    if examples := form.get("examples"):
        return "as " + " or ".join(f"`{e}`" for e in examples)
    if pattern := form.get("pattern"):
        if pattern.startswith(_AIR):
            return "in short `17 °C, 55 %`"
        return _FORMS.get(pattern, "a quantity with its unit")
    kind = form.get("type")
    if kind == "object":
        return _mapping(form, held)
    if kind in ("integer", "number"):
        low, high = form.get("minimum"), form.get("maximum")
        whole = "a whole number" if kind == "integer" else "a number"
        return whole + (f" from {low}" if low else "") + (f" to {high}" if high else "")
    return "text, with paragraphs" if form.get("maxLength", 0) > _LONG else "text"


def _mapping(form: Schema, held: dict[str, str]) -> str:
    keys = form.get("propertyNames", {}).get("x-refers")
    values = form.get("additionalProperties") or next(iter(form["patternProperties"].values()))
    name = _CITED[keys][0] if keys else "a name"
    return f"{name}, a colon, and {_form(values, held)}"


def _identity(kind: Kind) -> str:
    if kind.name == "book":
        return "There is one."
    by = f"`{kind.identity}` names it."
    return f"A file holds one or a list of them; {by}" if kind.several else f"One a file; {by}"


def _schema(kind: Kind) -> Schema:
    schema: Schema = schema_of(kind)["$defs"][kind.model.__name__]
    return schema


def _where(kind: Kind) -> str:
    if kind.name == "book":
        return "`book.yml`"
    return f"`{kind.name}.yml` or any file in `{kind.name}/`"


def _file(kind: Kind) -> str:
    """Name the file that a sample could stand in."""
    one_a_file = not kind.several and kind.name in ("sections", "sessions")
    return f"content/{kind.name}/first.yml" if one_a_file else f"content/{kind.name}.yml"


def _title(name: str) -> str:
    """Write a model's name as words: `RequiredReading` is *Required reading*."""
    words = "".join(f" {c.lower()}" if c.isupper() else c for c in name).split()
    return " ".join(words).capitalize()


def _anchor(name: str) -> str:
    return _title(name).lower().replace(" ", "-")


def _value(value: Any) -> str:
    shown = ("no", "yes")[value] if isinstance(value, bool) else value
    return f"`{shown}`"


def _cell(text: str) -> str:
    """Fit a text into a cell of a table."""
    return escape(text, quote=False).replace("|", "\\|").replace("\n", " ")
