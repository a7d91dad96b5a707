"""Exports against what reads them: Python's csv and sqlite3, and a validator of JSON Schema."""

import csv
import hashlib
import io
import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sites import ROOT

from buildbook.handover.derivedtables import tables_of
from buildbook.handover.exports import (
    MARK,
    SQLITE,
    as_csv,
    export,
    protected,
    schema,
    unprotected,
)
from buildbook.handover.fieldplan import field_plans
from buildbook.handover.folders import CannotWriteError
from buildbook.handover.tables import Column, Table, by_need
from buildbook.ledger.ledger import Ledger, derive
from buildbook.records.book import Book
from buildbook.records.kinds import KINDS
from buildbook.records.read import read


@pytest.fixture(scope="module")
def demo() -> Book:
    return read(ROOT / "content").book


@pytest.fixture(scope="module")
def ledger(demo: Book) -> Ledger:
    return derive(demo)


@pytest.fixture(scope="module")
def tables(demo: Book, ledger: Ledger) -> list[Table]:
    return by_need(tables_of(demo, ledger))


@pytest.fixture(scope="module")
def folder(demo: Book, ledger: Ledger, tmp_path_factory: pytest.TempPathFactory) -> Path:
    to = tmp_path_factory.mktemp("export") / "tables"
    export(demo, ledger, to)
    return to


def test_csv_is_read_by_another_program(folder: Path, tables: list[Table]) -> None:
    for table in tables:
        data = (folder / "csv" / f"{table.name}.csv").read_bytes()
        names, *rows = csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
        assert names == [column.name for column in table.columns]
        assert len(rows) == len(table.rows)
        for row, own in zip(rows, table.rows, strict=True):
            for column, cell, value in zip(table.columns, row, own, strict=True):
                assert said(column, cell) == value, (table.name, column.name)


def said(column: Column, cell: str) -> object:
    """What a cell says, by the export's own README."""
    if cell == "":
        return None
    match column.kind:
        case "integer":
            return int(cell)
        case "number":
            return float(cell)
        case "yes-no":
            return {"yes": True, "no": False}[cell]
        case "text":
            return unprotected(cell)
    return cell


def test_csv_follows_the_standard() -> None:
    """RFC 4180, 2: CR LF ends each record, quotes where there is a comma, a quote or a line break,
    and quotes in a field are doubled."""
    columns = (Column("id", "integer", ""), Column("words", "text", ""))
    table = Table("t", "", columns, [(1, "plain"), (2, 'a "b", c'), (3, "two\nlines"), (4, None)])
    assert as_csv(table) == (b'id,words\r\n1,plain\r\n2,"a ""b"", c"\r\n3,"two\nlines"\r\n4,\r\n')


@pytest.mark.parametrize(
    "text",
    # Beginnings of formulas: OWASP, "CSV Injection".
    ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠A"],
)
def test_no_text_is_a_formula(text: str) -> None:
    table = Table("t", "", (Column("words", "text", ""),), [(text,)])
    [_, [cell]] = csv.reader(io.StringIO(as_csv(table).decode(), newline=""))
    assert cell == f"'{text}"
    assert unprotected(cell) == text


def test_numbers_are_left_as_they_are() -> None:
    table = Table("t", "", (Column("n", "number", ""), Column("i", "integer", "")), [(-1.5, -2)])
    assert as_csv(table) == b"n,i\r\n-1.5,-2\r\n"


@given(st.text())
def test_what_was_written_comes_back(text: str) -> None:
    assert unprotected(protected(text)) == text


