"""A hand-over: what one reader of a book is given, made whole in one folder."""

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, time
from pathlib import Path

from buildbook.handover.archive import (
    ARCHIVE,
    Made,
    Written,
    contents,
    holds_records,
    long_paths,
    write_archive,
)
from buildbook.handover.derivedtables import tables_of
from buildbook.handover.editions import title
from buildbook.handover.exports import write_tables
from buildbook.handover.pdf import Volume, file_name, set_book
from buildbook.handover.tables import by_need
from buildbook.media.clipstore import ClipStore
from buildbook.media.picture import Picture
from buildbook.media.problems import PictureProblem
from buildbook.media.published import hidden, published
from buildbook.media.store import PictureStore
from buildbook.media.wishes import wishes
from buildbook.pages.context import Context
from buildbook.records.book import Book
from buildbook.records.photo import PHOTOS
from buildbook.records.readers import FULL

MARK = "hand-over.txt"
"""File that every hand-over holds: it says what is in it."""
PDF, SITE = "pdf", "site"
NEEDS = {
    "public": frozenset((SITE,)),
    "inspector": frozenset((PDF, SITE)),
    "owner": frozenset((PDF, SITE, ARCHIVE)),
    FULL: frozenset((PDF, SITE, ARCHIVE)),
}
"""What the reader of each edition is given, unless something else is asked for."""
CACHE = Path(".buildbook/cache")
"""Folder beside the records' for what is made once from pictures; the site's own."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be made."""

    kinds: frozenset[str]
    """Some of `pdf`, `site` and `archive`."""
    paper: str = "a4"
    packed: bool = False
    """ZIP files instead of folders, for the archive."""
    most: int | None = None
    """Bytes that one part of the archive may have."""


@dataclass(frozen=True, slots=True)
class Account:
    """What was made, and what is to be said of it."""

    volumes: tuple[Volume, ...]
    bags: tuple[Written, ...]
    remarks: tuple[str, ...]
    """What the reader will miss, a sentence each."""


def hand_over(
    context: Context, wish: Wish, folder: Path, build_site: Callable[[Path], None], cache: Path
) -> Account:
    """Make a hand-over in a folder that is there and empty.

    `context` is that of the edition, `build_site` builds its site into a folder, and `cache` is
    the folder for what is made once from pictures. Raises CacheError, CannotSetError,
    CannotSplitError, CannotReadFileError, and OSError when something cannot be written.
    """
    book = context.book
    name = file_name(context)
    remarks: list[str] = []
    archive = ARCHIVE in wish.kinds
    kept = {kind: folder / kind for kind in (PDF, SITE)}
    with _work(folder) as work:
        # What is only for the archive goes away in the end.
        made = {k: kept[k] if k in wish.kinds else work / k for k in kept}
        volumes: list[Volume] = []
        if PDF in wish.kinds or archive:
            made[PDF].mkdir()
            pictures, problems = prepared(book, cache)
            remarks += [f"{p.sentence}; {p.advice}" for p in problems]
            volumes = set_book(context, pictures, cache / "pictures", made[PDF], paper=wish.paper)
            remarks += _unseen(sum(volume.without_glyph for volume in volumes))
        if SITE in wish.kinds or archive:
            with as_of(context):
                build_site(made[SITE])
        bags: list[Written] = []
        if archive:
            (work / "tables").mkdir()
            write_tables(book, by_need(tables_of(book, context.ledger)), work / "tables")
            taken = {} if _has_originals(book) else dict(_published(book, cache))
            items = list(contents(book, Made(made[SITE], made[PDF], work / "tables", taken)))
            (folder / ARCHIVE).mkdir()
            bags = write_archive(
                book, name, items, folder / ARCHIVE, packed=wish.packed, most=wish.most
            )
            remarks += _long(long_paths(items))
    account = Account(tuple(volumes), tuple(bags), tuple(remarks))
    (folder / MARK).write_text(_said(book, wish, account), encoding="utf-8", newline="\n")
    return account


