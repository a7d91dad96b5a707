"""Records as tables: every kind and every field, so that what a model gains is exported too.

A record is a row. A record inside it is a few columns more, a list in it a table of its own whose
rows name the row they belong to. Quantities and money are given as written and as numbers.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from decimal import Decimal
from typing import Any, Literal, get_args, get_origin

from pydantic import WithJsonSchema

from buildbook.handover.fieldplan import field_plans
from buildbook.handover.tables import Column, ColumnKind, Table, Value
from buildbook.records.areas import Area
from buildbook.records.book import Book
from buildbook.records.clock import ClockTime
from buildbook.records.kinds import KINDS
from buildbook.records.money import Money
from buildbook.records.quantities import Quantity
from buildbook.records.record import Record, record_in
from buildbook.records.section import Step
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
class _Cell:
    """A column, and how a record fills it."""

    column: Column
    value: Callable[[Any], Value]


@dataclass(slots=True)
class _Child:
    """A list inside a record: a table of its own."""

    attribute: str
    table: str
    items: Callable[[Any], Iterable[Any]]
    spec: "_Spec | None" = None
    """Of records; the rows of other lists are `cells` alone."""
    cells: tuple[_Cell, ...] = ()
    refers: str = ""
    description: str = ""


@dataclass(slots=True)
class _Spec:
    """What a kind of record is as a table."""

    table: str
    cells: list[_Cell] = field(default_factory=list)
    children: list[_Child] = field(default_factory=list)


class ModelTables:
    """The tables of a book's records."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.tables: dict[str, Table] = {}
        self.work_ids: dict[tuple[str, int], int] = {}
        """Key of each piece of work by session and place in it, from 0."""
        self._keys = _known_keys(book)
        specs = {}
        for kind in KINDS.values():
            specs[kind.name] = spec = _spec(kind.model, kind.name)
            about = kind.model.__doc__ or ""
            self._add_table(spec, _key_column(kind.name, spec), about.partition("\n")[0])
        for name, spec in specs.items():
            for key, record in _records(book, name):
                self._add(spec, record, key, ())

    def _add_table(
        self, spec: _Spec, key: Column, about: str, parent: tuple[Column, ...] = ()
    ) -> None:
        own = [cell.column for cell in spec.cells if cell.column.name != key.name]
        self.tables[spec.table] = Table(spec.table, about, (key, *parent, *own))
        owner = Column(_one(spec.table), key.kind, "What it belongs to.", spec.table, needed=True)
        place = Column("place", "integer", "Its place in the list, from 1.", needed=True)
        for child in spec.children:
            if child.spec:
                text = child.table == "steps"
                one = _one(child.table) if text else "id"
                own_key = Column(one, "text" if text else "integer", "Key.", needed=True)
                self._add_table(child.spec, own_key, child.description, (owner, place))
            else:
                columns = (
                    Column("id", "integer", "Key.", needed=True),
                    owner,
                    place,
                    *(cell.column for cell in child.cells),
                )
                self.tables[child.table] = Table(child.table, child.description, columns)

    def _add(self, spec: _Spec, record: Record, key: Value, belongs: tuple[Value, ...]) -> None:
        """Add a record's row and those of the lists in it."""
        table = self.tables[spec.table]
        said: Any = _as_a_whole(record) if isinstance(record, Session) and not belongs else record
        own = [
            self._cited(cell.column, cell.value(said))
            for cell in spec.cells
            if cell.column.name != table.columns[0].name
        ]
        table.rows.append((key, *belongs, *own))
        for child in spec.children:
            holder = record if child.table in ("work", "photos", "clips") else said
            for place, item in enumerate(child.items(holder), 1):
                self._add_item(child, item, key, place)

    def _add_item(self, child: _Child, item: Any, owner: Value, place: int) -> None:
        table = self.tables[child.table]
        number = len(table.rows) + 1
        if child.spec:
            if child.table == "work":
                self.work_ids[str(owner), place - 1] = number
            key = f"{owner}/{item.step}" if isinstance(item, Step) else number
            self._add(child.spec, item, key, (owner, place))
            return
        values = [cell.value(item) for cell in child.cells]
        cited = [self._cited(c.column, v) for c, v in zip(child.cells, values, strict=True)]
        lost = any(
            c.column.refers and v is not None and kept is None
            for c, v, kept in zip(child.cells, values, cited, strict=True)
        )
        if not lost:  # what is not in the book is told by `check`
            table.rows.append((number, owner, place, *cited))

    def _cited(self, column: Column, value: Value) -> Value:
        if not column.refers or value is None:
            return value
        return value if value in self._keys[column.refers] else None


def _known_keys(book: Book) -> Mapping[str, Any]:
    keys: dict[str, Any] = {name: dict(_records(book, name)) for name in KINDS}
    keys["steps"] = book.steps
    keys[PIECES] = book.piece_by_label
    keys[FILES] = book.photo_files | book.clip_files
    return keys


