"""The archive of an edition: bags with records, pictures, site, PDF and tables, for decades.

What an edition leaves out is in none of it: records as they were written are only in the archive of
the full edition. Any other one has its records as tables, which come from the edition and not from
the files.
"""

import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from buildbook import __version__
from buildbook.handover.bag import (
    FolderSink,
    Item,
    Sink,
    ZipSink,
    info_of,
    is_bag,
    verify_bag,
    write_bag,
)
from buildbook.handover.editions import records_of, title
from buildbook.handover.seal import files_in
from buildbook.records.book import Book
from buildbook.records.photo import PHOTOS
from buildbook.records.readers import FULL

ARCHIVE = "archive"
"""What it is called in a hand-over: the folder that holds it."""
README = "README.txt"
LONG_PATH = 200
"""Letters: Windows takes 260 for a whole path (its documentation, "Maximum Path Length")."""
# What a file takes beside its bytes: two lines of lists, and its entries in a ZIP file.
_BESIDE_FILE, _BESIDE_BAG = 420, 20_000
_SIZES = {
    "": 1, "kb": 10**3, "mb": 10**6, "gb": 10**9, "tb": 10**12,
    "kib": 2**10, "mib": 2**20, "gib": 2**30, "tib": 2**40,
}  # fmt: skip


class CannotSplitError(Exception):
    """The archive cannot be divided as asked; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class Written:
    """One bag of an archive."""

    path: Path
    files: int
    size: int
    """Bytes of the payload."""


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of an edition, to be put into its archive."""

    site: Path
    pdf: Path
    exports: Path
    pictures: Mapping[str, Path]
    """Published pictures and films, by the file the edition knows them by. None are taken from
    here where the edition holds the originals."""


