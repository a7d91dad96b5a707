"""The book on paper: a PDF of an edition, in volumes where it is long.

Each volume is set by itself, in a process of its own, so that a book of thousands of sessions takes
no more memory than one of a few hundred. The same records make the same bytes.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from buildbook.handover import editions
from buildbook.handover.chapters import chapters
from buildbook.handover.nodes import nodes, plain
from buildbook.handover.press import press
from buildbook.handover.volumes import Piece, split
from buildbook.media.picture import Picture, cached_name_of
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.words import show_date
from buildbook.records.memory import give_back
from buildbook.records.names import slugify

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Paper by the name a builder gives it, and by Typst's."""
STANDARD = "a-2a"
"""PDF/A-2, level A (ISO 19005-2): with its fonts, its structure, and words for its pictures."""
CAUTION = (
    "This book is a personal record and approves nothing. The plans, the designer's current "
    "revisions, service bulletins and the local aviation authority come first. Limits are shown "
    "for cross-checking."
)
PHOTO_EDGE = 800
"""Pixels: 300 to an inch for a photo as it stands beside another one."""
_FRONT = 3
"""Pages before the first chapter, about."""
_TABS = 16
"""Tabs down the edge of a page; after the last the first is used again."""


@dataclass(frozen=True, slots=True)
class Volume:
    """What was made."""

    file: Path
    pages: int
    without_glyph: int
    """Letters for which this machine has no font, shown as a question mark in a diamond."""


def set_book(
    context: Context,
    pictures: Mapping[str, Picture],
    cache: Path,
    to: Path,
    *,
    paper: str = "a4",
) -> list[Volume]:
    """Set an edition's PDF into the folder `to`.

    `pictures` are those that could be prepared, by file, and `cache` is the folder that holds them.
    `paper` is one of `PAPERS`. Raises CannotSetError, and OSError when something cannot be written.
    """
    cache.mkdir(parents=True, exist_ok=True)  # a book without pictures has none yet
    volumes = split(chapters(context))
    where = {
        path: number
        for number, volume in enumerate(volumes, 1)
        for piece in volume
        for entry in piece.entries
        for path in (*entry.anchors, *entry.inside)
    }
    name = file_name(context)
    made = []
    for number in range(1, len(volumes) + 1):
        of = f"-volume-{number}-of-{len(volumes)}" if len(volumes) > 1 else ""
        file = to / f"{name}{of}.pdf"
        data = _Volume(context, volumes, number, where).data(pictures, paper)
        give_back()
        pressed = press(data, cache, STANDARD, context.ledger.as_of, file)
        made.append(Volume(file, pressed.pages, pressed.without_glyph))
    return made


def file_name(context: Context) -> str:
    """Name the files of an edition: the book, and whom it is for."""
    title = slugify(context.book.file.title)[:60].strip("-") or "build-book"
    return f"{title}-{context.book.edition}"