def _records(book: Book, name: str) -> Iterator[tuple[Any, Record]]:
    """Yield the records of a kind, each with the key of its row."""
    held = getattr(book, "file" if name == "book" else name)
    if isinstance(held, Mapping):
        yield from held.items()
    elif isinstance(held, Record):
        yield 1, held
    else:
        yield from enumerate(held or (), 1)


def _key_column(kind: str, spec: _Spec) -> Column:
    """Make the column of a kind's key: its identity where that is one name, else a number."""
    identity = KINDS[kind].identity
    held = next(f for f in fields(Book) if f.name == ("file" if kind == "book" else kind))
    if not str(held.type).startswith(("Mapping", "collections.abc.Mapping")):
        return Column("id", "integer", "Key.", needed=True)
    if kind == "sessions":
        return Column("session", "text", "Key: its date and its title.", needed=True)
    cell = next(c for c in spec.cells if c.column.name == identity)
    return Column(identity, cell.column.kind, cell.column.description, needed=True)


def _one(table: str) -> str:
    """Name a row of a table, as the column that cites it is called."""
    if table in _ONE:
        return _ONE[table]
    return KINDS[table].one.replace("-", "").replace(" ", "_") if table in KINDS else f"{table}_id"


def _as_a_whole(session: Session) -> Session:
    """Leave in a session what is said of it as a whole.

    In the short form that is its date, its title and what is shown; the rest is its one piece of
    work, and stands in that table.
    """
    if session.work:
        return session
    blank = {
        plan.attribute: plan.empty for plan in field_plans(Work) if plan.attribute != "private"
    }
    return session.model_copy(update=blank)


def _spec(model: type[Record], table: str) -> _Spec:
    spec = _Spec(table)
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


def _add_field(spec: _Spec, name: str, annotation: Any, about: str, refers: str) -> None:
    marks, form, inner = _shape(annotation)
    cited = _CITED.get(refers, refers)
    get = _getter(name)
    record = record_in(inner)
    table = _NAMES.get(f"{spec.table}_{name}", f"{spec.table}_{name}")
    if form == "one" and record:
        inside = _spec(record, f"{spec.table}_{name}")
        for cell in inside.cells:
            spec.cells.append(_within(cell, name, get))
        for child in inside.children:
            items = _then(get, child.items)
            spec.children.append(
                _Child(name, child.table, items, child.spec, child.cells, cited, about)
            )
    elif form == "one":
        spec.cells += _leaf(name, inner, marks, about, cited, get)
    elif name == "work" and spec.table == "sessions":
        child_spec = _spec(Work, "work")
        spec.children.append(_Child(name, "work", lambda s: s.entries, child_spec, (), "", about))
    elif form == "many" and record and not refers:
        spec.children.append(_Child(name, table, _listed(get), _spec(record, table), (), "", about))
    elif form == "many":
        one = _NUMBERED.get(refers, "")
        value = _number(one) if one else (lambda item: item)
        column = _one(cited) if cited else "value"
        if column == _one(spec.table):
            column = f"other_{column}"
        cells = _leaf(column, int if one else inner, marks, about, cited, value)
        spec.children.append(_Child(name, table, _listed(get), None, tuple(cells), cited, about))
    else:
        _add_map(spec, name, inner, about, cited)


def _add_map(spec: _Spec, name: str, inner: Any, about: str, cited: str) -> None:
    """Add a mapping: a row for each key, or for each word where several stand behind a key."""
    name_of_key = _one(cited) if cited else "key"
    key = Column(name_of_key, "text", "What it is said of.", cited, needed=not cited)
    cells = [_Cell(key, lambda pair: pair[0] or None)]
    cells += _leaf("value", inner, [], about, "", lambda pair: pair[1])

    def pairs(record: Any) -> Iterator[tuple[Any, Any]]:
        for k, said in (getattr(record, name) or {}).items():
            for value in said if isinstance(said, tuple) else (said,):
                yield k, value

    table = f"{spec.table}_{name}"
    spec.children.append(_Child(name, table, pairs, None, tuple(cells), "", about))


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


def _within(cell: _Cell, name: str, get: Callable[[Any], Any]) -> _Cell:
    """Make a column of a record inside another one."""

    def value(record: Any) -> Value:
        inner = get(record)
        return cell.value(inner) if inner is not None else None

    old = cell.column
    return _Cell(Column(f"{name}_{old.name}", old.kind, old.description, old.refers), value)


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
) -> list[_Cell]:
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
            _Cell(Column(f"{within}{_other(n, within)}", of, f"{about} {words}."), _part(get, n))
            for n, of, words in said[kind]
        ]
        whole = [_Cell(Column(name, "text", about), _part(get, "written"))]
        return parts if kind is Area else [*whole, *parts]
    if _is_duration(marks):
        name = "minutes" if name == "hours" else f"{name}_minutes"
    column = Column(name, _KINDS.get(kind, "text"), about, refers)
    return [_Cell(column, lambda record: plain(get(record)))]


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


def plain(value: Any) -> Value:
    """Turn a value of a record into one of a table."""
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    low, high = getattr(value, "low", None), getattr(value, "high", None)
    if low or high:  # from a smallest to a largest value
        return " to ".join(v.written if v else "any" for v in (low, high))
    return str(value)
