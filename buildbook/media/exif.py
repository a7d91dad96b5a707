"""Exif: the moment a photo was taken.

Layout and tags after JEITA CP-3451 (Exif), 4.6: a TIFF header, IFD0, and the Exif IFD with
DateTimeOriginal (0x9003) and OffsetTimeOriginal (0x9011, often absent).
"""

import re
import struct
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone, tzinfo

_EXIF_IFD, _DATE_TIME_ORIGINAL, _OFFSET_TIME_ORIGINAL = 0x8769, 0x9003, 0x9011
_MAKE, _MODEL = 0x010F, 0x0110
_ASCII, _LONG = 2, 4
_ENTRY = 12  # bytes: tag, type, count, value or its offset
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
    data = exif.removeprefix(b"Exif\0\0")
    order = {b"II": "<", b"MM": ">"}.get(data[:2])
    if order is None:
        return None
    try:
        (first,) = struct.unpack_from(f"{order}4xI", data)
        where = _entries(data, order, first).get(_EXIF_IFD)
        if where is None or where[0] != _LONG:
            return None
        found = _entries(data, order, where[2])
    except struct.error:
        return None
    local = _date_time(_text(data, found.get(_DATE_TIME_ORIGINAL)))
    if local is None:
        return None
    return Moment(local, _offset(_text(data, found.get(_OFFSET_TIME_ORIGINAL))))


Entry = tuple[int, int, int, int]
"""Type, count, value or offset, and where in the data that value stands."""


def _entries(data: bytes, order: str, start: int) -> dict[int, Entry]:
    (count,) = struct.unpack_from(f"{order}H", data, start)
    found: dict[int, Entry] = {}
    for at in range(start + 2, min(start + 2 + count * _ENTRY, len(data) - _ENTRY + 1), _ENTRY):
        tag, kind, size, value = struct.unpack_from(f"{order}HHII", data, at)
        found.setdefault(tag, (kind, size, value, at + 8))
    return found


def _text(data: bytes, entry: Entry | None) -> str:
    if entry is None or entry[0] != _ASCII:
        return ""
    _, size, offset, here = entry
    start = here if size <= 4 else offset  # noqa: PLR2004 - four bytes fit in the entry itself
    return data[start : start + min(size, 64)].split(b"\0")[0].decode("ascii", "replace").strip()


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


def camera(exif: bytes) -> str:
    """Read maker and model of the camera, as `Lumen Pocket 3`; empty when they are not there."""
    data = exif.removeprefix(b"Exif\0\0")
    order = {b"II": "<", b"MM": ">"}.get(data[:2])
    if order is None:
        return ""
    try:
        (first,) = struct.unpack_from(f"{order}4xI", data)
        found = _entries(data, order, first)
    except struct.error:
        return ""
    maker, model = (_text(data, found.get(tag)) for tag in (_MAKE, _MODEL))
    shown = model if model.startswith(maker) else f"{maker} {model}"
    return " ".join("".join(c for c in shown if c.isprintable()).split())