class _Volume:
    """Gathers what the template of one volume wants to know."""

    def __init__(
        self, context: Context, volumes: list[list[Piece]], number: int, where: dict[str, int]
    ) -> None:
        self.context = context
        self.book = context.book
        self.volumes = volumes
        self.number = number
        self.where = where

    def data(self, pictures: Mapping[str, Picture], paper: str) -> dict[str, Any]:
        """Gather the data of the template."""
        book, several = self.book, len(self.volumes)
        here = self.volumes[self.number - 1]
        index = self._index()
        last = show_date(self.context.ledger.as_of) or "its beginning"
        edition = editions.title(book.edition)
        title = plain(book.file.title)
        return {
            "paper": PAPERS[paper],
            "title": title,
            "document": f"{title}, {edition}" + (f", {self.number}" if several > 1 else ""),
            "authors": [],
            "subtitle": self._subtitle(),
            "edition": edition,
            "cover": self._cover(last),
            "last": last,
            "caution": CAUTION,
            "disclaimer": nodes(self.context.prose.html(book.file.disclaimer)),
            "left-out": list(book.partial),
            "volume": self.number,
            "volumes": several,
            "shelf": [
                {"number": n, "holds": [_piece_words(piece) for piece in volume]}
                for n, volume in enumerate(self.volumes, 1)
            ],
            "anchors": {
                **{path: True for path, n in self.where.items() if n == self.number},
                **{paths.part(part["number"]): True for part in index},
            },
            "elsewhere": {path: n for path, n in self.where.items() if n != self.number},
            "places": self._guess(index),
            "pictures": {
                file: _printed(pictures[file])
                for piece in here
                for entry in piece.entries
                for file in entry.photos
                if file in pictures
            },
            "tabs": {
                str(n): (n - 1) % _TABS
                for n in (*(piece.number for piece in here), self._last_number + 1)
            },
            "chapters": [*map(_chapter, here), *self._index_chapter(index)],
        }

    def _guess(self, index: list[dict[str, Any]]) -> dict[str, tuple[int, float]]:
        """Guess the page of everything, so that numbers have their width from the first."""
        page = float(_FRONT)
        places: dict[str, tuple[int, float]] = {}
        for piece in self.volumes[self.number - 1]:
            page = math.floor(page) + 1.0
            for entry in piece.entries:
                places |= {path: (int(page), 0.0) for path in (*entry.anchors, *entry.inside)}
                page += entry.pages
        return {**places, **{paths.part(part["number"]): (int(page) + 1, 0.0) for part in index}}

    @property
    def _last_number(self) -> int:
        return max((piece.number for volume in self.volumes for piece in volume), default=0)

    def _subtitle(self) -> str:
        aircraft = self.book.file.aircraft
        named = f", \N{LEFT DOUBLE QUOTATION MARK}{aircraft.name}\N{RIGHT DOUBLE QUOTATION MARK}"
        return str(plain(aircraft.model + (named if aircraft.name else "")))

    def _cover(self, last: str) -> list[list[str]]:
        aircraft, book = self.book.file.aircraft, self.book
        builder = self.context.person_link(book.file.builder).text
        facts = (
            ("Designer", aircraft.designer),
            ("Serial number", aircraft.serial),
            ("Registration", aircraft.registration),
            ("Authority", aircraft.authority),
            ("Builder", builder),
            ("Last session", last if book.sessions else "none yet"),
            ("Sessions", f"{len(book.sessions):,}"),
        )
        return [[name, plain(value)] for name, value in facts if value]

    def _index(self) -> list[dict[str, Any]]:
        """List the parts that something in this volume is about."""
        links, found = self.context.ledger.links, []
        for number in sorted(self.book.parts):
            touching = links.of("parts", number)
            refs = [
                *map(paths.step, touching.steps),
                *map(paths.session, touching.sessions),
                *map(paths.squawk, touching.squawks),
                paths.part_sheet(number),
            ]
            volumes = {self.where[ref] for ref in refs if ref in self.where}
            last = self.number == len(self.volumes)
            if self.number in volumes or (last and not volumes):
                part = self.book.parts[number]
                facts = (part.plan, "-".join(filter(None, (part.material, part.temper))))
                found.append(
                    {
                        "number": number,
                        "name": plain(part.name),
                        "facts": plain(", ".join(filter(None, facts))),
                        "refs": [ref for ref in refs if self.where.get(ref) == self.number],
                        "volumes": sorted(volumes - {self.number}),
                    }
                )
        return found

    def _index_chapter(self, index: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
        if index:
            of = " of this volume" if len(self.volumes) > 1 else ""
            yield {
                "number": str(self._last_number + 1),
                "title": f"Index of parts{of}",
                "lead": "Pages on which a step, a session, a squawk or a sheet about the part "
                "begins.",
                "continued": False,
                "entries": [{"kind": "index", "group": "", "anchors": [], "data": index}],
            }


def _printed(picture: Picture) -> tuple[str, int, int]:
    """Give the derivative to print: its file in the cache, width and height in pixels."""
    fit = [d for d in picture.derivatives if max(d.width, d.height) <= PHOTO_EDGE]
    small = fit[-1] if fit else picture.derivatives[0]
    return cached_name_of(small), small.width, small.height


def _chapter(piece: Piece) -> dict[str, Any]:
    entries, group = [], ""
    for entry in piece.entries:
        new = entry.group if entry.group != group else ""
        group = entry.group
        entries.append(
            {
                "kind": entry.kind,
                "group": plain(new),
                "anchors": entry.anchors,
                "data": entry.make(),
            }
        )
    return {
        "number": str(piece.number),
        "title": piece.chapter.title,
        "lead": piece.chapter.lead,
        "continued": piece.continued,
        "entries": entries,
    }


def _piece_words(piece: Piece) -> str:
    """Say what is in a piece of a chapter: `2 Sessions, March 2025 to June 2026`."""
    groups = [entry.group for entry in piece.entries if entry.group]
    inside = ""
    if groups and piece.chapter.title == "Sessions":
        inside = f", {groups[0]}" + (f" to {groups[-1]}" if groups[-1] != groups[0] else "")
    return f"{piece.number} {piece.chapter.title}{inside}"
