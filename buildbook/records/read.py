"""Reading: from a content folder to a Book and its problems."""

import gc
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from buildbook.records.book import Book
from buildbook.records.bookfile import Aircraft, BookFile
from buildbook.records.checks import check_book
from buildbook.records.checks.echoes import without_echoes
from buildbook.records.kinds import KINDS, Kind, kind_of, nearest_kind
from buildbook.records.lesson import Lesson
from buildbook.records.photo import PHOTOS, PICTURE_ENDINGS
from buildbook.records.positions import locate
from buildbook.records.problems import Finding, Place, Problem, Severity
from buildbook.records.record import Record
from buildbook.records.section import Section
from buildbook.records.session import by_date
from buildbook.records.squawk import Squawk
from buildbook.records.validate import validate
from buildbook.records.withheld import withheld
from buildbook.records.yamlfile import YamlFile, read_text, read_yaml

# Folders of the content folder that hold no records: pictures, and what the theme is given.
_NO_RECORDS = frozenset((PHOTOS, "assets", "overrides"))


class CannotReadError(Exception):
    """There is no book to read; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A book, and everything found wrong while reading it."""

    book: Book
    problems: tuple[Problem, ...]
    """In the order of files and lines is `findings`."""
    files: dict[str, YamlFile] = field(default_factory=dict, repr=False)
    """Every record file as read, by name."""

    def findings(self) -> list[Finding]:
        """Work out positions and sort by file and line."""
        by_file: dict[str, list[Problem]] = {}
        for problem in self.problems:
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


def read(content: Path, today: date | None = None) -> Reading:
    """Read and check every record below `content`.

    Raises CannotReadError when there is no such folder, or no `book.yml` in it. `today` is the
    date that "in the future" is measured against.
    """
    if not content.is_dir():
        raise CannotReadError(f"there is no folder {content}")
    if not (content / "book.yml").is_file() and not (content / "book.yaml").is_file():
        raise CannotReadError(
            f"there is no book.yml in {content}; `buildbook init` makes a small book to start from"
        )
    # The records live as long as the program: sparing the collector from walking them again and
    # again while they are made saves a third of the time.
    enabled = gc.isenabled()
    gc.disable()
    try:
        return _Reader(content).read(today or datetime.now(UTC).astimezone().date())
    finally:
        if enabled:
            gc.enable()


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


class _Reader:
    def __init__(self, content: Path) -> None:
        self.content = content
        self.root = content.resolve()
        self.problems: list[Problem] = []
        self.files: dict[str, YamlFile] = {}
        self.records: dict[str, list[Any]] = {name: [] for name in KINDS}
        self.broken: set[str] = set()
        """Kinds of which some record could not be read at all."""
        self.notes: dict[str, str] = {}
        self.photos: set[str] = set()
        self.doubles: list[Record] = []

    def read(self, today: date) -> Reading:
        for name, path in self._walk(self.content, ""):
            self._file(name, path)
        book = self._book()
        torn = {name for name, file in self.files.items() if file.torn}
        problems = without_echoes(
            self.problems, check_book(book, today, frozenset(self.broken)), torn, self.broken
        )
        return Reading(book, tuple(problems), self.files)

    def _walk(self, folder: Path, prefix: str) -> Iterator[tuple[str, Path]]:
        """Yield every file in a fixed order; links that lead out of the content folder are told."""
        with os.scandir(folder) as entries:
            found = sorted(entries, key=lambda e: e.name)
        for entry in found:
            if entry.name.startswith((".", "__")):
                continue
            name, path = prefix + entry.name, Path(entry.path)
            if entry.is_symlink() and not self._inside(path):
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
                    yield from self._walk(path, f"{name}/")
            elif entry.is_file():
                yield name, path

    def _inside(self, path: Path) -> bool:
        try:
            return path.resolve(strict=True).is_relative_to(self.root)
        except (OSError, RuntimeError):
            return False

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

    def _file(self, name: str, path: Path) -> None:
        ending = path.suffix.lower()
        top = name.partition("/")[0]
        if top == PHOTOS:
            if ending in PICTURE_ENDINGS:
                self.photos.add(name.removeprefix(f"{PHOTOS}/"))
            return
        if top in _NO_RECORDS and "/" in name:
            return
        if ending not in (".yml", ".yaml", ".md"):
            if top.partition(".")[0] in KINDS:
                self._problem(
                    "not-read",
                    "this file is not read: its name does not end in .yml",
                    name,
                    advice="give it a name that ends in .yml and nothing after it",
                    severity=Severity.WARNING,
                )
            return
        try:
            raw = path.read_bytes()
        except OSError as error:
            self._problem("unreadable", f"this file cannot be read: {error.strerror}", name)
            return
        if ending == ".md":
            self.notes[name], damage = read_text(name, raw)
            self.problems += damage
            return
        kind = kind_of(name)
        file = read_yaml(name, raw)
        self.files[name] = file
        self.problems += file.problems
        if kind is None:
            close = nearest_kind(name)
            self._problem(
                "unknown-file",
                "this file is not one the book knows",
                name,
                advice=_where_it_belongs(name, close),
            )
            return
        if file.torn:
            self.broken.add(kind.name)
        self._records(kind, file)

    def _records(self, kind: Kind, file: YamlFile) -> None:
        data = file.data
        if data is None:
            if not file.problems and not kind.several:
                self._problem(
                    "empty-file",
                    f"this {kind.one} is empty",
                    file.name,
                    advice="write it, or delete the file",
                )
            return
        if isinstance(data, list) and not kind.several:
            self._problem(
                "not-fields",
                f"a {kind.one} file holds one {kind.one}, not a list",
                file.name,
                advice="take the `- ` away, or make one file of each",
            )
            self.broken.add(kind.name)
            return
        listed = isinstance(data, list)
        for i, entry in enumerate(data if listed else [data]):
            place = Place(file.name, (i,) if listed else ())
            if not isinstance(entry, dict):
                self.problems.append(_not_fields(kind, entry, place))
                self.broken.add(kind.name)
                continue
            record, problems = validate(kind.model, entry, place)
            self.problems += problems
            if record is None:
                self.broken.add(kind.name)
            else:
                self.records[kind.name].append(record)

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
            notes=self.notes,
            photo_files=frozenset(self.photos),
            withheld=withheld(by_slug.values(), self.photos, self.files, self.problems),
            doubles=tuple(self.doubles),
            folder=self.content,
        )

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
