"""When a photo was taken."""

from datetime import datetime, tzinfo
from pathlib import Path

from buildbook.media.engine import open_original
from buildbook.media.exif import moment
from buildbook.media.problems import BadPictureError


def taken(path: Path, zone: tzinfo) -> datetime | None:
    """Read when a photo was taken, with its time zone.

    The camera's own offset from UTC counts; without one its clock is held to show the time of
    `zone` (the book's). None when the photo does not say, or cannot be read.
    """
    try:
        original = open_original(path.read_bytes())
    except (OSError, BadPictureError):
        return None
    found = moment(original.exif)
    return found.within(zone) if found else None
