"""`buildbook photos`: pictures from a phone or a camera brought into the book."""

import json
import sys
from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path
from typing import TypeVar

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.incoming.pictures import Arrival, Fate, Survey, clock_setting, copy_in, pictures_in
from buildbook.incoming.sessionfile import CannotAddError, as_lines, with_photos
from buildbook.media.privacy import given_away
from buildbook.media.problems import BadPictureError
from buildbook.records.book import Book
from buildbook.records.photo import PHOTOS, UNCAPTIONED

_CLOCKS = Path(".buildbook/cameras.json")
_LONG = 5  # pictures

T = TypeVar("T")


@click.group("photos")
def photos() -> None:
    """Bring pictures in, and see what they give away."""


@photos.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@content_option
@click.option("--write", is_flag=True, help="Copy the pictures and enter them in their sessions.")
@click.option("--alike", is_flag=True, help="Take pictures that look like another one too.")
@click.option(
    "--clock",
    "settings",
    multiple=True,
    metavar="CAMERA=+H:MM",
    help="How far a camera's clock is ahead; remembered.",
)
def add(
    paths: tuple[Path, ...], content: Path, write: bool, alike: bool, settings: tuple[str, ...]
) -> None:
    """Bring in pictures from PATHS, files or folders.

    Without --write nothing changes: what would be copied is shown, and what to paste. With it
    the pictures are copied into `photos/` and entered in the session each belongs to, where that
    is clear. Originals stay where they are. Doing it again takes what is still missing.

    Exit status: 0 when every picture has its place, 1 when some need a look, 2 when it cannot run.
    """
    book = read_book(content).book
    clocks = _clocks(book.folder.absolute().parent / _CLOCKS, settings)
    survey = Survey(book, clocks)
    arrivals = [survey.look_at(path) for path in _progress("looking", list(pictures_in(paths)))]
    wanted = [a for a in arrivals if a.fate is Fate.NEW and (alike or not a.alike)]
    left = [a for a in arrivals if a.fate is Fate.BAD or (a.fate is Fate.NEW and a not in wanted)]
    for arrival in arrivals:
        click.echo(_line(arrival))
    if write:
        wanted, failed = _copy(wanted, book.folder / PHOTOS)
        left += failed
    unclear = _enter(_entries(book, wanted, arrivals), book, write=write)
    counts = (len(wanted), "copied" if write else "to copy"), (len(left), "left out")
    click.echo(", ".join(f"{n} {word}" for n, word in counts if n) or "nothing new")
    raise click.exceptions.Exit(1 if left or unclear else 0)


@photos.command()
@content_option
def privacy(content: Path) -> None:
    """List what the original pictures give away. Nothing of it is ever published."""
    book = read_book(content).book
    files = sorted(book.photo_files)
    holding = 0
    for file in _progress("looking", files):
        try:
            told = given_away(book.folder / PHOTOS / file)
        except BadPictureError as problem:
            told = [problem.wrong]
        except OSError as error:
            told = [f"cannot be read: {error.strerror}"]
        holding += bool(told)
        if told:
            click.echo(f"{file}: {', '.join(told)}")
    click.echo(
        f"{holding} of {len(files)} originals hold something. What is published holds none of it: "
        "pictures are made anew, without metadata."
    )


def _line(arrival: Arrival) -> str:
    if arrival.fate is Fate.BAD:
        return arrival.said
    if arrival.fate is not Fate.NEW:
        return f"{arrival.source.name}: {arrival.fate}: {arrival.said}"
    when = f"{arrival.taken:%Y-%m-%d %H:%M}" if arrival.taken else "undated"
    alike = f"; looks like {', '.join(arrival.alike)} (--alike takes it)" if arrival.alike else ""
    whose = ", ".join(arrival.sessions) or "no session"
    return f"{arrival.source.name}: {when}, {whose} ({arrival.why}) -> {arrival.file}{alike}"


Entries = dict[str, list[dict[str, str]]]


def _entries(book: Book, wanted: Iterable[Arrival], arrivals: Iterable[Arrival]) -> Entries:
    """List the entries to make by session, "" for pictures whose session is not clear.

    A picture that was copied by an earlier run and is in no record yet is entered too.
    """
    cited = {photo.file for session in book.sessions.values() for photo in session.photos}
    again = (a for a in arrivals if a.fate is Fate.KNOWN and a.file not in cited)
    entries: Entries = {}
    for arrival in dict.fromkeys((*wanted, *again)):
        session = arrival.sessions[0] if len(arrival.sessions) == 1 else ""
        entry = {"file": arrival.file, "caption": UNCAPTIONED}
        entries.setdefault(session, []).append(entry)
    return entries


def _copy(wanted: list[Arrival], folder: Path) -> tuple[list[Arrival], list[Arrival]]:
    done, failed = [], []
    for arrival in _progress("copying", wanted):
        try:
            copy_in(arrival, folder)
        except OSError as error:
            click.echo(f"{arrival.source.name} could not be copied: {error.strerror}", err=True)
            failed.append(arrival)
        else:
            done.append(arrival)
    return done, failed


def _enter(entries: Entries, book: Book, *, write: bool) -> bool:
    """Write entries into their sessions, or show what to paste; tell whether any are left."""
    unclear = False
    for slug, some in entries.items():
        file = book.folder / book.sessions[slug].place.file if slug else None
        why = "" if file else "their session is not clear"
        if file and write:
            try:
                write_new(file, with_photos(file, some), force=True)
            except (CannotAddError, OSError) as error:
                why = f"{file} is left as it is: {error}"
            else:
                click.echo(f"{file}: {len(some)} entered; write their captions")
                continue
        unclear = unclear or bool(why)
        click.echo(f"\nto paste into {file or 'the right session'}{f' ({why})' if why else ''}:\n")
        click.echo("\n".join(as_lines(some)) + "\n")
    return unclear


def _clocks(file: Path, settings: tuple[str, ...]) -> dict[str, timedelta]:
    """Read the remembered clock errors, in seconds by camera, and remember those given."""
    known: dict[str, int] = {}
    if file.is_file():
        try:
            stored = json.loads(file.read_text(encoding="utf-8"))
            known = {str(name): int(seconds) for name, seconds in stored.items()}
        except (ValueError, AttributeError, OSError):
            click.echo(f"{file} cannot be read; camera clocks are taken as right", err=True)
    for words in settings:
        try:
            name, ahead = clock_setting(words)
        except ValueError as error:
            raise CannotRunError(str(error)) from None
        known[name] = int(ahead.total_seconds())
    if settings:
        file.parent.mkdir(parents=True, exist_ok=True)
        shown = json.dumps(known, indent=2, ensure_ascii=False) + "\n"
        write_new(file, shown.encode(), force=True)
    return {name: timedelta(seconds=seconds) for name, seconds in known.items()}


def _progress(words: str, items: list[T]) -> Iterable[T]:
    """Show how far it is, where there is a terminal to show it on and enough to wait for."""
    if len(items) < _LONG or not sys.stderr.isatty():
        return items
    from rich.console import Console  # noqa: PLC0415 - slow to load
    from rich.progress import track  # noqa: PLC0415

    return track(items, words, console=Console(stderr=True))
