"""`buildbook write`: a session written down by questions, in one line, or from rough notes."""

import sys
from datetime import datetime
from pathlib import Path

import click

from buildbook.cli.asking import Question, ask, at_terminal, yes
from buildbook.cli.book import content_option, read_book
from buildbook.cli.dialogue import Kept, ask_another, ask_session
from buildbook.cli.errors import CannotRunError
from buildbook.cli.saving import keep, make_draft, save_draft, show
from buildbook.records.book import Book
from buildbook.records.dates import parse_date
from buildbook.records.read import Reading
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.draft import (
    Fields,
    Trial,
    file_name,
    keep_draft,
    private_folder,
    session_text,
    try_out,
)
from buildbook.writing.notes import Noted, read_line, read_notes
from buildbook.writing.yamltext import CannotWriteError

_NEEDED = ("date", "step")
_MOST_BYTES = 1_000_000
"""Rough notes longer than that are another file."""


@click.command()
@click.option("--quick", metavar="LINE", help="A session in one line: step, hours, what was done.")
@click.option("--date", "day", metavar="DATE", help="Day of --quick; today when left out.")
@click.option(
    "--from",
    "notes",
    metavar="FILE",
    type=click.Path(path_type=Path, allow_dash=True),
    help="Rough notes in plain text, each with a date line (`-`: what is piped in), or a draft.",
)
@click.option("--save", "at_once", is_flag=True, help="Save without asking, if nothing is wrong.")
@content_option
def write(
    quick: str | None, day: str | None, notes: Path | None, at_once: bool, content: Path
) -> None:
    """Write a session down: by a few questions, in one line, or from rough notes.

    What will be saved is shown first, and read as `check` reads it. Nothing that is there is
    written over, and nothing typed is lost: a draft that is not saved is kept in `.buildbook`.

    Exit status: 0 when it is saved, 1 when something is not, 2 when it cannot run.
    """
    if quick is not None and notes is not None:
        raise CannotRunError("give --quick or --from, not both")
    if day is not None and quick is None:
        raise CannotRunError("--date goes with --quick; in notes each date stands above its note")
    reading = read_book(content)
    if not reading.book.steps:
        raise CannotRunError("the book has no steps yet; write a section with its steps first")
    if quick is not None:
        done = _drafts(reading, [_quick(reading, quick, day)], at_once=at_once)
    elif notes is not None and notes.suffix in (".yml", ".yaml"):
        done = _kept_draft(reading, notes, at_once=at_once)
    elif notes is not None:
        done = _drafts(reading, _notes(reading, notes), at_once=at_once)
    else:
        if not at_terminal():
            raise CannotRunError("nobody is at the terminal to answer; use --quick or --from")
        done = _by_questions(reading)
    sys.exit(0 if done else 1)


def _quick(reading: Reading, line: str, day: str | None) -> Noted:
    book = reading.book
    try:
        date = parse_date(day) if day else datetime.now(book.zone).date()
        return read_line(line, book, date)
    except ValueError as error:
        raise CannotRunError(str(error)) from None


