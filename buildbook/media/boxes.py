"""Boxes of an MP4 or MOV clip: what can be told of it without decoding a frame.

Layout after ISO/IEC 14496-12 (the ISO base media file format), 4.2 and 8.2.2; QuickTime files are
built the same way.
"""

import os
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

_HEADER, _LARGE_HEADER = 8, 16  # bytes: size and name, and a size that takes eight more
_MOST = 4096  # boxes looked at on one level: real clips have a dozen, long streams some hundred
_NAMES = frozenset(b"ftyp moov mdat moof free skip wide pnot uuid meta styp sidx mfra udta".split())
_FIRST = frozenset(b"ftyp moov mdat free skip wide pnot".split())


@dataclass(frozen=True, slots=True)
class Box:
    """One box: where it stands in its file, in bytes."""

    name: bytes
    """Four letters."""
    start: int
    """Of what is in it."""
    end: int
    """As it says itself, which may be past the end of a file that was cut short."""


def boxes(file: BinaryIO, start: int, end: int) -> Iterator[Box]:
    """Yield the boxes between two places of a file; ends at the first thing that is no box."""
    at = start
    for _ in range(_MOST):
        if at + _HEADER > end:
            return
        file.seek(at)
        head = file.read(_LARGE_HEADER)
        if len(head) < _HEADER:
            return
        size, name = struct.unpack_from(">I4s", head)
        body = at + _HEADER
        if size == 1 and len(head) == _LARGE_HEADER:
            (size,) = struct.unpack_from(">Q", head, _HEADER)
            body = at + _LARGE_HEADER
        elif size == 0:  # the last one may leave its size open
            size = end - at
        if at + size < body:
            return
        yield Box(name, body, at + size)
        at += size


def inside(file: BinaryIO, path: tuple[bytes, ...]) -> Box | None:
    """Find a box by the names on the way to it, as `(b"moov", b"mvhd")`; the first of each name."""
    found = Box(b"", 0, _size(file))
    for name in path:
        end = min(found.end, _size(file))
        box = next((b for b in boxes(file, found.start, end) if b.name == name), None)
        if box is None:
            return None
        found = box
    return found


def is_clip(start: bytes) -> bool:
    """Tell by its first 12 bytes whether a file may be an MP4 or MOV clip, and not a picture."""
    return start[4:8] in _FIRST and start[4:12] not in _STILLS


_STILLS = frozenset(b"ftyp" + brand for brand in b"heic heix heim heis mif1 msf1 avif avis".split())


def is_whole(file: BinaryIO) -> bool:
    """Tell whether all of a clip is there: its index, and no outer box reaching past its end."""
    end = _size(file)
    outer = [box for box in boxes(file, 0, end) if box.name in _NAMES]
    return any(box.name == b"moov" for box in outer) and all(box.end <= end for box in outer)


def length(path: Path) -> float | None:
    """Read how long a clip is, in seconds; None when it does not say or cannot be read."""
    try:
        with path.open("rb") as file:
            box = inside(file, (b"moov", b"mvhd"))
            if box is None:
                return None
            file.seek(box.start)
            return _length(file.read(32))
    except OSError:
        return None


def _length(header: bytes) -> float | None:
    """Read a movie header: version, two dates, time scale, duration; in version 1 twice as wide."""
    form, at, unknown = (">IQ", 20, 2**64 - 1) if header[:1] == b"\1" else (">II", 12, 2**32 - 1)
    try:
        scale, duration = struct.unpack_from(form, header, at)
    except struct.error:
        return None
    return duration / scale if scale and 0 < duration < unknown else None


def _size(file: BinaryIO) -> int:
    return os.fstat(file.fileno()).st_size
