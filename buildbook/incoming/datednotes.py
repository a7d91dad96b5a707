"""Sessions kept as dated notes in Markdown: a file each, or several with a date above each."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

from buildbook.incoming.entries import Cell, Entry, mark_of
from buildbook.incoming.headings import fold
from buildbook.incoming.sessionlist import HEADINGS
from buildbook.incoming.sessionwords import NAME_DATE, STEP_OR_TITLE
from buildbook.incoming.table import decode
from buildbook.incoming.values import DayOrder, parse_day
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.days import day_at_start
from buildbook.writing.notes import parted

ENDINGS = frozenset((".md", ".markdown", ".txt"))
_IN_NAME = re.compile(r"(?P<day>\d{4}[-_.]?\d{2}[-_.]?\d{2}|\d{1,2}[-_.]\d{1,2}[-_.]\d{4})(?!\d)")
_HEAD = re.compile(r"-{3}[ \t]*\n(.*?)^(?:-{3}|\.{3})[ \t]*(?:\n|\Z)", re.DOTALL | re.MULTILINE)
_BY_WORD = {word: field for field, words in HEADINGS.items() for word in words}


def note_files(folder: Path) -> tuple[list[Path], list[Path]]:
    """List the notes in a folder and in those below, and what else is there, by their names.

    What begins with a point is not looked at. Raises OSError.
    """
    found = sorted(
        path
        for path in folder.rglob("*")
        if path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    )
    notes = [path for path in found if path.suffix.lower() in ENDINGS]
    return notes, [path for path in found if path.suffix.lower() not in ENDINGS]


def entries_of(
    raw: bytes, file: str, zone: ZoneInfo, order: DayOrder, wanted: dict[str, str]
) -> list[Entry]:
    """Read a file of notes. Raises NoTableError when it is no text.

    A date in the head or in the file's name makes one note of the whole file; else each line that
    begins with a date begins a note. `wanted` says what names of the head stand for.
    """
    text = re.sub("\r\n|\r", "\n", decode(raw)[0].removeprefix("\ufeff"))
    lines = text.split("\n")
    head, begin, torn = _head(text, lines, wanted)
    body = lines[begin:]
    name = [] if torn else list(_of_name(file, zone, order))
    if not any(cell.field in ("date", NAME_DATE) for cell in (*head, *name)):
        found = list(_each(file, [*head, *name], body, begin, lines, zone))
        return [replace(found[0], torn=torn), *found[1:]] if found else []
    return [_entry(file, [*head, *name], body, begin, lines, zone)]


def _head(text: str, lines: list[str], wanted: dict[str, str]) -> tuple[list[Cell], int, bool]:
    """Return what stands between the lines of dashes, and the index of the line behind.

    The last value tells that it could not be read: then it is left to the text.
    """
    found = _HEAD.match(text)
    if not found:
        return [], 0, False
    data = read_yaml("head", found[1].encode("utf-8", "replace"))
    if not isinstance(data.data, dict) or data.problems:
        return [], 0, True
    by_word = {fold(heading): field for heading, field in wanted.items()}
    cells = []
    for name, value in data.data.items():
        words = _plain(value)
        heading = str(name)
        field = by_word.get(fold(heading), _BY_WORD.get(fold(heading), "")) or ""
        left_out = fold(heading) in by_word and not field
        if words and not left_out:
            at = next((n for n, ln in enumerate(lines) if ln.lstrip().startswith(f"{heading}:")), 0)
            column = lines[at].find(words.split("\n")[0]) + 1
            cells.append(Cell(field, heading, words, at + 1, max(1, column), lines[at]))
    return _one_each(cells), found[0].count("\n"), False


def _one_each(cells: Iterable[Cell]) -> list[Cell]:
    """Let each field be said once, but notes; the rest is only kept."""
    seen: set[str] = set()
    found = []
    for cell in cells:
        again = cell.field in seen and cell.field != "notes"
        found.append(
            Cell("", cell.heading, cell.words, cell.line, cell.column, cell.text) if again else cell
        )
        seen.add(cell.field)
    return found


def _plain(value: object) -> str:
    """Write what a head says under a name on one line, or on several."""
    if isinstance(value, list):
        return ", ".join(_plain(one) for one in value)
    if isinstance(value, dict):
        return ", ".join(f"{name} {_plain(one)}" for name, one in value.items())
    return str(value or "").strip()


def _of_name(file: str, zone: ZoneInfo, order: DayOrder) -> Iterator[Cell]:
    """Yield the date that a file's name begins with, and the words behind it."""
    path = Path(file)
    found = _IN_NAME.match(path.stem)
    if not found:
        return
    day, digits = found["day"], re.sub(r"[-_.]", "", found["day"])
    if re.match(r"\d{4}", day):
        day = f"{digits[:4]}-{digits[4:6]}-{digits[6:]}"
    try:
        parse_day(day, zone, order)
    except ValueError:
        return  # a number that is no date; the text says which day it was
    yield Cell(NAME_DATE, "file name", day, 1, 1, path.name)
    if words := re.sub(r"[_\s]+", " ", path.stem[found.end() :]).strip(" -.,"):
        yield Cell(STEP_OR_TITLE, "file name", words, 1, 1, path.name)


def _each(
    file: str, cells: list[Cell], body: list[str], begin: int, lines: list[str], zone: ZoneInfo
) -> Iterator[Entry]:
    """Yield each dated note of a file whose head and name say no date."""
    at = 0
    for note in parted("\n".join(body), zone) if any(map(str.strip, body)) else [[]]:
        if any(map(str.strip, note)) or cells:
            yield _entry(file, cells, note, begin + at, lines, zone)
        cells, at = [], at + len(note)


def _entry(
    file: str, cells: list[Cell], body: list[str], begin: int, lines: list[str], zone: ZoneInfo
) -> Entry:
    """Make an entry of one note; `begin` is the index of its first line."""
    skip = next((i for i, line in enumerate(body) if line.strip()), 0)
    body, begin = body[skip:], begin + skip
    first = body[0] if body else ""
    heading = re.fullmatch(r"#+\s+(?P<words>.*\S)\s*#*", first)
    says_title = any(cell.field == "title" for cell in cells)
    if heading and not says_title and day_at_start(heading["words"], zone) is None:
        words = heading["words"]
        cells = [Cell(STEP_OR_TITLE, "heading", words, begin + 1, 1, first), *cells]
        body, begin = body[1:], begin + 1
    line = min(begin + 1, max(1, len(lines))) if not cells else 1
    text = lines[line - 1] if lines else ""
    mark = mark_of((Path(file).stem, *(c.words for c in cells), "\n".join(body)))
    return Entry(file, line, text, tuple(cells), mark, "\n".join(body).rstrip(), begin + 1)
