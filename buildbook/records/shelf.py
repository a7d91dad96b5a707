"""What single files of records hold, kept from one reading of a book to the next."""

import os
import re
import time
from dataclasses import dataclass, field, replace
from typing import Any

from buildbook.records.book import Book
from buildbook.records.kinds import KINDS, Kind, kind_of, nearest_kind
from buildbook.records.problems import Place, Problem
from buildbook.records.record import Record
from buildbook.records.validate import validate
from buildbook.records.yamlfile import YamlFile, read_text, read_yaml

# A file changed this shortly before it was read may change again and keep its time of change.
_SETTLED = 2_000_000_000


@dataclass(frozen=True, slots=True)
class FileRead:
    """What one file holds, whatever the other files are."""

    raw: bytes
    stamp: tuple[int, int]
    """Time of change and size."""
    kind: Kind | None = None
    note: str | None = None
    """Text of a hand-written page."""
    file: YamlFile | None = None
    records: tuple[Record, ...] = ()
    problems: tuple[Problem, ...] = ()
    broken: bool = False
    """Some record of it could not be read at all."""


@dataclass(slots=True)
class Shelf:
    """What was read of each file, for the next reading of the same book."""

    files: dict[str, FileRead] = field(default_factory=dict)
    book: Book | None = None
    """The last one, whose names the next one has too, unless a name changed."""

    def file(self, name: str, entry: "os.DirEntry[str]") -> FileRead:
        """Give what a file holds; it is read only if it changed. Raises OSError."""
        known = self.files.get(name)
        if known is None:
            raw, stamp = _bytes_of(entry.path)
        else:
            found = entry.stat()
            if known.stamp == (found.st_mtime_ns, found.st_size):
                return known
            raw, stamp = _bytes_of(entry.path)
            if raw == known.raw:
                return replace(known, stamp=stamp)
        return read_file(name, raw, stamp)


def _bytes_of(path: str) -> tuple[bytes, tuple[int, int]]:
    """Give a file's bytes and its stamp: none that stands for them while it may still change."""
    with open(path, "rb") as file:  # noqa: PTH123 - thousands of files: a Path each costs
        found = os.fstat(file.fileno())
        raw = file.read()
    settled = time.time_ns() - found.st_mtime_ns > _SETTLED
    return raw, (found.st_mtime_ns if settled else -1, found.st_size)


def read_file(name: str, raw: bytes, stamp: tuple[int, int] = (-1, 0)) -> FileRead:
    """Read the text of a file into records, or a hand-written page."""
    if name.lower().endswith(".md"):
        text, damage = read_text(name, raw)
        return FileRead(raw, stamp, note=text, problems=tuple(damage))
    kind = kind_of(name)
    file = read_yaml(name, raw)
    if kind is None:
        advice = _where_it_belongs(name, nearest_kind(name))
        unknown = _of_file("unknown-file", "this file is not one the book knows", name, advice)
        return FileRead(raw, stamp, file=file, problems=(*file.problems, unknown))
    records, problems, broken = _records(kind, file)
    return FileRead(
        raw,
        stamp,
        kind,
        file=file,
        records=tuple(records),
        problems=(*file.problems, *problems),
        broken=broken or file.torn,
    )


def _records(kind: Kind, file: YamlFile) -> tuple[list[Record], list[Problem], bool]:
    """Make records of a file's data; tell whether one could not be made."""
    data = file.data
    if data is None:
        if file.problems or kind.several:
            return [], [], False
        said = f"this {kind.one} is empty"
        advice = "write it, or delete the file"
        return (
            [],
            [Problem("empty-file", said, Place(file.name), advice=advice, position=(1, 1))],
            False,
        )
    if isinstance(data, list) and not kind.several:
        said = f"a {kind.one} file holds one {kind.one}, not a list"
        advice = "take the `- ` away, or make one file of each"
        return (
            [],
            [Problem("not-fields", said, Place(file.name), advice=advice, position=(1, 1))],
            True,
        )
    records: list[Record] = []
    problems: list[Problem] = []
    broken = False
    listed = isinstance(data, list)
    for i, entry in enumerate(data if listed else [data]):
        place = Place(file.name, (i,) if listed else ())
        if not isinstance(entry, dict):
            problems.append(_not_fields(kind, entry, place))
            broken = True
            continue
        record, wrong = validate(kind.model, entry, place)
        problems += wrong
        if record is None:
            broken = True
        else:
            records.append(record)
    return records, problems, broken


def _where_it_belongs(name: str, close: str) -> str:
    if re.match(r"\d{4}-\d\d", name):
        return "a session belongs into the folder `sessions`"
    if close:
        return f"did you mean `{close}`?"
    return f"records are in files or folders called {', '.join(KINDS)}"


def _not_fields(kind: Kind, entry: Any, place: Place) -> Problem:
    if entry is None:
        return Problem(
            "empty",
            "this entry of the list is empty",
            place,
            advice=f"write a {kind.one}, or take its `-` away",
        )
    return Problem(
        "not-fields",
        f"a {kind.one} is written as fields, as `name: value`",
        place,
        advice=f"start with `{kind.identity}:`",
    )


def _of_file(code: str, said: str, name: str, advice: str) -> Problem:
    return Problem(code, said, Place(name), advice=advice, position=(1, 1))
