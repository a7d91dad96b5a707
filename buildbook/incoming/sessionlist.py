"""Sessions kept as a table: which column is what, and what each row says under which heading."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from buildbook.incoming.entries import Cell, Entry, mark_of
from buildbook.incoming.headings import fold, guess, heads, named
from buildbook.incoming.table import NoTableError, Row, Table
from buildbook.records.problems import nearest

HEADINGS = {
    "date": ("date", "day", "work date", "session date", "timestamp", "when"),
    "title": ("title", "subject", "headline", "topic"),
    "section": ("section", "assembly", "major assembly", "chapter", "area", "component", "group"),
    "step": (
        "step", "section step", "section and step", "step name", "task", "job", "worked on",
    ),
    "operation": ("operation", "kind of work", "type of work", "process"),
    "from": (
        "from", "start", "start time", "began", "begin", "started", "time started", "time in", "in",
    ),
    "to": ("to", "end", "end time", "ended", "stop", "until", "finish", "time out", "out"),
    "break": ("break", "pause", "time off", "breaks"),
    "hours": (
        "hours", "hrs", "hours worked", "time spent", "duration", "time", "h", "minutes", "mins",
        "min", "elapsed",
    ),
    "who": ("who", "people", "builder", "builders", "person", "worker", "workers", "by", "names"),
    "parts": ("parts", "part", "part numbers", "part number", "part no", "p n"),
    "pieces": ("pieces",),
    "tools": ("tools",),
    "lots": ("lots",),
    "air": ("air",),
    "finished": ("step finished",),
    "notes": (
        "notes", "note", "description", "work done", "what was done", "what", "details", "log",
        "entry", "activity", "work", "text", "summary", "remarks", "comments", "comment",
    ),
    "photos": ("photos", "photo", "pictures", "picture", "images", "image"),
    "next": ("next", "next time", "next steps", "to do", "todo"),
}  # fmt: skip
"""Words that usually head a column, by what of a session it holds, the surest first."""
LEAVE_OUT = ""
"""What stands in place of a field where a column is not wanted at all."""
_HEADER_WITHIN = 20


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column of a table holds what."""

    headings: tuple[str, ...]
    fields: tuple[str | None, ...]
    """Of each column: a field, LEAVE_OUT, or None where its words are only kept."""
    first: int
    """Index of the first row that is not a heading."""


def parse_map(words: Sequence[str]) -> dict[str, str]:
    """Read `Datum=date` and `Total=`: what columns hold, by their headings. Raises NoTableError."""
    found = {}
    for one in words:
        heading, equals, field = one.rpartition("=")
        field = fold(field)
        if not equals or not heading.strip():
            raise NoTableError(f"--map {one}: write the heading and the field, as `Datum=date`")
        if field and field not in HEADINGS:
            close = nearest(field, HEADINGS)
            advice = f"did you mean `{close}`?" if close else f"fields are {', '.join(HEADINGS)}"
            raise NoTableError(f"--map {one}: there is no field `{field}`; {advice}")
        found[heading.strip()] = field
    return found


def find_columns(table: Table, wanted: Mapping[str, str], *, header: bool = True) -> Columns:
    """Find out which column is what: as `wanted` says, the others guessed from their headings.

    Without a `header` columns are named by number. Raises NoTableError with what to do.
    """
    width = max(len(row.cells) for row in table.rows)
    if not header:
        numbers = tuple(f"column {n}" for n in range(1, width + 1))
        return _dated(numbers, _given(wanted, [str(n) for n in range(1, width + 1)]), 0)
    rows = table.rows[:_HEADER_WITHIN]
    known = [_all(row.cells, wanted) for row in rows if _has(row, wanted)]
    fitting = [row for row in rows if _has(row, wanted)]
    if not fitting:
        _given(wanted, max(rows, key=lambda row: len(row.cells)).cells)
    counts = [("date" in f, sum(one is not None for one in f)) for f in known]
    best = max(range(len(counts)), key=counts.__getitem__)
    cells = fitting[best].cells
    first = table.rows.index(fitting[best]) + 1
    return _dated(tuple(c.strip() for c in cells), known[best], first)


def _has(row: Row, wanted: Mapping[str, str]) -> bool:
    return all(named(heading, row.cells) is not None for heading in wanted)


def _dated(headings: tuple[str, ...], fields: tuple[str | None, ...], first: int) -> Columns:
    if "date" not in fields:
        told = heads(headings) if first else "columns are named by number"
        heading = "Day" if first else "1"
        raise NoTableError(
            f'no column holds the date; {told}. Say which with --map "{heading}=date"'
        )
    return Columns(headings, fields, first)


def _all(cells: Sequence[str], wanted: Mapping[str, str]) -> tuple[str | None, ...]:
    fields = list(_given(wanted, cells))
    at = {field: i for i, field in enumerate(fields) if field}
    # What was said to be left out, or to be something else, is not guessed to be anything.
    free = ["" if field is not None else cell for cell, field in zip(cells, fields, strict=True)]
    for field, i in guess(free, at, HEADINGS).items():
        fields[i] = field
    return tuple(fields)


def _given(wanted: Mapping[str, str], cells: Sequence[str]) -> tuple[str | None, ...]:
    fields: list[str | None] = [None] * len(cells)
    for heading, field in wanted.items():
        at = named(heading, cells)
        if at is None:
            raise NoTableError(f"no column is headed `{heading}`, given with --map; {heads(cells)}")
        if field and field != "notes" and field in fields:
            raise NoTableError(f"two columns are to be the `{field}` of a session; name one")
        fields[at] = field
    return tuple(fields)


def entries_in(table: Table, columns: Columns, file: str) -> list[Entry]:
    """Read every row below the headings."""
    lines = re.split("\r\n|\n|\r", table.text)
    found = (_entry(row, columns, file, lines) for row in table.rows[columns.first :])
    return [entry for entry in found if entry.cells]


def _entry(row: Row, columns: Columns, file: str, lines: Sequence[str]) -> Entry:
    cells, at = [], (row.line, 0)
    for i, written in enumerate(row.cells):
        words = written.strip()
        field = columns.fields[i] if i < len(columns.fields) else None
        if not words:
            continue
        at = _found(words, at, lines)
        if field != LEAVE_OUT:
            heading = columns.headings[i] if i < len(columns.headings) else ""
            line, offset = at
            text = lines[line - 1] if line <= len(lines) else ""
            heading = heading or f"column {i + 1}"
            cells.append(Cell(field or "", heading, words, line, offset + 1, text))
        *_, last = re.split("\r\n|\n|\r", words)
        at = (at[0] + words.count("\n"), len(last) + (0 if "\n" in words else at[1]))
    text = lines[row.line - 1] if row.line <= len(lines) else ""
    return Entry(file, row.line, text, tuple(cells), mark_of(row.cells))


def _found(words: str, after: tuple[int, int], lines: Sequence[str]) -> tuple[int, int]:
    """Find the words of a cell behind a place: a line from 1 and an offset in it."""
    line, offset = after
    start = re.split("\r\n|\n|\r", words)[0].replace('"', '""')
    for n in (line, line + 1):
        if n <= len(lines):
            at = lines[n - 1].find(start, offset if n == line else 0)
            if at >= 0:
                return n, at
    return line, offset
