"""Exports: every table of a book as CSV, as JSON with a schema, and in one SQLite file.

The same book gives the same bytes. CSV follows RFC 4180: commas, CR LF, quotes where they are
needed, UTF-8. A text that a spreadsheet could take for a formula has an apostrophe before it, and
so has one that begins with an apostrophe itself: whoever takes one apostrophe off a text that
begins with one has what was written. JSON and SQLite hold texts as they are.
"""

import csv
import io
import json
import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

from buildbook.handover.derivedtables import tables_of
from buildbook.handover.editions import title
from buildbook.handover.folders import replace_folder
from buildbook.handover.tables import Column, Table, Value, by_need
from buildbook.ledger.ledger import Ledger
from buildbook.records.book import Book
from buildbook.records.schema import DRAFT

MARK = "buildbook-export.json"
"""File that every export holds: it says what it is of."""
SQLITE = "book.sqlite"

# OWASP, "CSV Injection": a cell that begins with one of these may be run as a formula, the wide
# forms of East Asian keyboards and a line's own beginning included.
_RISKY = tuple("=+-@\t\r\n|%\uff1d\uff0b\uff0d\uff20")
_APOSTROPHE = "'"


def export(book: Book, ledger: Ledger, to: Path) -> dict[str, int]:
    """Write all tables of a book, which may be an edition, into a folder.

    Return the rows of each table. Raises CannotWriteError; an earlier export that is there stays
    as it is until this one is whole.
    """
    tables = by_need(tables_of(book, ledger))

    def fill(folder: Path) -> None:
        write_tables(book, tables, folder)

    replace_folder(to, fill, mark=MARK, content=book.folder)
    return {table.name: len(table.rows) for table in tables}


def write_tables(book: Book, tables: Sequence[Table], folder: Path) -> None:
    """Write tables, each after those it cites, into a folder that is there. Raises OSError."""
    for name in ("csv", "json"):
        (folder / name).mkdir()
    for table in tables:
        (folder / "csv" / f"{table.name}.csv").write_bytes(as_csv(table))
        (folder / "json" / f"{table.name}.json").write_bytes(as_json(table))
    (folder / "json" / "schema.json").write_bytes(_dumped(schema(tables)))
    (folder / SQLITE).write_bytes(as_sqlite(tables))
    (folder / "README.txt").write_text(_readme(book, tables), encoding="utf-8", newline="\n")
    said = {
        "title": book.file.title,
        "edition": book.edition,
        "left out": list(book.partial),
        "rows": {table.name: len(table.rows) for table in tables},
    }
    (folder / MARK).write_bytes(_dumped(said))


