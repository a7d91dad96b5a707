"""What a kind of record is as a table: its fields are columns, the lists in it tables of their own.

Made from the model, so that a field it gains is exported too. A record inside a record is a few
columns more. Quantities and money are given as written and as numbers.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Literal, get_args, get_origin

from pydantic import WithJsonSchema

from buildbook.handover.fieldplan import field_plans
from buildbook.handover.tables import Column, ColumnKind, Value, plain
from buildbook.records.areas import Area
from buildbook.records.clock import ClockTime
from buildbook.records.kinds import KINDS
from buildbook.records.money import Money
from buildbook.records.quantities import Quantity
from buildbook.records.record import Record, record_in
from buildbook.records.session import SHORT_FORM, Session, Work

FILES, PIECES = "files", "pieces"
"""Tables of pictures and clips, and of single pieces, which records cite too."""
_CITED = {"photos": FILES, "clips": FILES}
_NAMES = {
    "sections_steps": "steps",
    "sessions_work": "work",
    "sessions_photos": "photos",
    "sessions_clips": "clips",
    "sessions_amendments": "amendments",
    "work_readings": "readings",
    "parts_pieces": "piece_entries",
}
_ONE = {
    "steps": "step",
    "work": "work",
    "photos": "photo",
    "clips": "clip",
    "readings": "reading_id",
    "equipment": "equipment",
    FILES: "file",
    PIECES: "piece",
}
_NUMBERED = {"lessons": "lesson", "squawks": "squawk"}
_NOT_EXPORTED = frozenset(("private", "editions"))


@dataclass(frozen=True, slots=True)
class Cell:
    """A column, and how a record fills it."""

    column: Column
    value: Callable[[Any], Value]


@dataclass(slots=True)
class Child:
    """A list inside a record: a table of its own."""

    attribute: str
    table: str
    items: Callable[[Any], Iterable[Any]]
    spec: "Spec | None" = None
    """Of records; the rows of other lists are `cells` alone."""
    cells: tuple[Cell, ...] = ()
    refers: str = ""
    description: str = ""


@dataclass(slots=True)
class Spec:
    """What a kind of record is as a table."""

    table: str
    cells: list[Cell] = field(default_factory=list)
    children: list[Child] = field(default_factory=list)


def row_name(table: str) -> str:
    """Name a row of a table, as the column that cites it is called."""
    if table in _ONE:
        return _ONE[table]
    return KINDS[table].one.replace("-", "").replace(" ", "_") if table in KINDS else f"{table}_id"


def spec_of(model: type[Record], table: str) -> Spec:
    """Make the columns of a kind of record, and the tables of what is listed in it."""
    spec = Spec(table)
    refers = {plan.attribute: plan.refers for plan in field_plans(model)}
    for name, info in model.model_fields.items():
        if name in _NOT_EXPORTED or (model is Session and name in SHORT_FORM):
            continue
        whole = info.annotation if not info.metadata else _Annotated(info.annotation, info.metadata)
        _add_field(spec, name, whole, info.description or "", refers.get(name, ""))
    return spec


@dataclass(frozen=True, slots=True)
class _Annotated:
    """A field's type with the marks that stand on the field itself."""

    of: Any
    marks: list[Any]


def _add_field(spec: Spec, name: str, annotation: Any, about: str, refers: str) -> None:
    marks, form, inner = _shape(annotation)
    cited = _CITED.get(refers, refers)
    get = _getter(name)
    record = record_in(inner)
    table = _NAMES.get(f"{spec.table}_{name}", f"{spec.table}_{name}")
    if form == "one" and record:
        inside = spec_of(record, f"{spec.table}_{name}")
        for cell in inside.cells:
            spec.cells.append(_within(cell, name, get))
        for child in inside.children:
            items = _then(get, child.items)
            spec.children.append(
                Child(name, child.table, items, child.spec, child.cells, cited, about)
            )
    elif form == "one":
        spec.cells += _leaf(name, inner, marks, about, cited, get)
    elif name == "work" and spec.table == "sessions":
        child_spec = spec_of(Work, "work")
        spec.children.append(Child(name, "work", lambda s: s.entries, child_spec, (), "", about))
    elif form == "many" and record and not refers:
        spec.children.append(
            Child(name, table, _listed(get), spec_of(record, table), (), "", about)
        )
    elif form == "many":
        one = _NUMBERED.get(refers, "")
        value = _number(one) if one else (lambda item: item)
        column = row_name(cited) if cited else "value"
        if column == row_name(spec.table):
            column = f"other_{column}"
        cells = _leaf(column, int if one else inner, marks, about, cited, value)
        spec.children.append(Child(name, table, _listed(get), None, tuple(cells), cited, about))
    else:
        _add_map(spec, name, inner, about, cited)


