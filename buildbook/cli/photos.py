"""`buildbook photos`: pictures from a phone or a camera brought into the book."""

import json
import sys
from collections.abc import Iterable
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import TypeVar

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.cli.words import many, there_is_no
from buildbook.incoming.looks import looks_of
from buildbook.incoming.pictures import (
    Arrival,
    Fate,
    Survey,
    clock_setting,
    copy_in,
    named,
    pictures_in,
)
from buildbook.incoming.sessionfile import CannotAddError, as_lines, with_entries
from buildbook.media.privacy import given_away
from buildbook.media.problems import BadPictureError, CacheError
from buildbook.media.published import hidden, published
from buildbook.media.store import PictureStore
from buildbook.media.wishes import wishes
from buildbook.records.book import Book
from buildbook.records.photo import PHOTOS, UNCAPTIONED

_CLOCKS = Path(".buildbook/cameras.json")
_CACHE = Path(".buildbook/cache/pictures")  # where the site's pictures are prepared too
_LOOKS = Path(".buildbook/cache/looks.json")
_LONG = 5  # pictures
_MOST_NAMED = 3  # pictures that another one looks like

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
    """Bring in pictures and video clips from PATHS, files or folders.

    Without --write nothing changes: what would be copied is shown, and what to paste. With it
    they are copied into `photos/` and entered in the session each belongs to, where that
    is clear. Originals stay where they are. Doing it again takes what is still missing.

    Exit status: 0 when everything has its place, 1 when some need a look, 2 when it cannot run.
    """
    book = read_book(content).book
    clocks = _clocks(book.folder.absolute().parent / _CLOCKS, settings)
    media = book.photo_files | book.clip_files
    kept = book.folder.absolute().parent / _LOOKS
    looks = looks_of(book.folder / PHOTOS, media, kept, partial(_progress, "looking at the book"))
    survey = Survey(book, clocks, looks=looks)
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
    """List what original pictures and clips give away. Nothing of it is ever published."""
    from buildbook.media.clipfacts import given_away as clip_given_away  # noqa: PLC0415 - slow

    book = read_book(content).book
    files = sorted(book.photo_files | book.clip_files)
    asked = wishes(book)
    silent = {file for file, wish in asked.items() if wish.silent}
    holding = 0
    heard = []
    for file in _progress("looking", files):
        try:
            if file in book.clip_files:
                told, sound = clip_given_away(book.folder / PHOTOS / file)
                heard += [file] if sound and file not in silent else []
            else:
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
        "pictures and clips are made anew, or taken over without metadata."
    )
    for file in heard:
        click.echo(f"{file} has sound, which is published; `silent: yes` at the clip leaves it out")
    for file in sorted(asked):
        if asked[file].hidden:
            click.echo(
                f"{file} has boxes in its `blur`, which stay where they are while what they hide "
                "may move: look through its film in the built site"
            )


@photos.command("contact-sheet")
@click.argument("step")
@click.option(
    "--to",
    "target",
    required=True,
    type=click.Path(path_type=Path),
    help="The PDF to write.",
)
@click.option(
    "--paper",
    type=click.Choice(("a4", "letter")),
    default="a4",
    show_default=True,
    help="Its size.",
)
@click.option("--force", is_flag=True, help="Overwrite the PDF when it is there already.")
@content_option
def contact_sheet(step: str, target: Path, paper: str, force: bool, content: Path) -> None:
    """Write a PDF of all photos of STEP, small, dated and captioned, to be read at a glance.

    STEP is written as in the records, as `fin/skeleton`. What is to be blurred is blurred here too.
    """
    from buildbook.handover import contactsheet  # noqa: PLC0415 - slow to load
    from buildbook.handover.typeset import CannotSetError  # noqa: PLC0415
    from buildbook.ledger.ledger import derive  # noqa: PLC0415
    from buildbook.pages.context import Context  # noqa: PLC0415

    if target.exists() and not force:
        raise CannotRunError(f"{target} is there already; add --force to overwrite it")
    reading = read_book(content)
    book = reading.book
    if step not in book.steps:
        raise CannotRunError(there_is_no("step", step, book.steps, "steps"))
    context = Context(book, derive(book))
    wanted = {s.photo.file for s in context.ledger.links.of("steps", step).shots}
    cache = book.folder.absolute().parent / _CACHE
    store = PictureStore(book.folder / PHOTOS, cache, zone=book.zone)
    try:
        pictures, problems = store.prepare(sorted(wanted & published(book)), hidden=hidden(book))
        if not pictures:
            raise CannotRunError(f"no photo shows {step}")
        last = max((s.date for s in book.sessions.values()), default=None)
        made = contactsheet.contact_sheet(context, step, pictures, cache, paper=paper, on=last)
    except (CacheError, CannotSetError) as error:
        raise CannotRunError(str(error)) from None
    write_new(target, made, force=force)
    for problem in problems:
        click.echo(f"{problem.sentence}; {problem.advice}", err=True)
    click.echo(f"{target}: {many(len(pictures), 'photo')} of {step}")
    if reading.errors:
        click.echo(
            "the records have errors, so photos may be missing: run `buildbook check`", err=True
        )
    raise click.exceptions.Exit(1 if problems else 0)