def protected(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet might not take for a text."""
    return _APOSTROPHE + text if text.startswith((*_RISKY, _APOSTROPHE)) else text


def unprotected(text: str) -> str:
    """Undo `protected`."""
    return text.removeprefix(_APOSTROPHE)


def as_csv(table: Table) -> bytes:
    """Write a table as CSV (RFC 4180), its names in the first line."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in table.columns])
    kinds = [column.kind for column in table.columns]
    for row in table.rows:
        writer.writerow([_cell(v, kind) for v, kind in zip(row, kinds, strict=True)])
    return out.getvalue().encode()


def _cell(value: Value, kind: str) -> str:
    if value is None:
        return ""
    if kind == "yes-no":
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    text = str(value)
    return protected(text) if kind == "text" else text


def as_json(table: Table) -> bytes:
    """Write a table as a JSON list of objects; a field without a value is null."""
    names = [column.name for column in table.columns]
    return _dumped([dict(zip(names, row, strict=True)) for row in table.rows])


def _dumped(data: Any) -> bytes:
    return (json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


_TYPES = {"text": "string", "date": "string", "time": "string"}
_PATTERNS = {"date": r"^\d{4}-\d{2}-\d{2}$", "time": r"^\d{2}:\d{2}$"}


def schema(tables: Iterable[Table]) -> dict[str, Any]:
    """Describe the JSON files: in `$defs` a schema for each table (JSON Schema, draft 2020-12)."""
    return {
        "$schema": DRAFT,
        "title": "Tables of a buildbook",
        "description": "Each file NAME.json follows #/$defs/NAME.",
        "$defs": {table.name: _schema_of(table) for table in tables},
    }


def _schema_of(table: Table) -> dict[str, Any]:
    return {
        "description": table.description,
        "type": "array",
        "items": {
            "type": "object",
            "properties": {column.name: _property(column) for column in table.columns},
            "required": [column.name for column in table.columns],
            "additionalProperties": False,
        },
    }


def _property(column: Column) -> dict[str, Any]:
    kind = {"yes-no": "boolean"}.get(column.kind) or _TYPES.get(column.kind, column.kind)
    said: dict[str, Any] = {"type": kind if column.needed else [kind, "null"]}
    if column.kind in _PATTERNS:
        said["pattern"] = _PATTERNS[column.kind]
    words = column.description
    if column.refers:
        words = f"{words} Key of a row of `{column.refers}`."
    return {**said, "description": words.strip()}


def as_sqlite(tables: Sequence[Table]) -> bytes:
    """Make an SQLite file of tables, each after those it cites, with foreign keys.

    The table `columns` says what each column holds.
    """
    import sqlite_utils  # noqa: PLC0415 - slow to load

    kinds = {"text": str, "date": str, "time": str, "number": float}
    keys = {table.name: table.columns[0].name for table in tables}
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        database = sqlite_utils.Database(connection)
        for table in (*tables, _columns(tables)):
            database.table(table.name).create(
                {column.name: kinds.get(column.kind, int) for column in table.columns},
                pk=table.columns[0].name,
                not_null=[column.name for column in table.columns if column.needed],
                foreign_keys=[
                    (c.name, c.refers, keys[c.refers]) for c in table.columns if c.refers
                ],
            )
            marks = ", ".join("?" * len(table.columns))
            into = f'INSERT INTO "{table.name}" VALUES ({marks})'  # noqa: S608 - our own names
            with connection:
                connection.executemany(into, table.rows)
        connection.execute("VACUUM")
        return connection.serialize()


def _columns(tables: Sequence[Table]) -> Table:
    columns = (
        Column("id", "integer", "Key.", needed=True),
        Column("table_name", "text", "A table.", needed=True),
        Column("column_name", "text", "A column of it.", needed=True),
        Column("description", "text", "What it holds.", needed=True),
    )
    rows = [(t.name, c.name, c.description) for t in tables for c in t.columns]
    return Table("columns", "", columns, [(n, *row) for n, row in enumerate(rows, 1)])


def _readme(book: Book, tables: Sequence[Table]) -> str:
    partial = f"Left out of this edition: {', '.join(book.partial)}." if book.partial else ""
    lines = [
        f"{book.file.title}: all tables. {title(book.edition)}. {partial}".strip(),
        "",
        "csv/       a file a table: UTF-8, commas, first line with the names (RFC 4180)",
        "json/      the same as JSON; schema.json says what each field holds",
        f"{SQLITE}  the same in one file, with foreign keys, for questions in SQL",
        "",
        "In the CSV files, and only there, a text that a spreadsheet could take for a formula has",
        "an apostrophe before it, and so has one that begins with an apostrophe itself. Take one",
        "apostrophe off every text that begins with one, and you have what was written.",
        "Dates are year-month-day, times hours:minutes by the workshop's clock, lengths of time in",
        "minutes. The book is a personal record and approves nothing.",
        "",
    ]
    for table in tables:
        lines += [f"{table.name} ({len(table.rows)} rows). {table.description}".strip()]
        lines += [f"    {column.name}: {column.description}" for column in table.columns]
    return "\n".join([*lines, ""])
