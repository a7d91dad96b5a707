"""`buildbook amend`: a session corrected, and what it said before kept."""

import difflib
import sys
from datetime import datetime
from pathlib import Path

import click

from buildbook.cli.asking import at_terminal, yes
from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.names import names
from buildbook.cli.report import one_finding
from buildbook.cli.words import there_is_no
from buildbook.files import write_whole
from buildbook.records.book import Book
from buildbook.records.mentions import PROSE_FIELDS
from buildbook.records.read import Reading
from buildbook.records.session import Session
from buildbook.writing.amend import amended, in_history
from buildbook.writing.draft import Trial, keep_draft, private_folder, prose, try_out
from buildbook.writing.fieldlines import CannotChangeError, parse_way, with_field
from buildbook.writing.yamltext import CannotWriteError, clean


@click.command()
@click.argument("session", shell_complete=names("sessions"))
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="FIELD=VALUE",
    help="Set a field, as `hours=2h45` or `work.2.hours=1h`; nothing behind = takes it away.",
)
@click.option("--why", metavar="TEXT", help="Why it is corrected; kept in the record.")
@click.option(
    "--by", metavar="PERSON", shell_complete=names("people"), help="Who corrects it, if not you."
)
@click.option("--in-record", is_flag=True, help="Keep the old words in the record as well as git.")
@content_option
def amend(
    session: str,
    settings: tuple[str, ...],
    why: str | None,
    by: str | None,
    in_record: bool,
    content: Path,
) -> None:
    """Correct SESSION (its date, or its page's name), in an editor or with --set.

    Comments, order and layout stay. What it said before is kept in git's history, where the file
    is committed, and else in the record's `amendments`, which its page shows. A correction with
    mistakes that were not there before is not saved.

    Exit status: 0 when it is saved or nothing changed, 1 when it is not, 2 when it cannot run.
    """
    reading = read_book(content)
    book = reading.book
    if by is not None and by not in book.people:
        raise CannotRunError(there_is_no("person", by, book.people, "people"))
    found = _session(book, session)
    path = book.folder / found.place.file
    original = _bytes(path)
    if settings:
        changed: bytes | None = _set(original, settings)
    else:
        if not at_terminal():
            raise CannotRunError(
                "nobody is at the terminal to use an editor; use --set FIELD=VALUE"
            )
        changed = _edited(reading, found, original)
    if changed is None:
        sys.exit(1)
    if changed == original:
        click.echo("nothing was changed")
        return
    sys.exit(0 if _save(reading, path, original, changed, (why, by, in_record)) else 1)


def _save(
    reading: Reading,
    path: Path,
    original: bytes,
    changed: bytes,
    how: tuple[str | None, str | None, bool],
) -> bool:
    """Save a correction with what keeps the old words; tell whether it is saved."""
    why, by, in_record = how
    book = reading.book
    file = path.relative_to(book.folder).as_posix()
    commit, plain = in_history(path), changed
    if why or by or in_record or not commit:
        today = datetime.now(book.zone).date()
        try:
            reason = " ".join(clean(why or "").split())
            changed = amended(changed, original, today, reason, by or "")
        except (CannotChangeError, CannotWriteError) as error:
            _refuse(book, file, changed, str(error))
            return False
    trial = try_out(reading, file, changed)
    if trial.errors:
        _tell(trial, book)
        _refuse(book, file, changed, "it would have mistakes that were not there before")
        return False
    if _bytes(path) != original:
        _refuse(book, file, changed, f"{path} was changed by another program meanwhile")
        return False
    try:
        write_whole(path, changed)
    except OSError as error:
        raise CannotRunError(f"cannot write {path}: {error.strerror}") from None
    _show_change(original, changed)
    _tell(trial, book)
    keepers = [
        "in its `amendments`" if changed != plain else "",
        f"in git's history ({commit})" if commit else "",
    ]
    kept = " and ".join(filter(None, keepers))
    click.echo(f"saved {path.as_posix()}" + (f"; its earlier words are {kept}" if kept else ""))
    return True


def _session(book: Book, name: str) -> Session:
    """Find a session by its page's name, its file, or its date when that has only one."""
    stem = Path(name).stem if name.endswith((".yml", ".yaml")) else name
    if stem in book.sessions:
        return book.sessions[stem]
    by_file = [
        s
        for s in book.sessions.values()
        if Path(s.place.file).stem == stem or (book.folder / s.place.file) == Path(name)
    ]
    by_date = [s for s in book.sessions.values() if s.date.isoformat() == name]
    found = by_file or by_date
    if len(found) == 1:
        return found[0]
    if found:
        listed = ", ".join(s.slug for s in found)
        raise CannotRunError(f"several sessions are meant by `{name}`: {listed}")
    raise CannotRunError(there_is_no("session", name, book.sessions))


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CannotRunError(f"{path} cannot be read: {error.strerror}") from None


def _set(raw: bytes, settings: tuple[str, ...]) -> bytes:
    for setting in settings:
        name, equals, value = setting.partition("=")
        if not equals:
            raise CannotRunError(f"`{setting}` sets nothing; write FIELD=VALUE, as `hours=2h45`")
        try:
            way = parse_way(name)
            text = prose(value) if way[-1] in PROSE_FIELDS else clean(value.strip())
            raw = with_field(raw, way, text or None)
        except (CannotChangeError, CannotWriteError) as error:
            raise CannotRunError(f"{name.strip()}: {error}") from None
    return raw


def _edited(reading: Reading, session: Session, original: bytes) -> bytes | None:
    """Let a copy be edited until it is good or given up; None when it is given up."""
    book = reading.book
    file = session.place.file
    copy = _copy(book, session, original)
    while True:
        click.edit(filename=str(copy))
        changed = _bytes(copy)
        trial = try_out(reading, file, changed)
        if not trial.errors:
            copy.unlink(missing_ok=True)
            return changed
        _tell(trial, book)
        if not yes("This would not be right. Edit it again?"):
            click.echo(f"not saved; what you wrote is kept in {copy}", err=True)
            return None


def _copy(book: Book, session: Session, original: bytes) -> Path:
    """Make the copy that is edited; one that was kept is gone on with when it is wanted."""
    folder = private_folder(book.folder) / "drafts"
    name = f"amend-{session.slug}.yml"
    copy = folder / name
    if copy.is_file():
        if copy.read_bytes() == original or yes(f"{copy} was kept. Go on with it?"):
            return copy
        keep_draft(book.folder, f"earlier-{name}", copy.read_bytes())
        copy.unlink()
    return keep_draft(book.folder, name, original)


def _refuse(book: Book, file: str, changed: bytes, said: str) -> None:
    path = keep_draft(book.folder, f"refused-{Path(file).name}", changed)
    click.echo(f"not saved: {said}; what was to be written is kept in {path}", err=True)


def _tell(trial: Trial, book: Book) -> None:
    for finding in trial.new:
        click.echo(one_finding(finding, book.folder), nl=False)


def _show_change(before: bytes, after: bytes) -> None:
    old, new = (raw.decode("utf-8-sig").splitlines() for raw in (before, after))
    for line in difflib.unified_diff(old, new, lineterm="", n=0):
        if not line.startswith(("---", "+++", "@@")):
            click.echo(f"  {line[0]} {line[1:]}")
