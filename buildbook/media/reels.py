"""Reels: what a film is made from, a clip or a folder of stills, shown at a pace of its own."""

import re
from collections.abc import Iterator
from datetime import date, datetime, tzinfo
from pathlib import Path
from typing import Protocol

import pyvips
from PIL import Image

from buildbook.media.clipfacts import look_at, opened
from buildbook.media.engine import decoded, open_original
from buildbook.media.exif import moment
from buildbook.media.frames import Upright, fitted, frames_at
from buildbook.media.problems import COPY_AGAIN, BadPictureError, damaged
from buildbook.records.photo import PICTURE_ENDINGS

_COARSE = 0.5  # seconds from one picture to the next: half of that is not seen
GROUND = (17, 17, 17)
"""Colour round a picture that has another shape than the film."""


class Reel(Protocol):
    """Moving pictures of a certain length."""

    name: str
    """Of the file or folder."""
    shape: tuple[int, int]
    """Width and height of its pictures, upright, in pixels; of stills those of most of them."""
    seconds: float
    """How long it lasts as it was filmed; of stills their count."""
    unit: str
    """What `seconds` counts."""

    def day(self, zone: tzinfo) -> date | None:
        """Tell the date it was taken; None when it does not say."""

    def pictures(self, size: tuple[int, int], count: int) -> Iterator[Image.Image]:
        """Yield so many pictures of it, evenly spread over its length, fitted into that size."""


def open_reel(path: Path) -> Reel:
    """Open a clip, or a folder of stills. Raises BadPictureError, and OSError."""
    return Stills(path) if path.is_dir() else ClipReel(path)


class ClipReel:
    """A clip."""

    unit = "seconds"

    def __init__(self, path: Path) -> None:
        self.name = path.name
        self._path = path
        self._facts = look_at(path, longest=None)
        self.shape = (self._facts.width, self._facts.height)
        self.seconds = self._facts.seconds

    def day(self, zone: tzinfo) -> date | None:
        """Tell the date it was recorded."""
        recorded = self._facts.recorded
        return recorded.astimezone(zone).date() if recorded else None

    def pictures(self, size: tuple[int, int], count: int) -> Iterator[Image.Image]:
        """Yield pictures of it; where they are far apart, only its key frames are decoded."""
        inner = within(self.shape, size)
        step = self.seconds / count
        slack = step if step >= _COARSE else 0.0
        shown: tuple[object, Image.Image] | None = None
        with opened(self._path) as (_, stream):
            upright = Upright(stream, self._facts, inner, pixels="rgb24")
            for frame in frames_at(self._path, (i * step for i in range(count)), slack=slack):
                if shown is None or shown[0] is not frame:
                    picture: Image.Image = upright.of(frame).to_image()  # type: ignore[no-untyped-call]
                    shown = frame, placed(picture, size)
                yield shown[1]


class Stills:
    """The pictures of a folder, in the order they were taken, or else of their names."""

    unit = "pictures"

    def __init__(self, folder: Path) -> None:
        self.name = folder.name
        found = sorted(
            (p for p in folder.iterdir() if p.suffix.lower() in PICTURE_ENDINGS), key=_by_name
        )
        if not found:
            said = "has no pictures in it"
            raise BadPictureError("no-pictures", said, "name a folder of stills, or a clip")
        self.skipped: list[tuple[str, str]] = []
        """Those that cannot be used, and why."""
        seen = []
        for path in found:
            try:
                original = open_original(path.read_bytes())
            except BadPictureError as problem:
                self.skipped.append((path.name, problem.wrong))
                continue
            told = moment(original.exif)
            seen.append((path, (original.width, original.height), told.local if told else None))
        if not seen:
            raise BadPictureError("no-pictures", "has no picture that can be read", COPY_AGAIN)
        if all(local for _, _, local in seen):
            seen.sort(key=lambda one: one[2] or datetime.max)  # noqa: DTZ901 - all have one
        self._paths = [path for path, _, _ in seen]
        self._first = seen[0][2]
        shapes = [shape for _, shape, _ in seen]
        self.shape = max(shapes, key=shapes.count)
        self.seconds = float(len(seen))

    def day(self, zone: tzinfo) -> date | None:
        """Tell the date the first of them was taken."""
        del zone  # a camera's clock shows the time of where it is
        return self._first.date() if self._first else None

    def pictures(self, size: tuple[int, int], count: int) -> Iterator[Image.Image]:
        """Yield the stills, each as often as its turn takes; some are left out of very many.

        In place of one that cannot be decoded the one before goes on. Raises BadPictureError when
        none can be.
        """
        shown, held = None, Image.new("RGB", size, GROUND)
        good = False
        for i in range(count):
            path = self._paths[i * len(self._paths) // count]
            if shown != path:
                shown = path
                try:
                    held, good = placed(_still(path, max(size)), size), True
                except BadPictureError as problem:
                    self.skipped.append((path.name, problem.wrong))
            yield held
        if not good:
            raise damaged()


def _still(path: Path, edge: int) -> Image.Image:
    image: pyvips.Image = decoded(open_original(path.read_bytes()), edge)
    if image.bands == 1:
        image = image.colourspace("srgb")
    return Image.frombuffer("RGB", (image.width, image.height), image.write_to_memory())


def placed(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Put a picture in the middle of a ground of that size, whole, and made smaller if need be."""
    if picture.size == size:
        return picture
    inner = within(picture.size, size)
    if picture.size != inner:
        picture = picture.resize(inner, Image.Resampling.LANCZOS)
    ground = Image.new("RGB", size, GROUND)
    ground.paste(picture, ((size[0] - inner[0]) // 2, (size[1] - inner[1]) // 2))
    return ground


def within(shape: tuple[int, int], size: tuple[int, int]) -> tuple[int, int]:
    """Give the largest even size of that shape that fits into `size`."""
    share = min(size[0] / shape[0], size[1] / shape[1])
    inner = fitted(round(shape[0] * share), round(shape[1] * share), max(size))
    return min(inner[0], size[0]), min(inner[1], size[1])


def _by_name(path: Path) -> list[tuple[int, str]]:
    """Order names as people do: `img9` before `img10`."""
    parts = re.split(r"(\d+)", path.name.casefold())
    return [(int(part), "") if part.isdigit() else (0, part) for part in parts]