def _notes(reading: Reading, file: Path) -> list[Noted]:
    try:
        raw = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
        if len(raw) > _MOST_BYTES:
            raise CannotRunError(f"{file} is too long for rough notes")
        found = read_notes(raw.decode("utf-8-sig"), reading.book)
    except OSError as error:
        raise CannotRunError(f"{file} cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise CannotRunError(f"{file} is not UTF-8 text; save it again as UTF-8") from None
    except CannotWriteError as error:
        raise CannotRunError(f"{file}: {error}") from None
    if not found:
        raise CannotRunError(f"there is nothing in {file}")
    return found


def _drafts(reading: Reading, notes: list[Noted], *, at_once: bool) -> bool:
    """Show what was made of each note, and save it; tell whether all are saved."""
    ask_for_more = at_terminal() and not at_once
    others: dict[str, bytes] = {}
    content, all_saved = reading.book.folder, True
    for i, note in enumerate(notes, 1):
        if len(notes) > 1:
            click.echo(f"\nnote {i} of {len(notes)}")
        _tell(note)
        fields: Fields = note.fields
        if ask_for_more and _lacks(fields):
            try:
                fields = ask_session(reading.book, fields, Kept.beside(content))
            except (KeyboardInterrupt, EOFError):
                click.echo()
        if any(name not in fields for name in _NEEDED):
            _keep_words(fields, reading.book)
            all_saved = False
            continue
        trial = make_draft(reading, fields, others)
        show(trial, content)
        if not _settle(trial, content, at_once=at_once):
            all_saved = False
            continue
        others[trial.file] = trial.raw
        reading = trial.after
    return all_saved


def _kept_draft(reading: Reading, path: Path, *, at_once: bool) -> bool:
    """Save a draft that was kept, as it stands in its file; tell whether it is saved."""
    content = reading.book.folder
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise CannotRunError(f"{path} cannot be read: {error.strerror}") from None
    data = read_yaml(path.name, raw).data
    if not isinstance(data, dict) or not isinstance(data.get("date"), str):
        raise CannotRunError(f"{path} is no session: write its `date` and `step` into it first")
    trial = try_out(reading, file_name(data, reading.book), raw)
    show(trial, content)
    if trial.errors or not (at_once or (at_terminal() and _wanted())):
        click.echo(f"not saved; it stays in {path}", err=True)
        return False
    save_draft(trial, content)
    if path.resolve().parent == private_folder(content).resolve() / "drafts":
        path.unlink()
    return True


def _lacks(fields: Fields) -> bool:
    return any(n not in fields for n in _NEEDED) or not fields.keys() & {"hours", "from"}


def _tell(note: Noted) -> None:
    if note.taken:
        click.echo("recognised:")
        for name, words in note.taken:
            click.echo(f"  {name}: {words}")
    lines = str(note.fields.get("notes", "")).strip().count("\n") + 1
    if "notes" in note.fields:
        click.echo(f"kept as notes: {lines} line{'' if lines == 1 else 's'}")
    if note.said:
        click.echo("not recognised:")
        for said in note.said:
            click.echo(f"  {said}")


def _keep_words(fields: Fields, book: Book) -> None:
    """Keep a note that is no session yet: it lacks its date or step."""
    file = file_name({"date": "undated", **fields}, book)
    try:
        path = keep_draft(book.folder, Path(file).name, session_text(fields, file).encode())
    except OSError as error:
        raise CannotRunError(f"cannot keep the note: {error.strerror}") from None
    click.echo(
        f"not saved: it lacks its date or step; it is kept in {path}. Write them into it, then "
        f"`buildbook write --from {path}`",
        err=True,
    )


def _settle(trial: Trial, content: Path, *, at_once: bool) -> bool:
    """Save a draft that was shown, when it is good and wanted; else keep it."""
    if trial.errors:
        click.echo("something in it must be mended first")
    elif at_once or (at_terminal() and _wanted()):
        save_draft(trial, content)
        return True
    elif not at_terminal():
        click.echo("nothing is saved; --save does")
        return False
    keep(trial, content)
    return False


def _wanted() -> bool:
    try:
        return yes("Save it?")
    except (KeyboardInterrupt, EOFError):
        return False


def _by_questions(reading: Reading) -> bool:
    book = reading.book
    kept = Kept.beside(book.folder)
    try:
        if any(kept.answers.values()) and not yes(
            f"A session begun on {kept.since()} is not saved. Go on with it?"
        ):
            path = kept.set_aside()
            click.echo(f"its answers are kept in {path}")
        fields = ask_session(book, {}, kept)
        saved = _review(reading, fields, kept)
    except (KeyboardInterrupt, EOFError):
        said = "nothing is saved"
        if any(kept.answers.values()):
            said += f"; what you typed is kept in {kept.path}, `buildbook write` goes on with it"
        click.echo(f"\n{said}", err=True)
        return False
    if saved:
        kept.forget()
    return saved


def _review(reading: Reading, fields: Fields, kept: Kept) -> bool:
    """Show a draft until it is saved or kept; pieces of work may be added and words edited."""
    content = reading.book.folder
    trial, edited = make_draft(reading, fields), False
    while True:
        show(trial, content)
        more, letter = ("", "") if edited else ("add [a]nother piece of work, ", "a")
        if trial.errors:
            words = f"Something must be mended. [e]dit it, {more}or [k]eep the draft:"
            choice = _choose(words, f"e{letter}k")
        else:
            words = f"[s]ave, {more}[e]dit it first, or [k]eep the draft for later:"
            choice = _choose(words, f"s{letter}ek")
        if choice == "s":
            save_draft(trial, content)
            return True
        if choice == "k":
            keep(trial, content)
            return False
        if choice == "a":
            fields = ask_another(reading.book, fields, kept)
            trial = make_draft(reading, fields)
            continue
        changed = click.edit(trial.raw.decode(), extension=".yml")
        if changed is not None:
            trial, edited = try_out(reading, trial.file, changed.encode()), True


def _choose(words: str, letters: str) -> str:
    def check(answer: str) -> str:
        return (
            "" if answer[:1].casefold() in ("", *letters) else f"type one of {', '.join(letters)}"
        )

    return ask(Question("choice", words, check))[:1].casefold() or letters[0]
