"""Dividing the printed book into volumes that can be set in a bounded amount of memory."""

import math
from collections.abc import Collection
from dataclasses import dataclass

from buildbook.handover.chapters import Chapter
from buildbook.handover.entries import Entry

MOST_MEMORY = 390
"""Megabytes that setting a volume may take, about: above it the book goes on in another."""
_FIXED, _OF_PAGE, _OF_PHOTO, _OF_CELL = 60, 2.2, 1.5, 0.015
"""Megabytes that any volume takes, a page, a photo and a cell of a large table, as measured."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A chapter, or as much of it as is in one volume."""

    number: int
    chapter: Chapter
    entries: list[Entry]
    continued: bool
    """Its beginning is in an earlier volume."""


def split(whole: list[Chapter], most: float = MOST_MEMORY) -> list[list[Piece]]:
    """Divide chapters into volumes of about the same size, none of which takes too much memory.

    The order stays. Where it can, a volume ends with a chapter, or with a month or a section.
    """
    shelf = _Shelf(whole, most - _FIXED)
    for number, chapter in enumerate(whole, 1):
        for at, entry in enumerate(chapter.entries):
            shelf.put(number, chapter, at, entry)
    return shelf.volumes


class _Shelf:
    """Fills volumes one after the other."""

    def __init__(self, whole: list[Chapter], most: float) -> None:
        self.most = most
        self.left = sum(_weight(e, set()) for chapter in whole for e in chapter.entries)
        self.volumes: list[list[Piece]] = [[]]
        self.weight = 0.0
        self.photos: set[str] = set()
        self.group = ""

    def put(self, number: int, chapter: Chapter, at: int, entry: Entry) -> None:
        """Put an entry into the last volume, or into a new one."""
        weight = _weight(entry, self.photos)
        if self.weight and self._is_full(weight, at, entry):
            self.volumes.append([])
            self.weight, self.photos = 0.0, set()
            weight = _weight(entry, set())
        self.group = entry.group
        self.weight += weight
        self.left -= _weight(entry, set())
        self.photos |= set(entry.photos)
        volume = self.volumes[-1]
        if volume and volume[-1].number == number:
            volume[-1].entries.append(entry)
        else:
            volume.append(Piece(number, chapter, [entry], continued=at > 0))

    def _is_full(self, weight: float, at: int, entry: Entry) -> bool:
        whole = self.weight + self.left
        target = whole / max(1, math.ceil(whole / self.most))
        if self.weight + weight > self.most:
            return True
        if target > self.most or whole <= self.most:
            return False
        opens = entry.group != self.group or entry.kind == "section"
        return self.weight + weight > target * (0.8 if at == 0 else 0.9 if opens else 1.0)


def _weight(entry: Entry, there: Collection[str]) -> float:
    """Tell how many megabytes an entry takes; a photo that is `there` takes no more."""
    new = sum(photo not in there for photo in set(entry.photos))
    return entry.pages * _OF_PAGE + new * _OF_PHOTO + entry.cells * _OF_CELL