def test_json_follows_its_schema(folder: Path, tables: list[Table]) -> None:
    described = json.loads((folder / "json" / "schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(described)
    for table in tables:
        rows = json.loads((folder / "json" / f"{table.name}.json").read_text(encoding="utf-8"))
        one = {**described, "$ref": f"#/$defs/{table.name}"}
        jsonschema.Draft202012Validator(one).validate(rows)
        assert rows == [
            dict(zip([c.name for c in table.columns], row, strict=True)) for row in table.rows
        ]


def test_every_column_is_described(tables: list[Table]) -> None:
    for table in tables:
        for column in table.columns:
            assert column.description, (table.name, column.name)
            assert re.fullmatch(r"[a-z][a-z0-9_]*", column.name), (table.name, column.name)
        assert len({c.name for c in table.columns}) == len(table.columns), table.name
    properties = schema(tables)["$defs"]["sessions"]["items"]["properties"]
    assert "Day the work began" in properties["date"]["description"]


def test_sqlite_is_sound(folder: Path, tables: list[Table]) -> None:
    with closing(sqlite3.connect(folder / SQLITE)) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        for table in tables:
            keys = database.execute(f'PRAGMA foreign_key_list("{table.name}")').fetchall()
            assert {(key[3], key[2]) for key in keys} == {
                (c.name, c.refers) for c in table.columns if c.refers
            }
            rows = database.execute(f'SELECT * FROM "{table.name}"').fetchall()
            assert sorted(map(repr, rows)) == sorted(
                repr(tuple(map(_plain, r))) for r in table.rows
            )
        # A question of one's own: each person's hours are those of the book.
        database.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError):
            database.execute("INSERT INTO lots_parts VALUES (9999, 'no-such-lot', 1, 'x')")


def _plain(value: object) -> object:
    return int(value) if isinstance(value, bool) else value


def test_hours_add_up(folder: Path, ledger: Ledger) -> None:
    with closing(sqlite3.connect(folder / SQLITE)) as database:
        by_person = dict(database.execute("SELECT person, SUM(minutes) FROM hours GROUP BY person"))
        [(clock,)] = database.execute("SELECT SUM(clock_minutes) FROM work")
        [(of_sessions,)] = database.execute("SELECT SUM(clock_minutes) FROM sessions")
    assert by_person == {row.key: row.clock for row in ledger.hours.by_person.rows}
    assert clock == of_sessions == ledger.hours.clock


def test_every_field_has_a_place(tables: list[Table]) -> None:
    """A field that a model gains is exported without a change here."""
    by_name = {table.name: {c.name for c in table.columns} for table in tables}
    for kind in KINDS.values():
        here = by_name[kind.name] | {name for name in by_name if name.startswith(kind.name)}
        here |= by_name["work"] if kind.name == "sessions" else set()
        here |= {"work", "photos", "clips", "amendments", "steps", "piece_entries", "editions"}
        for plan in field_plans(kind.model):
            found = any(
                name == plan.attribute
                or name.startswith((f"{plan.attribute}_", f"{kind.name}_{plan.attribute}"))
                or (plan.attribute == "hours" and name == "minutes")
                or name in (f"work_{plan.attribute}", "readings", plan.attribute)
                for name in here | set(by_name)
            )
            assert found, (kind.name, plan.attribute)


def test_the_same_bytes_again(demo: Book, folder: Path, tmp_path: Path) -> None:
    export(demo, derive(read(ROOT / "content").book), tmp_path / "again")
    assert digests(tmp_path / "again") == digests(folder)


def digests(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_an_export_takes_the_place_of_an_export(
    demo: Book, ledger: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "out"
    export(demo, ledger, to)
    before = digests(to)

    def broken(*_: object) -> bytes:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("buildbook.handover.exports.as_sqlite", broken)
    with pytest.raises(CannotWriteError, match="the disk is full"):
        export(demo, ledger, to)
    assert digests(to) == before
    assert json.loads((to / MARK).read_text(encoding="utf-8"))["edition"] == "full"


def test_tables_come_after_those_they_cite(tables: list[Table]) -> None:
    seen: set[str] = set()
    for table in tables:
        assert {c.refers for c in table.columns if c.refers} <= seen | {table.name}
        seen.add(table.name)
    ring = [Table(a, "", (Column("x", "text", "", refers=b),)) for a, b in ("ab", "ba")]
    with pytest.raises(ValueError, match="in a ring"):
        by_need(ring)
