"""Exif: the moment a photo was taken, and the camera.

Tags after JEITA CP-3451 (Exif), 4.6: the first directory of a TIFF, and the Exif directory with
DateTimeOriginal (0x9003) and OffsetTimeOriginal (0x9011, often absent).
"""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone, tzinfo

from buildbook.media.tiff import Entry, Tiff
from buildbook.printable import printable

_EXIF_IFD, _DATE_TIME_ORIGINAL, _OFFSET_TIME_ORIGINAL = 0x8769, 0x9003, 0x9011
_MAKE, _MODEL = 0x010F, 0x0110
_MOST_HOURS, _FIRST_YEAR = 14, 1900  # no clock is further from UTC; no digital date is older


@dataclass(frozen=True, slots=True)
class Moment:
    """A capture time as the camera wrote it."""

    local: datetime
    """Time on the camera's clock, without a zone."""
    offset: timedelta | None
    """Distance of that clock from UTC, when the camera says it."""

    def within(self, zone: tzinfo) -> datetime:
        """Give the time with its zone: the camera's own offset, or else the zone given."""
        if self.offset is None:
            return self.local.replace(tzinfo=zone)
        return self.local.replace(tzinfo=timezone(self.offset))


def moment(exif: bytes) -> Moment | None:
    """Read the capture time from Exif data, with or without its `Exif` prefix, or a TIFF file.

    None when it is not there, was never set (`0000:00:00 00:00:00`), or cannot be made out.
    """
    tiff, first = _opened(exif)
    if tiff is None:
        return None
    inner = tiff.inner(first.get(_EXIF_IFD))
    # A DNG may have it in its first directory (TIFF/EP, ISO 12234-2).
    for found in (inner, first):
        local = _date_time(tiff.text(found.get(_DATE_TIME_ORIGINAL)))
        if local:
            return Moment(local, _offset(tiff.text(inner.get(_OFFSET_TIME_ORIGINAL))))
    return None


def camera(exif: bytes) -> str:
    """Read maker and model of the camera, as `Lumen Pocket 3`; empty when they are not there."""
    tiff, first = _opened(exif)
    if tiff is None:
        return ""
    maker, model = (tiff.text(first.get(tag)) for tag in (_MAKE, _MODEL))
    return camera_name(maker, model)


def camera_name(maker: str, model: str) -> str:
    """Name a camera as `Lumen Pocket 3`: many put their maker into the model too."""
    shown = model if model.startswith(maker) else f"{maker} {model}"
    return " ".join(printable(shown, "").split())


def _opened(exif: bytes) -> tuple[Tiff | None, dict[int, Entry]]:
    try:
        tiff = Tiff(exif.removeprefix(b"Exif\0\0"))
    except ValueError:
        return None, {}
    return tiff, tiff.directory(tiff.first)[0]


def _date_time(text: str) -> datetime | None:
    if not (found := re.fullmatch(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)", text)):
        return None
    try:
        local = datetime(*(int(part) for part in found.groups()))  # type: ignore[arg-type]  # noqa: DTZ001
    except ValueError:
        return None
    return local if local.year >= _FIRST_YEAR else None


def _offset(text: str) -> timedelta | None:
    if not (found := re.fullmatch(r"([+-])(\d\d):([0-5]\d)", text)) or int(found[2]) > _MOST_HOURS:
        return None
    size = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return -size if found[1] == "-" else size
