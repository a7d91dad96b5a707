"""Records as tables: every kind, so that what a model gains is exported too.

A record is a row. A list in it is a table of its own, whose rows name the row they belong to.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from buildbook.handover.fieldplan import field_plans
from buildbook.handover.modelcolumns import FILES, PIECES, Child, Spec, row_name, spec_of
from buildbook.handover.tables import Column, Table, Value
from buildbook.records.book import Book
from buildbook.records.kinds import KINDS
from buildbook.records.record import Record
from buildbook.records.section import Step
from buildbook.records.session import Session, Work


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
            specs[kind.name] = spec = spec_of(kind.model, kind.name)
            about = kind.model.__doc__ or ""
            self._add_table(spec, _key_column(kind.name, spec), about.partition("\n")[0])
        for name, spec in specs.items():
            for key, record in _records(book, name):
                self._add(spec, record, key, ())

    def _add_table(
        self, spec: Spec, key: Column, about: str, parent: tuple[Column, ...] = ()
    ) -> None:
        own = [cell.column for cell in spec.cells if cell.column.name != key.name]
        self.tables[spec.table] = Table(spec.table, about, (key, *parent, *own))
        owner = Column(
            row_name(spec.table), key.kind, "What it belongs to.", spec.table, needed=True
        )
        place = Column("place", "integer", "Its place in the list, from 1.", needed=True)
        for child in spec.children:
            if child.spec:
                text = child.table == "steps"
                one = row_name(child.table) if text else "id"
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

    def _add(self, spec: Spec, record: Record, key: Value, belongs: tuple[Value, ...]) -> None:
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

    def _add_item(self, child: Child, item: Any, owner: Value, place: int) -> None:
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


def _key_column(kind: str, spec: Spec) -> Column:
    """Make the column of a kind's key: its identity where that is one name, else a number."""
    identity = KINDS[kind].identity
    held = next(f for f in fields(Book) if f.name == ("file" if kind == "book" else kind))
    if not str(held.type).startswith(("Mapping", "collections.abc.Mapping")):
        return Column("id", "integer", "Key.", needed=True)
    if kind == "sessions":
        return Column("session", "text", "Key: its date and its title.", needed=True)
    cell = next(c for c in spec.cells if c.column.name == identity)
    return Column(identity, cell.column.kind, cell.column.description, needed=True)


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