def _line(arrival: Arrival) -> str:
    if arrival.fate is Fate.BAD:
        return arrival.said
    name = named(arrival.source)
    if arrival.fate is not Fate.NEW:
        return f"{name}: {arrival.fate}: {arrival.said}"
    when = f"{arrival.taken:%Y-%m-%d %H:%M}" if arrival.taken else "undated"
    alike = f"; looks like {_some(arrival.alike)} (--alike takes it)" if arrival.alike else ""
    whose = ", ".join(arrival.sessions) or "no session"
    remarks = "".join(f"; {remark}" for remark in arrival.remarks)
    return f"{name}: {when}, {whose} ({arrival.why}) -> {arrival.file}{alike}{remarks}"


def _some(files: tuple[str, ...]) -> str:
    more = len(files) - _MOST_NAMED
    named_ones = ", ".join(files[:_MOST_NAMED])
    return f"{named_ones} and {more} more" if more > 0 else named_ones


Entries = dict[tuple[str, str], list[dict[str, str]]]
"""By session, and the field they belong into."""


def _entries(book: Book, wanted: Iterable[Arrival], arrivals: Iterable[Arrival]) -> Entries:
    """List the entries to make, under "" those whose session is not clear.

    A picture or clip that was copied by an earlier run and is in no record yet is entered too.
    """
    cited = {
        shown.file
        for session in book.sessions.values()
        for several in (session.photos, session.clips)
        for shown in several
    }
    again = (a for a in arrivals if a.fate is Fate.KNOWN and a.file not in cited)
    entries: Entries = {}
    for arrival in dict.fromkeys((*wanted, *again)):
        session = arrival.sessions[0] if len(arrival.sessions) == 1 else ""
        entry = {"file": arrival.file, "caption": UNCAPTIONED}
        field = "clips" if arrival.is_clip else "photos"
        entries.setdefault((session, field), []).append(entry)
    return entries


def _copy(wanted: list[Arrival], folder: Path) -> tuple[list[Arrival], list[Arrival]]:
    done, failed = [], []
    for arrival in _progress("copying", wanted):
        try:
            copy_in(arrival, folder)
        except OSError as error:
            click.echo(f"{named(arrival.source)} could not be copied: {error.strerror}", err=True)
            failed.append(arrival)
        else:
            done.append(arrival)
    return done, failed


def _enter(entries: Entries, book: Book, *, write: bool) -> bool:
    """Write entries into their sessions, or show what to paste; tell whether any are left."""
    unclear = False
    for (slug, field), some in entries.items():
        file = book.folder / book.sessions[slug].place.file if slug else None
        why = "" if file else "their session is not clear"
        if file and write:
            try:
                write_new(file, with_entries(file, some, field), force=True)
            except (CannotAddError, OSError) as error:
                why = f"{file} is left as it is: {error}"
            else:
                click.echo(f"{file}: {len(some)} entered; write their captions")
                continue
        unclear = unclear or bool(why)
        click.echo(f"\nto paste into {file or 'the right session'}{f' ({why})' if why else ''}:\n")
        click.echo("\n".join(as_lines(some, field)) + "\n")
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
