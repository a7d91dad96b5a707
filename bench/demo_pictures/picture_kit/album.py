"""The table of pictures: each entry says when, where and what, and how its scene is filled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from collections.abc import Callable

    from picture_kit.stage import Stage, View

ZONE = ZoneInfo("Europe/Copenhagen")
UPRIGHT, TURN_RIGHT, TURN_LEFT = 1, 6, 8
"""The orientation tag of the Exif standard: what a viewer has to do to show the picture upright."""


@dataclass(frozen=True)
class Picture:
    """One picture of the demo book."""

    file: str
    """Path below the photos folder, `YYYY/MM/<slug>.jpg`."""
    taken: datetime
    """Local time with its offset."""
    seen: str
    """What is in it, in one sentence."""
    view: View
    orientation: int
    at_sea: tuple[float, float] | None
    """Latitude and longitude out in open water, or no position at all."""
    fill: Callable[[Stage], None]

    @property
    def evening(self) -> bool:
        """Whether the lamps are lit and the windows dark."""
        return self.taken.hour >= 18


ALBUM: list[Picture] = []


def picture(
    slug: str,
    taken: str,
    seen: str,
    view: View,
    *,
    orientation: int = UPRIGHT,
    at_sea: tuple[float, float] | None = None,
) -> Callable[[Callable[[Stage], None]], Callable[[Stage], None]]:
    """Enter a scene in the album; the function it decorates fills the stage."""
    when = datetime.fromisoformat(taken).replace(tzinfo=ZONE)

    def enter(fill: Callable[[Stage], None]) -> Callable[[Stage], None]:
        file = f"{when:%Y/%m}/{slug}.jpg"
        ALBUM.append(Picture(file, when, seen, view, orientation, at_sea, fill))
        return fill

    return enter
