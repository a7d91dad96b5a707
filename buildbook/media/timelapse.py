"""Time-lapse: hours of work in a minute, from a clip or from a folder of stills."""

from collections.abc import Callable
from pathlib import Path

from buildbook.media.filmwriter import film
from buildbook.media.frames import fitted
from buildbook.media.reels import Reel

RATE = 25
"""Frames a second."""
STILLS_A_SECOND = 8
"""As many stills go by in a second, where nothing else is asked for."""
SPEED = 60.0
"""So many times as fast as it was filmed, where nothing else is asked for: an hour in a minute."""

Progress = Callable[[int, int], None]
"""Told after each frame how many are done, and of how many."""


def lasting(reel: Reel, *, seconds: float | None = None, speed: float | None = None) -> float:
    """Give how long a time-lapse lasts, in seconds: as asked for, or at the usual pace.

    `speed` is how many times as fast as it was filmed a clip runs, or how many stills go by in a
    second.
    """
    if seconds is not None:
        return seconds
    usual = STILLS_A_SECOND if reel.unit == "pictures" else SPEED
    return reel.seconds / (speed or usual)


def time_lapse(
    reel: Reel, to: Path, *, seconds: float, edge: int, progress: Progress | None = None
) -> tuple[int, int]:
    """Write a film of the whole reel that lasts so long; give its size in pixels.

    `to` must not be there yet, and is there whole or not at all. Raises BadPictureError and
    OSError.
    """
    size = fitted(*reel.shape, edge)
    count = max(1, round(seconds * RATE))
    with film(to, size, RATE) as made:
        for done, picture in enumerate(reel.pictures(size, count), 1):
            made.add(picture)
            if progress:
                progress(done, count)
    return size
