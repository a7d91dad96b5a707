"""Reading: from a content folder to a Book and its problems."""

import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path, PurePath
from typing import Any

from buildbook.records.book import Book
from buildbook.records.bookfile import Aircraft, BookFile
from buildbook.records.checks import check_book
from buildbook.records.checks.echoes import without_echoes
from buildbook.records.clip import CLIP_ENDINGS
from buildbook.records.kinds import KINDS
from buildbook.records.lesson import Lesson
from buildbook.records.memory import uncollected
from buildbook.records.mentions import share_names
from buildbook.records.photo import PHOTOS, PICTURE_ENDINGS
from buildbook.records.positions import locate
from buildbook.records.problems import Finding, Place, Problem, Severity
from buildbook.records.record import Record
from buildbook.records.section import Section
from buildbook.records.session import by_date
from buildbook.records.shelf import FileRead, Shelf, read_file
from buildbook.records.squawk import Squawk
from buildbook.records.withheld import withheld
from buildbook.records.yamlfile import YamlFile

# Folders of the content folder that hold no records: pictures, and what the theme is given.
_NO_RECORDS = frozenset((PHOTOS, "assets", "overrides"))


class CannotReadError(Exception):
    """There is no book to read; the message says why, in a sentence."""


@dataclass(frozen=True)
class Reading:
    """A book, and everything that is wrong in its records."""

    book: Book
    today: date
    """What "in the future" is measured against."""
    alone: tuple[Problem, ...]
    """What is wrong in records taken one by one."""
    files: dict[str, YamlFile] = field(default_factory=dict, repr=False)
    """Every record file as read, by name."""
    broken: frozenset[str] = frozenset()
    """Kinds of which some record could not be read at all."""

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """Everything that is wrong; laid side by side, records are checked when this is asked for.

        In the order of files and lines is `findings`.
        """
        torn = {name for name, file in self.files.items() if file.torn}
        with uncollected():
            together = check_book(self.book, self.today, self.broken)
        return tuple(without_echoes(list(self.alone), together, torn, set(self.broken)))

    def findings(self, problems: Iterable[Problem] | None = None) -> list[Finding]:
        """Work out positions, of all problems or of some, and sort by file and line."""
        by_file: dict[str, list[Problem]] = {}
        for problem in self.problems if problems is None else problems:
            by_file.setdefault(problem.place.file, []).append(problem)
        found = {f for name, problems in by_file.items() for f in self._in_file(name, problems)}
        return sorted(found, key=lambda f: (f.file, f.line, f.column, f.code, f.message))

    def _in_file(self, name: str, problems: list[Problem]) -> Iterator[Finding]:
        file = self.files.get(name)
        lines = (file.text if file else self.book.notes.get(name, "")).split("\n")
        for p in problems:
            line, column = p.position or (1, 1)
            if file and not p.position:
                line, column = locate(
                    file.readable, p.place.path, of_key=p.of_key, find=p.find, skip=p.skip
                )
            shown = lines[line - 1]
            yield Finding(p.code, p.severity, name, line, column, p.message, p.advice, shown)

    @property
    def errors(self) -> list[Problem]:
        """The problems that must be mended."""
        return [p for p in self.problems if p.severity is Severity.ERROR]


def read(
    content: Path,
    today: date | None = None,
    *,
    instead: Mapping[str, bytes] | None = None,
    shelf: Shelf | None = None,
) -> Reading:
    """Read every record below `content`.

    Raises CannotReadError when there is no such folder, or no `book.yml` in it. `today` is the
    date that "in the future" is measured against, the workshop's own when left out. `instead`
    gives files, by their path below `content`, that are read as if they were there: so a record is
    checked before it is saved. Whoever reads a book again and again keeps a `shelf`: then only
    files that changed are read.
    """
    if not content.is_dir():
        raise CannotReadError(f"there is no folder {content}")
    if not (content / "book.yml").is_file() and not (content / "book.yaml").is_file():
        raise CannotReadError(
            f"there is no book.yml in {content}; `buildbook init` makes a small book to start from"
        )
    with uncollected():
        return _Reader(content, instead or {}, shelf or Shelf()).read(today)


def leads_inside(link: Path, root: Path) -> bool:
    """Tell whether a link leads to something below `root`, which is a resolved path."""
    try:
        return link.resolve(strict=True).is_relative_to(root)
    except (OSError, RuntimeError):  # nothing is there, or it leads in a ring
        return False