@contextmanager
def _work(folder: Path) -> Iterator[Path]:
    """Give a folder for what nobody is handed, which goes away."""
    import shutil  # noqa: PLC0415

    work = folder / ".work"
    work.mkdir()
    try:
        yield work
    finally:
        shutil.rmtree(work)


def prepared(book: Book, cache: Path) -> tuple[dict[str, Picture], list[PictureProblem]]:
    """Prepare the photos of an edition: those that can be shown, by file, and problems.

    Raises CacheError.
    """
    full = book.held.full_size_photos and not _has_originals(book)
    store = PictureStore(book.folder / PHOTOS, cache / "pictures", zone=book.zone, full_size=full)
    # An edition may know pictures by other names than the folder they are in.
    files = {book.original(file): file for file in sorted(published(book))}
    boxes = {book.original(file): some for file, some in hidden(book).items()}
    found, problems = store.prepare(files, hidden=boxes)
    return {files[original]: picture for original, picture in found.items()}, problems


def _has_originals(book: Book) -> bool:
    return book.held.original_photos or holds_records(book)


def _published(book: Book, cache: Path) -> Iterator[tuple[str, Path]]:
    """Yield the published pictures and films, each in the largest form there is."""
    store = PictureStore(
        book.folder / PHOTOS,
        cache / "pictures",
        zone=book.zone,
        full_size=book.held.full_size_photos,
    )
    for file, picture in prepared(book, cache)[0].items():
        yield file, store.path(picture.full or picture.derivatives[-1])
    clips = ClipStore(book.folder / PHOTOS, cache / "clips")
    wanted = {book.original(file): wish for file, wish in wishes(book).items()}
    names = {book.original(file): file for file in wishes(book)}
    for original, clip in clips.prepare(wanted)[0].items():
        yield names[original], clips.path(clip.film)


@contextmanager
def as_of(context: Context) -> Iterator[None]:
    """Have whatever writes the time write that of the last session, so that bytes stay the same.

    The variable is that of reproducible-builds.org's specification.
    """
    day = context.ledger.as_of
    name = "SOURCE_DATE_EPOCH"
    before = os.environ.get(name)
    moment = datetime.combine(day, time(12), UTC) if day else datetime(1980, 1, 1, tzinfo=UTC)
    os.environ[name] = str(int(moment.timestamp()))
    try:
        yield
    finally:
        if before is None:
            del os.environ[name]
        else:
            os.environ[name] = before


def _unseen(letters: int) -> Iterator[str]:
    if letters:
        yield (
            f"{letters} letters of the PDF are shown as \N{REPLACEMENT CHARACTER}: this computer "
            "has no font for them"
        )


def _long(paths: list[str]) -> Iterator[str]:
    if paths:
        more = f" and {len(paths) - 1} more" if len(paths) > 1 else ""
        yield f"a path in the archive is longer than Windows may take: {paths[0]}{more}"


def _said(book: Book, wish: Wish, account: Account) -> str:
    """Write what is in the folder, for whoever is given it."""
    lines = [f"{book.file.title}: {title(book.edition)}", ""]
    if book.partial:
        lines += [f"Left out: {', '.join(book.partial)}. Totals are of what it holds.", ""]
    if PDF in wish.kinds:
        lines += [f"pdf/{v.file.name}: {v.pages} pages" for v in account.volumes]
    if SITE in wish.kinds:
        lines += ["site/index.html: open it in a web browser; no network is needed"]
    if ARCHIVE in wish.kinds:
        lines += [f"archive/{bag.path.name}: {bag.files} files" for bag in account.bags]
        lines += ["README.txt in the archive says what is in it, and how to check it."]
    lines += [
        "",
        "A personal record; it approves nothing. The plans, the designer's current revisions,",
        "service bulletins and the local aviation authority come first.",
        "",
    ]
    return "\n".join(lines)


def kinds_of(edition: str, *, asked: Mapping[str, bool]) -> frozenset[str]:
    """Tell what is made for an edition: what is asked for, or else what its reader needs."""
    return frozenset(kind for kind, wanted in asked.items() if wanted) or NEEDS[edition]
