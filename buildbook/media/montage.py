"""Montage: clips of one operation side by side, so that several hours become two minutes."""

import math
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from buildbook.media.filmwriter import film
from buildbook.media.reels import GROUND, Reel
from buildbook.media.timelapse import RATE, Progress

MOST = 16
"""As many clips can be told apart on one film."""

_FONT = Path(__file__).parents[1] / "handover" / "fonts" / "AtkinsonHyperlegibleNext-Regular.ttf"
_GAP = 4  # pixels between the pictures
_INK = (240, 240, 240)
_CAPTION = 0.075  # height of a caption, as a share of the picture's


def grid(count: int, shape: tuple[int, int], edge: int, columns: int | None) -> "Grid":
    """Lay out so many pictures of one shape on a film whose longest side is `edge` pixels.

    Without `columns` as many stand side by side as make a film near to 16:9 with little left empty.
    """
    if columns is None:
        columns = min(range(1, count + 1), key=lambda n: _unfit(n, count, shape[0] / shape[1]))
    rows = math.ceil(count / columns)
    width = (edge - _GAP * (columns - 1)) // columns
    height = round(width * shape[1] / shape[0])
    line = max(16, round(height * _CAPTION))
    whole = rows * (height + line) + _GAP * (rows - 1)
    if whole > edge:
        share = (edge - _GAP * (rows - 1) - rows * line) / (rows * height)
        width, height = round(width * share), round(height * share)
    return Grid(columns, rows, (width // 2 * 2, height // 2 * 2), line // 2 * 2)


def _unfit(columns: int, count: int, wide: float) -> float:
    rows = math.ceil(count / columns)
    return abs(math.log(columns * wide / rows / (16 / 9))) + (columns * rows - count) / count


class Grid:
    """Where the pictures stand: columns, rows, the size of a picture, the height of its caption."""

    def __init__(self, columns: int, rows: int, tile: tuple[int, int], line: int) -> None:
        self.columns, self.rows, self.tile, self.line = columns, rows, tile, line

    @property
    def size(self) -> tuple[int, int]:
        """Of the whole, in pixels, both even."""
        width = self.columns * self.tile[0] + (self.columns - 1) * _GAP
        height = self.rows * (self.tile[1] + self.line) + (self.rows - 1) * _GAP
        return width, height

    def corner(self, number: int) -> tuple[int, int]:
        """Give where a picture begins, by its place from 0."""
        row, column = divmod(number, self.columns)
        return column * (self.tile[0] + _GAP), row * (self.tile[1] + self.line + _GAP)


def montage(
    reels: Sequence[Reel],
    captions: Sequence[str],
    to: Path,
    *,
    seconds: float,
    edge: int,
    columns: int | None = None,
    same_speed: bool = False,
    progress: Progress | None = None,
) -> tuple[int, int]:
    """Write a film of all reels at once; give its size in pixels.

    Each fills the whole of `seconds`; with `same_speed` all run as fast as the longest, and the
    others end before. `to` must not be there yet, and is there whole or not at all. Raises
    BadPictureError and OSError.
    """
    shapes = [reel.shape for reel in reels]
    laid = grid(len(reels), max(shapes, key=shapes.count), edge, columns)
    count = max(1, round(seconds * RATE))
    longest = max(reel.seconds for reel in reels)
    counts = [
        max(1, round(count * reel.seconds / longest)) if same_speed else count for reel in reels
    ]
    running = [reel.pictures(laid.tile, frames) for reel, frames in zip(reels, counts, strict=True)]
    canvas = Image.new("RGB", laid.size, GROUND)
    _write(canvas, laid, captions)
    with film(to, laid.size, RATE) as made:
        for done in range(1, count + 1):
            for number, pictures in enumerate(running):
                picture = next(pictures, None)
                if picture is not None:  # one that has ended stays as it was
                    canvas.paste(picture, laid.corner(number))
            made.add(canvas)
            if progress:
                progress(done, count)
    return laid.size


def _write(canvas: Image.Image, laid: Grid, captions: Sequence[str]) -> None:
    drawn = ImageDraw.Draw(canvas)
    font = ImageFont.truetype(str(_FONT), round(laid.line * 0.72))
    for number, caption in enumerate(captions):
        left, top = laid.corner(number)
        room = laid.tile[0] - 8
        while caption and drawn.textlength(caption, font) > room:
            caption = caption[:-2].rstrip(" …") + "…" if len(caption) > 2 else ""  # noqa: PLR2004, PLW2901
        middle = top + laid.tile[1] + laid.line // 2
        drawn.text((left + 4, middle), caption, fill=_INK, font=font, anchor="lm")