def parse_size(written: str) -> int:
    """Read `4GB`, `700 MB` or `4 GiB` as bytes. Raises ValueError with a sentence."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*([a-z]*)", written.strip().casefold())
    if not found or found[2] not in _SIZES:
        raise ValueError(f"`{written}` is no size; write it as `4GB` or `700MB`")
    return int(float(found[1]) * _SIZES[found[2]])


def holds_records(book: Book) -> bool:
    """Tell whether the archive of an edition has the records as they were written.

    Only that of the builder's own: another edition may hold everything there is a question about,
    and its files would still have the comments, and the pages that are not for its reader.
    """
    return book.edition == FULL


def contents(book: Book, made: Made) -> Iterator[Item]:
    """Yield what goes into the archive, in the order it is kept in. Raises OSError."""
    if holds_records(book):
        # What was read and is not there any more is told; it must not be missing in silence.
        gone = (name for name in _read_from(book) if not (book.folder / name).exists())
        names = {*files_in(book.folder), *gone}
        yield from (_item(f"records/{name}", book.folder / name) for name in sorted(names))
    yield from _tree("tables", made.exports)
    yield from _tree("pdf", made.pdf)
    yield from _tree("site", made.site)
    if holds_records(book):
        return  # the pictures are among the records
    if book.held.original_photos:
        for file in sorted((book.photo_files | book.clip_files) - book.withheld):
            yield _item(f"photos/{file}", book.folder / PHOTOS / book.original(file))
    else:
        yield from (
            _item(f"photos/{PurePosixPath(file).with_suffix(path.suffix)}", path)
            for file, path in sorted(made.pictures.items())
        )


def _read_from(book: Book) -> Iterator[str]:
    """Yield the files of the records that the book was read from."""
    yield from (record.place.file for record in records_of(book))
    yield from (f"{PHOTOS}/{file}" for file in book.photo_files | book.clip_files)
    yield from book.notes


def _item(path: str, source: Path) -> Item:
    try:
        return Item(path, source, source.stat().st_size)
    except FileNotFoundError:
        return Item(path, source, 0)  # told when it is to be read


def _tree(name: str, folder: Path) -> Iterator[Item]:
    for path in sorted(folder.rglob("*"), key=lambda p: p.relative_to(folder).as_posix()):
        if path.is_file():
            yield _item(f"{name}/{path.relative_to(folder).as_posix()}", path)


def write_archive(
    book: Book, name: str, items: Iterable[Item], to: Path, *, packed: bool, most: int | None
) -> list[Written]:
    """Write an archive into the folder `to`: one bag, or several if there is a largest size.

    `name` is the archive's name, `packed` makes ZIP files of the bags, and `most` is how many
    bytes one may have. Raises CannotSplitError, CannotReadFileError, and OSError when something
    cannot be written.
    """
    shares = split(list(items), most) if most else [list(items)]
    day = max((session.date for session in book.sessions.values()), default=None)
    written = []
    for number, share in enumerate(shares, 1):
        part = f"{name}-part-{number}-of-{len(shares)}" if len(shares) > 1 else name
        path = to / (f"{part}.zip" if packed else part)
        sink: Sink = ZipSink(path, part, day) if packed else FolderSink(path, day)
        info = list(_info(book, name, day, number, len(shares)))
        readme = _readme(book, number, len(shares)).encode()
        size, files = write_bag(sink, share, info, {README: readme})
        written.append(Written(path, files, size))
    return written


def split(items: list[Item], most: int) -> list[list[Item]]:
    """Divide files into bags of at most `most` bytes each. The order stays.

    What belongs together, as the site or the pictures of a month, stays in one bag if it can.
    Raises CannotSplitError.
    """
    room = most - _BESIDE_BAG
    for item in items:
        if _weight(item) > room:
            needed = _weight(item) + _BESIDE_BAG
            said = f"{item.path} alone takes {needed:,} bytes, which is more than {most:,}"
            raise CannotSplitError(f"{said}; write a larger size after --split")
    bags: list[list[Item]] = [[]]
    left = room
    for group in _groups(items):
        whole = sum(map(_weight, group))
        if bags[-1] and left < whole <= room:
            bags.append([])
            left = room
        for item in group:
            if _weight(item) > left:
                bags.append([])
                left = room
            bags[-1].append(item)
            left -= _weight(item)
    return bags


def _weight(item: Item) -> int:
    return item.size + _BESIDE_FILE + 4 * len(item.path.encode("utf-8", "replace"))


def _groups(items: list[Item]) -> Iterator[list[Item]]:
    """Yield runs of files that belong together: a top folder, or one folder of pictures."""
    group: list[Item] = []
    before = ""
    for item in items:
        top = item.path.partition("/")[0]
        pictures = item.path.startswith(("photos/", f"records/{PHOTOS}/"))
        key = str(PurePosixPath(item.path).parent) if pictures else top
        if group and key != before:
            yield group
            group = []
        before = key
        group.append(item)
    if group:
        yield group


def _info(
    book: Book, name: str, day: date | None, number: int, count: int
) -> Iterator[tuple[str, str]]:
    aircraft = book.file.aircraft
    yield "External-Identifier", name
    described = f"build manual of a home-built aircraft, {aircraft.model}. {title(book.edition)}."
    yield "External-Description", f"{book.file.title}: {described}"
    if day:
        yield "Bagging-Date", day.isoformat()
    if count > 1:
        yield "Bag-Group-Identifier", name
        yield "Bag-Count", f"{number} of {count}"
    yield "Bag-Software-Agent", f"buildbook {__version__}"


def long_paths(items: Iterable[Item]) -> list[str]:
    """List the paths that some systems may not take, once they are inside a folder."""
    return [item.path for item in items if len(item.path) > LONG_PATH]


# Looking at an archive.


def archives_in(path: Path) -> list[Path]:
    """List the bags that something is or holds: a bag, a folder of bags, or a hand-over."""
    if is_bag(path):
        return [path]
    for folder in (path, path / ARCHIVE):
        if folder.is_dir():
            inside = sorted(p for p in folder.iterdir() if not p.name.startswith("."))
            if bags := [p for p in inside if is_bag(p)]:
                return bags
    return []


def verify_archive(path: Path) -> list[str]:
    """Say what is wrong with an archive, a sentence each; nothing where it is as it was made.

    `path` is a bag, a ZIP file of one, or a folder that holds the parts of one.
    """
    bags = archives_in(path)
    if not bags:
        return [f"{path} holds no archive"]
    faults = []
    for bag in bags:
        of = f"{bag.name}: " if len(bags) > 1 else ""
        faults += [of + fault for fault in verify_bag(bag)]
    return faults + list(_missing_parts(bags))


def _missing_parts(bags: list[Path]) -> Iterator[str]:
    """Say which parts of a divided archive are not there."""
    groups: dict[str, tuple[int, set[int]]] = {}
    for bag in bags:
        try:
            info = info_of(bag)
        except (OSError, KeyError, zipfile.BadZipFile):
            continue
        found = re.fullmatch(r"(\d+) of (\d+)", info.get("Bag-Count", ""))
        if found:
            group = info.get("Bag-Group-Identifier", "")
            groups.setdefault(group, (int(found[2]), set()))[1].add(int(found[1]))
    for count, there in groups.values():
        if missing := [str(n) for n in range(1, count + 1) if n not in there]:
            noun = "part" if len(missing) == 1 else "parts"
            verb = "is" if len(missing) == 1 else "are"
            yield f"{noun} {', '.join(missing)} of {count} {verb} not here"


# What stands beside the bag's lists, for whoever finds it.


def _readme(book: Book, number: int, count: int) -> str:
    return "\n".join([*_about(book), *_parts(number, count), *_inside(book), *_check(), ""])


def _about(book: Book) -> Iterator[str]:
    aircraft = book.file.aircraft
    last = max((session.date for session in book.sessions.values()), default=None)
    yield book.file.title.upper()
    yield ""
    yield from _wrapped(
        f"This is the record of how an aircraft was built at home: a {aircraft.model}"
        + (f", serial number {aircraft.serial}" if aircraft.serial else "")
        + (f', called "{aircraft.name}"' if aircraft.name else "")
        + f". It holds {len(book.sessions)} sessions of work"
        + (f", the last of {last.isoformat()}" if last else "")
        + f". It is the {title(book.edition).lower()}."
        + (
            f" Left out of it: {', '.join(book.partial)}; totals are of what it holds."
            if book.partial
            else ""
        )
    )
    yield ""
    yield from _wrapped(
        "It is a personal record and approves nothing. The plans, the designer's current "
        "revisions, service bulletins and the local aviation authority come first."
    )


def _parts(number: int, count: int) -> Iterator[str]:
    if count > 1:
        yield ""
        yield from _wrapped(
            f"THIS IS PART {number} OF {count}. Each part can be checked by itself. To have the "
            "whole, copy the folders named data of all parts into one another: no two hold the "
            "same file."
        )


_SITE = (
    "The book as pages. Open site/index.html in a web browser; no network is needed, and nothing "
    "is sent anywhere."
)
_TABLES = (
    "All records as tables: csv/ for any spreadsheet, json/ for programs, and book.sqlite, a "
    "database (SQLite) that holds the same. README.txt there says what each column is."
)
_RECORDS = (
    "The records as they were written: text files (YAML, UTF-8) that any editor opens, a file a "
    "session, named by its date. Everything else was made from them. records/photos/ holds the "
    "pictures and clips as the cameras wrote them."
)


def _inside(book: Book) -> Iterator[str]:
    yield from ("", "WHAT IS IN THE FOLDER data", "")
    rows = {
        "site/": _SITE,
        "pdf/": "The book to read or print: PDF files, in volumes where it is long.",
        "tables/": _TABLES,
    }
    if holds_records(book):
        rows["records/"] = _RECORDS
    else:
        kind = (
            "as the cameras wrote them"
            if book.held.original_photos
            else "prepared for publishing: JPEG and MP4, without what cameras write beside them"
        )
        rows["photos/"] = f"The pictures and clips, {kind}. The tables say what each shows."
    for name, words in rows.items():
        lines = _wrapped(words, 66)
        yield f"{name:10}{lines[0]}"
        yield from (f"{'':10}{line}" for line in lines[1:])


def _check() -> Iterator[str]:
    yield from ("", "WHETHER ANYTHING WAS CHANGED", "")
    yield from _wrapped(
        "manifest-sha256.txt and manifest-sha512.txt name every file in data with a number that "
        "is worked out from all that is in it (SHA-256 and SHA-512, published in FIPS 180-4). If "
        "one letter of a file changes, its number changes. On Linux or a Mac, open a terminal in "
        "this folder and type"
    )
    yield from ("", "    sha256sum -c manifest-sha256.txt", "")
    yield from _wrapped(
        "(on a Mac: shasum -a 256 -c manifest-sha256.txt). Each file is then said to be OK or "
        "not. On Windows, certutil -hashfile NAME SHA256 shows the number of one file, to be "
        "compared with the list. tagmanifest-sha256.txt does the same for the lists and for this "
        "text. In the lists, a per cent sign in a name is written %25."
    )
    yield ""
    yield from _wrapped(
        "This folder is a bag after RFC 8493 (BagIt 1.0): libraries and archives have programs "
        "that check such bags. It was made by buildbook, which is not needed to read any of it."
    )


def _wrapped(text: str, width: int = 76) -> list[str]:
    import textwrap  # noqa: PLC0415

    return textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False)
