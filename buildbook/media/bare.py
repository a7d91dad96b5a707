"""JPEG files taken apart: the picture as it was coded, without anything written beside it.

Layout after ITU-T T.81 (JPEG), annex B: segments of a marker, a length and what they hold, and
the coded picture itself after each start of scan. The small Exif block that turns a picture
upright is JEITA CP-3451, 4.5 and 4.6.4.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass

_START, _END, _SCAN, _COMMENT = 0xD8, 0xD9, 0xDA, 0xFE
_APPS = range(0xE0, 0xF0)
_ADOBE = 0xEE  # says how the colours are coded; without it some pictures come out wrong
_RESTARTS = range(0xD0, 0xD8)
_FRAMES = (0xC0, 0xC1, 0xC2)  # baseline, extended and progressive: what browsers show
_LOSSLESS = (0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF)
_JFIF = b"\xff\xe0\x00\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
_UPRIGHT = 1


@dataclass(frozen=True, slots=True)
class Frame:
    """How large a coded picture is."""

    width: int
    """Pixels."""
    height: int
    """Pixels."""
    bits: int
    """Of each colour."""
    colours: int


def frame_of(jpeg: bytes) -> Frame | None:
    """Read the size of a JPEG that browsers can show; None for any other, as a lossless one."""
    try:
        for marker, start, end in _segments(jpeg):
            if marker in _FRAMES:
                bits, height, width, colours = struct.unpack_from(">BHHB", jpeg[start:end])
                return Frame(width, height, bits, colours)
            if marker in _LOSSLESS:
                return None
    except (ValueError, struct.error):
        pass
    return None


def bare(jpeg: bytes, orientation: int = _UPRIGHT) -> bytes:
    """Give a JPEG without metadata, comments, embedded copies and whatever stands after its end.

    The coded picture stays as it is, bit for bit. `orientation` is written into it as Exif's tag
    of that name, when there is something to turn; nothing else is. Raises ValueError when the
    file cannot be followed to its end.
    """
    kept = [b"\xff\xd8", _JFIF if not _is_adobe(jpeg) else b""]
    if orientation != _UPRIGHT:
        kept.append(_orientation(orientation))
    for marker, start, end in _segments(jpeg):
        if (marker in _APPS and marker != _ADOBE) or marker == _COMMENT:
            continue
        held = jpeg[start:end]
        if marker == _ADOBE:
            if not held.startswith(b"Adobe"):
                continue
            held = held[:12]
        kept.append(struct.pack(">BBH", 0xFF, marker, len(held) + 2) + held)
        if marker == _SCAN:
            kept.append(jpeg[end : _scan_end(jpeg, end)])
    kept.append(b"\xff\xd9")
    return b"".join(kept)


def _segments(jpeg: bytes) -> Iterator[tuple[int, int, int]]:
    """Yield marker, start and end of what each segment holds, up to the end of the picture."""
    if not jpeg.startswith(b"\xff\xd8"):
        raise ValueError("no JPEG")
    at = 2
    while True:
        while jpeg[at : at + 2] == b"\xff\xff":  # any marker may have such before it
            at += 1
        if at + 2 > len(jpeg) or jpeg[at] != 0xFF:  # noqa: PLR2004 - every marker begins so
            raise ValueError("a marker is missing")
        marker = jpeg[at + 1]
        if marker == _END:
            return
        if at + 4 > len(jpeg):
            raise ValueError("cut short")
        (size,) = struct.unpack_from(">H", jpeg, at + 2)
        end = at + 2 + size
        if marker in {_START, 0, 1, *_RESTARTS} or end > len(jpeg) or size < 2:  # noqa: PLR2004
            raise ValueError("a marker where none may be")
        yield marker, at + 4, end
        at = _scan_end(jpeg, end) if marker == _SCAN else end


def _scan_end(jpeg: bytes, start: int) -> int:
    """Find the marker after a coded picture: in it 0xFF is followed by 0 or a restart marker."""
    at = jpeg.find(b"\xff", start)
    while 0 <= at < len(jpeg) - 1:
        follows = jpeg[at + 1]
        if follows and follows not in _RESTARTS and follows != 0xFF:  # noqa: PLR2004
            return at
        at = jpeg.find(b"\xff", at + (1 if follows == 0xFF else 2))  # noqa: PLR2004
    raise ValueError("cut short")


def _is_adobe(jpeg: bytes) -> bool:
    return any(m == _ADOBE and jpeg[s:e].startswith(b"Adobe") for m, s, e in _segments(jpeg))


def _orientation(value: int) -> bytes:
    """Write an Exif segment that holds one tag, Orientation (0x0112)."""
    tiff = b"MM\0*\0\0\0\x08" + struct.pack(">HHHIHHI", 1, 0x0112, 3, 1, value, 0, 0)
    held = b"Exif\0\0" + tiff
    return struct.pack(">BBH", 0xFF, 0xE1, len(held) + 2) + held
