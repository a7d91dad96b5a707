"""What stands for a clip before it is played: a picture of it, and a short silent preview."""

from io import BytesIO
from pathlib import Path

from PIL.Image import Image

from buildbook.media.clipfacts import ClipFacts, opened
from buildbook.media.engine import Box, Rendered, open_original, render
from buildbook.media.filmwriter import PRESET, QUALITY, film
from buildbook.media.frames import Upright, fitted, frames_at
from buildbook.media.picture import SETTINGS as PICTURE_SETTINGS
from buildbook.media.picture import edges
from buildbook.media.publishing import EDGE

PREVIEW_EDGE = 400
"""Longest side of a preview, in pixels: that of the small pictures it takes the place of."""

_MADE_AS = 1  # raise it whenever the same original would come out otherwise
SETTINGS = f"{_MADE_AS} {EDGE} {PREVIEW_EDGE} {PRESET} q{QUALITY} {PICTURE_SETTINGS}"
"""All that shapes what is made of a clip besides its original."""

_PREVIEW_RATE = 10  # frames a second
_PREVIEW_SECONDS = 4
_PIECES = 4  # of a long clip shown in its preview, one after the other


def poster(path: Path, facts: ClipFacts, at: float, hidden: tuple[Box, ...]) -> list[Rendered]:
    """Make the picture of a clip at a time, in seconds, as JPEGs from small to large.

    Raises as `frames_at` does.
    """
    size = fitted(facts.width, facts.height, EDGE)
    with opened(path) as (_, stream):
        frame = Upright(stream, facts, size, pixels="rgb24").of(next(frames_at(path, [at])))
    held = BytesIO()
    image: Image = frame.to_image()  # type: ignore[no-untyped-call]
    image.save(held, "PNG", compress_level=1)
    return render(open_original(held.getvalue()), edges(*size), hidden)


def preview(path: Path, to: Path, facts: ClipFacts, hidden: tuple[Box, ...]) -> tuple[int, int]:
    """Write a silent film of a few seconds from all over the clip; give its size in pixels.

    Raises as `frames_at` does, and OSError when it cannot be written.
    """
    size = fitted(facts.width, facts.height, PREVIEW_EDGE)
    with opened(path) as (_, stream), film(to, size, _PREVIEW_RATE) as made:
        upright = Upright(stream, facts, size, hidden=hidden)
        for frame in frames_at(path, preview_times(facts.seconds)):
            made.add(upright.of(frame))
    return size


def preview_times(seconds: float) -> list[float]:
    """List the times shown in a preview: all of a short clip, a few pieces of a longer one."""
    if seconds <= _PREVIEW_SECONDS:
        return [i / _PREVIEW_RATE for i in range(max(1, int(seconds * _PREVIEW_RATE)))]
    piece = _PREVIEW_SECONDS / _PIECES
    starts = [(seconds - piece) * k / (_PIECES - 1) for k in range(_PIECES)]
    steps = range(int(piece * _PREVIEW_RATE))
    return [start + i / _PREVIEW_RATE for start in starts for i in steps]
