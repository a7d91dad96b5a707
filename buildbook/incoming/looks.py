"""What pictures and clips look like, to find those that show the same as another.

Alike is what a perceptual hash hardly tells apart. The same work on the next piece looks much the
same too, so two that say they were taken minutes apart are not alike; nor are two clips of unlike
lengths.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.files import write_whole
from buildbook.media.clipstore import MOST_BYTES as CLIP_BYTES
from buildbook.media.engine import Original, open_original, render
from buildbook.media.exif import moment
from buildbook.media.folder import Folder
from buildbook.media.problems import BadPictureError
from buildbook.records.clip import CLIP_ENDINGS

if TYPE_CHECKING:
    from buildbook.media.clipfacts import ClipFacts

ALIKE = 6
"""Bits of 64 in which the perceptual hashes of two pictures of one thing may differ."""
APART = timedelta(minutes=2)
"""Two that were taken further apart than this show two things, however alike they look."""
_BITS, _TABLES = 64, ALIKE + 1
_HASHED_EDGE = 256  # pixels; the hash looks at 32
_LENGTHS = (0.04, 0.02)  # seconds, and share: what coding a clip anew may change of its length
_KEPT_AS = 1  # raise it whenever the same picture would get another look


@dataclass(frozen=True, slots=True)
class Look:
    """What one picture, or the frame that stands for a clip, looks like."""

    hash: int
    """64 bits; alike pictures differ in few of them."""
    taken: datetime | None
    """By the clock of the camera, without a zone."""
    seconds: float = 0.0
    """How long the clip is; 0 for a picture."""

    def is_like(self, other: "Look") -> bool:
        """Tell whether both show the same, as far as can be told."""
        if (self.hash ^ other.hash).bit_count() > ALIKE:
            return False
        if self.taken and other.taken and abs(self.taken - other.taken) > APART:
            return False
        few, share = _LENGTHS
        longer = max(self.seconds, other.seconds)
        return abs(self.seconds - other.seconds) <= (few + share * longer if longer else 0)


def look_of_picture(original: Original) -> Look:
    """Look at a picture. Raises BadPictureError when it cannot be decoded to its end."""
    taken = moment(original.exif)
    small = render(original, (_HASHED_EDGE,))[0].jpeg
    return Look(_hash(small), taken.local if taken else None)


def look_of_clip(path: Path, facts: "ClipFacts") -> Look:
    """Look at a clip: at the frame a third on. Raises BadPictureError when it cannot be decoded."""
    from buildbook.media.clips import poster  # noqa: PLC0415 - loads a large library

    small = poster(path, facts, facts.seconds / 3, ())[0].jpeg
    taken = facts.recorded.replace(tzinfo=None) if facts.recorded else None
    return Look(_hash(small), taken, facts.seconds)


def _hash(jpeg: bytes) -> int:
    import imagehash  # noqa: PLC0415 - slow to load
    from PIL import Image  # noqa: PLC0415

    return int(str(imagehash.phash(Image.open(BytesIO(jpeg)))), 16)


class Looks:
    """Many looks, among which those like another are found without comparing it with each.

    Of seven slices of the 64 bits, hashes that differ in six bits have at least one in common.
    """

    def __init__(self) -> None:
        self._tables: list[dict[int, list[int]]] = [defaultdict(list) for _ in range(_TABLES)]
        self._all: list[tuple[str, Look]] = []

    def add(self, file: str, look: Look) -> None:
        """Remember a look under a name."""
        for table, part in zip(self._tables, _slices(look.hash), strict=True):
            table[part].append(len(self._all))
        self._all.append((file, look))

    def like(self, look: Look) -> tuple[str, ...]:
        """Name those that look like it, in the order they were added."""
        near = {
            number
            for table, part in zip(self._tables, _slices(look.hash), strict=True)
            for number in table.get(part, ())
        }
        found = (self._all[number] for number in sorted(near))
        return tuple(file for file, other in found if other.is_like(look))


def _slices(value: int) -> list[int]:
    edges = [_BITS * n // _TABLES for n in range(_TABLES + 1)]
    return [value >> a & (1 << b - a) - 1 for a, b in pairwise(edges)]


Entry = tuple[int, int, Look | None]
"""A file's bytes, its time of change in nanoseconds, and its look; none when it cannot be used."""


def looks_of(
    folder: Path,
    files: Iterable[str],
    kept: Path,
    progress: Callable[[list[str]], Iterable[str]] = iter,
) -> Looks:
    """Look at files of a folder; looks are kept in the file `kept`, and only what is new is opened.

    `progress` gets the files that are to be opened, and gives them back one by one. What cannot be
    used is passed over, and `kept` may be missing, damaged, or in a place that cannot be written.
    """
    clips, pictures = Folder(folder, most=CLIP_BYTES), Folder(folder)
    stamps: dict[str, tuple[int, int]] = {}
    for file in sorted(files):
        with suppress(BadPictureError):
            found = (clips if _is_clip(file) else pictures).stat(file)
            stamps[file] = (found.st_size, found.st_mtime_ns)
    known = {f: entry for f, entry in _load(kept).items() if stamps.get(f) == entry[:2]}
    new = [file for file in stamps if file not in known]
    try:
        for file in progress(new):
            known[file] = (*stamps[file], _look(clips if _is_clip(file) else pictures, file))
    finally:  # whoever does not wait for the rest keeps what has been looked at
        if new:
            _save(kept, known)
    looks = Looks()
    for file in stamps:
        if look := known[file][2]:
            looks.add(file, look)
    return looks


def _look(inside: Folder, file: str) -> Look | None:
    with suppress(BadPictureError):
        if _is_clip(file):
            from buildbook.media.clipfacts import look_at  # noqa: PLC0415 - loads a large library

            path = inside.path(file)
            return look_of_clip(path, look_at(path))
        return look_of_picture(open_original(inside.read(file)))
    return None


def _is_clip(file: str) -> bool:
    return Path(file).suffix.lower() in CLIP_ENDINGS


def _load(kept: Path) -> dict[str, Entry]:
    try:
        data = json.loads(kept.read_bytes())
        if data["kept as"] != _KEPT_AS:
            return {}
        return {
            str(file): (int(size), int(changed), _look_from(*look) if look else None)
            for file, (size, changed, look) in data["looks"].items()
        }
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}  # nothing is lost: they are all looked at again


def _look_from(hashed: str, taken: str, seconds: float) -> Look:
    return Look(int(hashed, 16), datetime.fromisoformat(taken) if taken else None, float(seconds))


def _save(kept: Path, entries: dict[str, Entry]) -> None:
    looks = {
        file: (size, changed, look and (f"{look.hash:x}", _iso(look.taken), look.seconds))
        for file, (size, changed, look) in entries.items()
    }
    with suppress(OSError):  # looked at again the next time
        kept.parent.mkdir(parents=True, exist_ok=True)
        data = json.dumps({"kept as": _KEPT_AS, "looks": looks})
        write_whole(kept, data.encode(), durable=False)


def _iso(taken: datetime | None) -> str:
    return taken.isoformat() if taken else ""
