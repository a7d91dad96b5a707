"""Sessions that come from the page they were written on: read first, then kept as a new file."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from buildbook.files import make_folder, write_new
from buildbook.records.book import Book
from buildbook.records.problems import Finding, Place, Severity
from buildbook.records.read import CannotReadError, read
from buildbook.records.session import Session
from buildbook.records.shelf import Shelf
from buildbook.records.validate import validate
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.draft import file_name

_NO_DATE = "sessions/not-dated.yml"
"""Name under which a session without a date is read, and not kept."""
_TRIES = 10
_one_at_a_time = Lock()


class NotSavedError(Exception):
    """A session was not kept; the message says why, in a sentence without a full stop."""

    def __init__(self, code: str, said: str, findings: Sequence[Finding] = ()) -> None:
        super().__init__(said)
        self.code = code
        """`wrong`: it cannot be read whole; `taken`: there is one of its name; `disk`."""
        self.findings = tuple(findings)


@dataclass(frozen=True, slots=True)
class Saved:
    """A session that is kept."""

    file: str
    """Path below the folder of records."""
    findings: tuple[Finding, ...]
    """What the book says of it: it is kept all the same."""


def save_session(content: Path, text: str, shelf: Shelf | None = None) -> Saved:
    """Keep a session as a new file of the book, whole, and never in place of another.

    What the book's reader would have to leave out is not kept: whoever wrote it still has it, and
    can mend it. What only does not fit the rest of the book is kept and told, as `check` tells it;
    a picture may be named before it is copied. The file's name comes from the session alone. A
    session that is there already, to the byte, counts as kept: it was sent twice.

    Whoever saves again and again keeps a `shelf`, and need not wait for the whole book to be read.
    Raises NotSavedError.
    """
    try:
        raw = text.encode()
    except UnicodeEncodeError:
        said = "it holds half of a letter, which no file can hold"
        raise NotSavedError("wrong", said) from None
    with _one_at_a_time:
        try:
            return _save(content, raw, shelf or Shelf())
        except CannotReadError as error:
            raise NotSavedError("disk", str(error)) from None
        except OSError as error:
            said = f"it cannot be written: {error.strerror or error}"
            raise NotSavedError("disk", said) from None


def _save(content: Path, raw: bytes, shelf: Shelf) -> Saved:
    session = _read_whole(content, raw, shelf)
    fields = {"date": str(session.date), **({"title": session.title} if session.title else {})}
    for _ in range(_TRIES):
        book = read(content, shelf=shelf).book
        if there := _same_name(book, session):
            path = content / there
            if path.is_file() and path.read_bytes() == raw:
                return Saved(there, ())
            said = f"there is a session of this date and title already, {there}; give it a title"
            raise NotSavedError("taken", f"{said} of its own")
        file = file_name(fields, book)
        findings = _findings(content, file, raw, shelf)
        path = content / file
        make_folder(path.parent)
        if not path.parent.resolve().is_relative_to(content.resolve()):
            raise NotSavedError("disk", "the folder of sessions lies outside of the book")
        try:
            write_new(path, raw)
        except FileExistsError:  # another program was quicker
            continue
        return Saved(file, findings)
    raise NotSavedError("taken", "other programs write sessions of this name all the time")


def _read_whole(content: Path, raw: bytes, shelf: Shelf) -> Session:
    """Read the session, and refuse it when any of it would be left out."""
    file = read_yaml(_NO_DATE, raw)
    if isinstance(file.data, dict):
        record, problems = validate(Session, file.data, Place(_NO_DATE))
        wrong = [p for p in (*file.problems, *problems) if p.severity is Severity.ERROR]
        if isinstance(record, Session) and not wrong:
            return record
    findings = _findings(content, _NO_DATE, raw, shelf)
    raise NotSavedError("wrong", "something in it has to be mended first", findings)


def _findings(content: Path, file: str, raw: bytes, shelf: Shelf) -> tuple[Finding, ...]:
    """List what is wrong with a file in the book as it would be with it."""
    after = read(content, instead={file: raw}, shelf=shelf)
    return tuple(after.findings(p for p in after.problems if p.place.file == file))


def _same_name(book: Book, session: Session) -> str:
    """Return the file of the session that has this one's date and title; else nothing."""
    slug = session.slug.casefold()
    for name, other in book.sessions.items():
        if name.casefold() == slug:
            return other.place.file
    return ""