def _already(one: str, identity: str, record: Record, first: Record, highest: int) -> Problem:
    """Say that an identity is taken; `highest` is the highest number given to one of its kind."""
    name = getattr(record, identity)
    field_name, advice = identity, "give it another name, or make one record of the two"
    if one == "session":
        field_name, advice = "date", "give each session of that date its own `title`"
    elif isinstance(name, int):
        advice = f"the next free number is {highest + 1}"
    shown = name if isinstance(name, int) else f"`{name}`"
    said = f"{one} {shown} is already in {first.place.file}"
    if getattr(first, identity) != name:
        said = f"{one} {shown} differs from `{getattr(first, identity)}` in capitals only"
    return Problem("repeated-identity", said, record.place.at(field_name), advice=advice)


class _Reader:
    def __init__(self, content: Path, instead: Mapping[str, bytes], shelf: Shelf) -> None:
        self.content = content
        self.instead = instead
        self.root = content.resolve()
        self.shelf = shelf
        self.problems: list[Problem] = []
        self.files: dict[str, YamlFile] = {}
        self.records: dict[str, list[Any]] = {name: [] for name in KINDS}
        self.broken: set[str] = set()
        self.notes: dict[str, str] = {}
        self.photos: set[str] = set()
        self.clips: set[str] = set()
        self.doubles: list[Record] = []

    def read(self, today: date | None) -> Reading:
        found = dict(self._walk(self.content, ""))
        names: Iterable[str] = found
        if self.instead.keys() - found.keys():
            names = sorted(found.keys() | self.instead.keys(), key=lambda name: name.split("/"))
        read_now: dict[str, FileRead] = {}
        for name in names:
            one = self._file(name, found.get(name))
            if one:
                read_now[name] = one
                self._take(name, one)
        self.shelf.files = read_now
        book = self._book()
        today = today or datetime.now(book.zone).date()
        if self.shelf.book:
            book.take_over(self.shelf.book)
            share_names(book, self.shelf.book)
        self.shelf.book = book
        return Reading(book, today, tuple(self.problems), self.files, frozenset(self.broken))

    def _walk(self, folder: Path, prefix: str) -> Iterator[tuple[str, os.DirEntry[str]]]:
        """Yield every file in a fixed order; links that lead out of the content folder are told."""
        with os.scandir(folder) as entries:
            found = sorted(entries, key=lambda e: e.name)
        for entry in found:
            if entry.name.startswith((".", "__")):
                continue
            name = prefix + entry.name
            if entry.is_symlink() and not leads_inside(Path(entry.path), self.root):
                self._problem(
                    "outside-content",
                    "this link leads out of the content folder",
                    name,
                    advice="copy the file in instead",
                )
            elif entry.is_dir():
                if entry.is_symlink():
                    self._problem(
                        "linked-folder",
                        "a folder that is a link is not read",
                        name,
                        advice="put the files themselves here",
                    )
                else:
                    yield from self._walk(Path(entry.path), f"{name}/")
            elif entry.is_file():
                yield name, entry

    def _problem(
        self,
        code: str,
        message: str,
        file: str,
        *,
        advice: str = "",
        severity: Severity = Severity.ERROR,
    ) -> None:
        self.problems.append(Problem(code, message, Place(file), severity, advice, position=(1, 1)))

    def _file(self, name: str, entry: os.DirEntry[str] | None) -> FileRead | None:
        """Give what a file of records or a hand-written page holds; None for any other file."""
        ending = PurePath(name).suffix.lower()
        top = name.partition("/")[0]
        if top == PHOTOS:
            if ending in PICTURE_ENDINGS:
                self.photos.add(name.removeprefix(f"{PHOTOS}/"))
            elif ending in CLIP_ENDINGS:
                self.clips.add(name.removeprefix(f"{PHOTOS}/"))
            return None
        if top in _NO_RECORDS and "/" in name:
            return None
        if ending not in (".yml", ".yaml", ".md"):
            if top.partition(".")[0] in KINDS:
                self._problem(
                    "not-read",
                    "this file is not read: its name does not end in .yml",
                    name,
                    advice="give it a name that ends in .yml and nothing after it",
                    severity=Severity.WARNING,
                )
            return None
        try:
            if name in self.instead or entry is None:
                return read_file(name, self.instead[name])
            return self.shelf.file(name, entry)
        except OSError as error:
            self._problem("unreadable", f"this file cannot be read: {error.strerror}", name)
            return None

    def _take(self, name: str, one: FileRead) -> None:
        """Lay what a file holds to what the others hold."""
        self.problems += one.problems
        if one.note is not None:
            self.notes[name] = one.note
        if one.file:
            self.files[name] = one.file
        if one.kind:
            self.records[one.kind.name] += one.records
            if one.broken:
                self.broken.add(one.kind.name)

    def _book(self) -> Book:
        sections = sorted(
            self.records["sections"],
            key=lambda s: (s.order is None, s.order or 0, s.place.file),
        )
        sessions = sorted(self.records["sessions"], key=by_date)
        lessons = [x for s in sessions for x in s.lessons if isinstance(x, Lesson)]
        squawks = [x for s in sessions for x in s.squawks if isinstance(x, Squawk)]
        self._one_of_each_step(sections)
        by_slug = self._index(sessions, "session", "slug")
        return Book(
            file=self._book_file(),
            people=self._by("people", "person"),
            operations=self._by("operations", "operation"),
            tools=self._by("tools", "tool"),
            lots=self._by("lots", "lot"),
            sections=self._index(sections, "section", "section"),
            parts=self._by("parts", "part"),
            sessions=by_slug,
            lessons=self._index([*self.records["lessons"], *lessons], "lesson", "lesson"),
            squawks=self._index([*self.records["squawks"], *squawks], "squawk", "squawk"),
            signoffs=tuple(self.records["signoffs"]),
            weighings=tuple(self.records["weighings"]),
            notices=self._by("notices", "notice"),
            costs=tuple(self.records["costs"]),
            balance=self._one("balance"),
            tasks=self._by("tasks", "task"),
            equipment=self._by("equipment", "equipment"),
            recurring=self._by("recurring", "recurring"),
            notes=self.notes,
            photo_files=frozenset(self.photos),
            clip_files=frozenset(self.clips),
            withheld=withheld(
                by_slug.values(), self.photos | self.clips, self.files, self.problems
            ),
            doubles=tuple(self.doubles),
            folder=self.content,
        )

    def _one(self, kind: str) -> Any:
        """Give the only record of a kind; others are a problem."""
        first: Record | None = next(iter(self.records[kind]), None)
        for other in self.records[kind][1:]:
            assert first
            said = f"there is a {KINDS[kind].one} already, in {first.place.file}"
            place = other.place.at(KINDS[kind].identity)
            self.problems.append(
                Problem("repeated-identity", said, place, advice="keep one of the two")
            )
            self.doubles.append(other)
        return first

    def _by(self, kind: str, field_name: str) -> dict[Any, Any]:
        return self._index(self.records[kind], KINDS[kind].one, field_name)

    def _index(self, records: list[Any], one: str, identity: str) -> dict[Any, Any]:
        """Index records by identity; a second one with the same identity is a problem.

        Names that differ only in capitals clash too: their pages would be one file on many disks.
        """
        by_name: dict[Any, Any] = {}
        folded: dict[Any, Record] = {}
        names = [getattr(record, identity) for record in records]
        highest = max((n for n in names if isinstance(n, int)), default=0)
        for name, record in zip(names, records, strict=True):
            key = name.casefold() if isinstance(name, str) else name
            if key in folded:
                self.problems.append(_already(one, identity, record, folded[key], highest))
                self.doubles.append(record)
                continue
            folded[key] = record
            by_name[name] = record
        return by_name

    def _one_of_each_step(self, sections: list[Section]) -> None:
        for section in sections:
            seen: set[str] = set()
            for step in section.steps:
                if step.step in seen:
                    self.problems.append(
                        Problem(
                            "repeated-identity",
                            f"step `{step.step}` is already in this section",
                            step.place.at("step"),
                            advice="give it another name",
                        )
                    )
                seen.add(step.step)

    def _book_file(self) -> BookFile:
        found: list[BookFile] = self.records["book"]
        for other in found[1:]:
            said = f"there is a book file already, {found[0].place.file}"
            self._problem("repeated-identity", said, other.place.file, advice="keep one of the two")
        if found:
            return found[0]
        # What is wrong with the book file is told; the rest of the book is still worth checking.
        self.broken.add("book")
        return BookFile.model_validate(
            {
                "title": "(book.yml could not be read)",
                "aircraft": Aircraft(model="(unknown)"),
                "builder": "unknown",
                "time zone": "UTC",
            }
        )