def _add_map(spec: Spec, name: str, inner: Any, about: str, cited: str) -> None:
    """Add a mapping: a row for each key, or for each word where several stand behind a key."""
    name_of_key = row_name(cited) if cited else "key"
    key = Column(name_of_key, "text", "What it is said of.", cited, needed=not cited)
    cells = [Cell(key, lambda pair: pair[0] or None)]
    cells += _leaf("value", inner, [], about, "", lambda pair: pair[1])

    def pairs(record: Any) -> Iterator[tuple[Any, Any]]:
        for k, said in (getattr(record, name) or {}).items():
            for value in said if isinstance(said, tuple) else (said,):
                yield k, value

    table = f"{spec.table}_{name}"
    spec.children.append(Child(name, table, pairs, None, tuple(cells), "", about))


def _getter(name: str) -> Callable[[Any], Any]:
    return lambda record: getattr(record, name)


def _listed(get: Callable[[Any], Any]) -> Callable[[Any], Iterable[Any]]:
    return lambda record: get(record) or ()


def _then(
    get: Callable[[Any], Any], items: Callable[[Any], Iterable[Any]]
) -> Callable[[Any], Iterable[Any]]:
    def found(record: Any) -> Iterable[Any]:
        inner = get(record)
        return items(inner) if inner is not None else ()

    return found


def _within(cell: Cell, name: str, get: Callable[[Any], Any]) -> Cell:
    """Make a column of a record inside another one."""

    def value(record: Any) -> Value:
        inner = get(record)
        return cell.value(inner) if inner is not None else None

    old = cell.column
    return Cell(Column(f"{name}_{old.name}", old.kind, old.description, old.refers), value)


def _number(one: str) -> Callable[[Any], Any]:
    return lambda item: item if isinstance(item, int) else getattr(item, one)


def _shape(annotation: Any) -> tuple[list[Any], Literal["one", "many", "map"], Any]:
    """Take a type apart: its marks, whether it is one or several, and of what type each is."""
    marks: list[Any] = []
    if isinstance(annotation, _Annotated):
        marks, annotation = list(annotation.marks), annotation.of
    while True:
        inner = get_args(annotation)
        if hasattr(annotation, "__metadata__"):
            marks += annotation.__metadata__
            annotation = inner[0]
        elif type(None) in inner:
            kept = [a for a in inner if a is not type(None)]
            annotation = kept[0] if len(kept) == 1 else kept
            if isinstance(annotation, list):
                return marks, "one", str
        elif get_origin(annotation) is tuple:
            more, _, of = _shape(inner[0])
            return [*marks, *more], "many", of
        elif get_origin(annotation) is dict:
            more, _, of = _shape(inner[1])
            return more, "map", of
        else:
            return marks, "one", annotation


_KINDS: dict[Any, ColumnKind] = {
    bool: "yes-no",
    int: "integer",
    float: "number",
    Decimal: "number",
    date: "date",
    ClockTime: "time",
}


def _leaf(
    name: str, kind: Any, marks: list[Any], about: str, refers: str, get: Callable[[Any], Any]
) -> list[Cell]:
    """Make the columns of one value: as it was written, and what it is made of."""
    within = "" if name == "value" else f"{name}_"
    said: dict[Any, tuple[tuple[str, ColumnKind, str], ...]] = {
        Quantity: (("value", "number", "The number"), ("unit", "text", "The unit")),
        Money: (
            ("amount", "number", "The amount"),
            ("currency", "text", "Its currency, ISO 4217"),
            ("rate", "number", "What one unit cost in the book's currency"),
        ),
        Area: tuple((n, "number", f"Its {n}") for n in ("left", "top", "width", "height")),
    }
    if kind in said:
        parts = [
            Cell(Column(f"{within}{_other(n, within)}", of, f"{about} {words}."), _part(get, n))
            for n, of, words in said[kind]
        ]
        whole = [Cell(Column(name, "text", about), _part(get, "written"))]
        return parts if kind is Area else [*whole, *parts]
    if _is_duration(marks):
        name = "minutes" if name == "hours" else f"{name}_minutes"
    column = Column(name, _KINDS.get(kind, "text"), about, refers)
    return [Cell(column, lambda record: plain(get(record)))]


def _is_duration(marks: list[Any]) -> bool:
    said = [m.json_schema or {} for m in marks if isinstance(m, WithJsonSchema)]
    return any(schema.get("x-form") == "duration" for schema in said)


def _part(get: Callable[[Any], Any], attribute: str) -> Callable[[Any], Value]:
    def value(record: Any) -> Value:
        whole = get(record)
        return None if whole is None else plain(getattr(whole, attribute))

    return value


def _other(name: str, within: str) -> str:
    """Name the number of a quantity that is a whole row: `value` is what was written."""
    return "number" if name == "value" and not within else name
