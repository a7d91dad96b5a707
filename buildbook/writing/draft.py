"""Drafts: a session before it is saved, the order of its fields, its title and its file's name."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from buildbook.files import make_folder, write_new
from buildbook.records.book import Book
from buildbook.records.names import MAX_NAME, slugify
from buildbook.records.problems import Finding, Severity
from buildbook.records.read import Reading, read
from buildbook.writing.yamltext import WIDTH, Plain, as_yaml, clean

SCHEMA = ".buildbook/schema/sessions.json"
"""Where the schema of sessions is, beside the folder of records."""

_ORDER = (
    *("date", "title", "step", "operation", "parts", "pieces", "finished", "reopened"),
    *("knowingly", "who", "from", "to", "break", "hours", "air", "tools", "lots", "work"),
    *("*", "notes", "photos", "lessons", "squawks", "next", "amendments"),
)
"""Fields of a session in the order a builder writes them; `*` stands for all others."""

Fields = Mapping[str, Plain]
"""A session's fields as a file would hold them."""


def place_of(name: str) -> int:
    """Return where a field stands among the others of a session."""
    return _ORDER.index(name if name in _ORDER else "*")


def in_order(fields: Fields) -> dict[str, Plain]:
    """Put fields into the order a builder writes them."""
    return {name: fields[name] for name in sorted(fields, key=place_of)}


def prose(text: str) -> str:
    """Make a text of several lines, or a long one, end as it does in a file.

    Raises CannotWriteError for characters that cannot be seen.
    """
    lines = [line.rstrip() for line in clean(text).strip("\n").split("\n")]
    whole = "\n".join(lines).strip()
    return f"{whole}\n" if "\n" in whole or len(whole) > WIDTH - len("notes: ") else whole


def session_text(fields: Fields, file: str) -> str:
    """Write a session file; its first line leads editors to the schema.

    `file` is its path below the folder of records. Raises CannotWriteError.
    """
    up = "../" * (file.count("/") + 1)
    return f"# yaml-language-server: $schema={up}{SCHEMA}\n{as_yaml(in_order(fields))}"


def slug_of(fields: Fields) -> str:
    """Return the name the session will have: its date, and its title where it has one."""
    title = slugify(str(fields.get("title") or ""))[:MAX_NAME].strip("-")
    date = slugify(str(fields["date"]))
    return f"{date}-{title}" if title else date


def with_free_title(
    fields: Fields, book: Book, taken: Collection[str] | None = None
) -> dict[str, Plain]:
    """Give a session a title that tells it apart from those of the same date, where it must.

    Without a title of its own it is called after its step and operation. `taken` are the names
    sessions have, folded; those of the book when left out.
    """
    taken = {slug.casefold() for slug in book.sessions} if taken is None else taken
    if slug_of(fields) not in taken:
        return dict(fields)
    title = str(fields.get("title", "")) or _title(fields, book)
    n, named = 1, {**fields, "title": title}
    while slug_of(named) in taken:
        n += 1
        named["title"] = _numbered(title, n)
    return in_order(named)


def _numbered(title: str, n: int) -> str:
    """Put a number behind a title, where the name made of it still holds the number."""
    end = f" {n}"
    for most in (200, 50, 25, 10):  # a letter may become several in the name
        cut = title[:most].rstrip()
        if len(slugify(cut + end)) <= MAX_NAME:
            break
    return cut + end


def _title(fields: Fields, book: Book) -> str:
    step = book.steps.get(str(fields.get("step", "")))
    operation = book.operations.get(str(fields.get("operation", "")))
    words = [record.title for record in (step, operation) if record]
    return ", ".join(words) or "Another session"


def file_name(fields: Fields, book: Book, others: Iterable[str] = ()) -> str:
    """Choose a path below the folder of records that no file has, `others` included."""
    files = (*(session.place.file for session in book.sessions.values()), *others)
    return free_file(fields, book, folder_for(book), {file.casefold() for file in files})


def folder_for(book: Book) -> str:
    """Say where a book keeps its sessions; `{year}` stands where each year has a folder."""
    files = (session.place.file for session in book.sessions.values())
    by_year = any(re.match(r"sessions/\d{4}/", file) for file in files)
    return "sessions/{year}" if by_year else "sessions"


def free_file(fields: Fields, book: Book, folder: str, taken: Collection[str]) -> str:
    """Choose a path in a folder, as `folder_for` gives it, that is not taken; those are folded."""
    stem = f"{folder.format(year=str(fields['date'])[:4])}/{slug_of(fields)}"
    n, name = 1, f"{stem}.yml"
    while name.casefold() in taken or (book.folder / name).exists():
        n += 1
        name = f"{stem}-{n}.yml"
    return name


@dataclass(frozen=True, slots=True)
class Trial:
    """A file as the book would be read with it."""

    file: str
    """Path below the folder of records."""
    raw: bytes
    after: Reading
    """The book with the file in it."""
    new: tuple[Finding, ...]
    """Problems that the book did not have before."""

    @property
    def errors(self) -> tuple[Finding, ...]:
        """Those of the new problems that must be mended."""
        return tuple(f for f in self.new if f.severity is Severity.ERROR)


def try_out(
    before: Reading, file: str, raw: bytes, others: Mapping[str, bytes] | None = None
) -> Trial:
    """Read the book as it would be with this file in it, and tell what is new to mend.

    `others` are files that are not saved yet and that `before` has been read with.
    """
    after = read(before.book.folder, instead={**(others or {}), file: raw})
    known = [_told(f) for f in before.findings()]
    new = []
    for finding in after.findings():
        if (told := _told(finding)) in known:
            known.remove(told)
        else:
            new.append(finding)
    return Trial(file, raw, after, tuple(new))


def _told(finding: Finding) -> tuple[str, ...]:
    """Tell problems apart by what they say: lines move when a file is changed."""
    return finding.code, finding.severity, finding.file, finding.message, finding.text.strip()


def draft(before: Reading, fields: Fields, others: Mapping[str, bytes] | None = None) -> Trial:
    """Make a new session's file and read the book with it. Nothing is written.

    `others` are files that are not saved yet and that `before` has been read with. Raises
    CannotWriteError.
    """
    named = with_free_title(fields, before.book)
    file = file_name(named, before.book, others or ())
    return try_out(before, file, session_text(named, file).encode(), others)


def private_folder(content: Path) -> Path:
    """Return the folder beside the records that holds drafts, running clocks and schemas."""
    return content.absolute().parent / ".buildbook"


def save(content: Path, trial: Trial) -> str:
    """Write a new session's file, durably; return its path below the folder of records.

    One that was made there meanwhile is left alone: the file gets another name. Raises OSError.
    """
    stem, ending = trial.file.rsplit(".", 1)
    n, file = 1, trial.file
    make_folder((content / file).parent)
    while True:
        try:
            write_new(content / file, trial.raw)
        except FileExistsError:
            n += 1
            file = f"{stem}-{n}.{ending}"
        else:
            return file


def keep_draft(content: Path, name: str, raw: bytes) -> Path:
    """Keep what cannot be saved yet, beside the records; never over another. Raises OSError."""
    folder = private_folder(content) / "drafts"
    make_folder(folder)
    n, path = 1, folder / name
    while True:
        try:
            write_new(path, raw)
        except FileExistsError:
            if path.read_bytes() == raw:
                return path
            n += 1
            path = folder / f"{Path(name).stem}-{n}{Path(name).suffix}"
        else:
            return path
