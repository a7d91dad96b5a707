"""DNG, the open raw format: the picture that the camera made of it and put inside.

A DNG is a TIFF whose first directory has the tag DNGVersion; the raw picture and its previews stand
in further directories (Digital Negative Specification 1.4, chapters 2 and 4: SubIFD trees,
NewSubFileType, previews compressed as baseline JPEG).
"""

from collections.abc import Iterator
from dataclasses import dataclass

from buildbook.media.bare import Frame, bare, frame_of
from buildbook.media.problems import BadPictureError
from buildbook.media.tiff import Entry, Tiff

_COMPRESSION, _STRIPS, _STRIP_SIZES, _SUB_IFDS = 0x0103, 0x0111, 0x0117, 0x014A
_ORIENTATION, _JPEG, _JPEG_SIZE, _DNG_VERSION = 0x0112, 0x0201, 0x0202, 0xC612
_JPEG_KINDS = (6, 7)
_MOST_DIRECTORIES = 64
_LEAST_EDGE = 400
"""Pixels: a smaller preview shows nothing that is worth a place in the book."""
_BITS, _COLOURS = 8, (1, 3)


@dataclass(frozen=True, slots=True)
class Preview:
    """The largest picture inside a DNG."""

    jpeg: bytes
    """Without metadata, but for how to turn it upright."""
    frame: Frame


def is_dng(data: bytes) -> bool:
    """Tell whether a file is a DNG."""
    try:
        tiff = Tiff(data)
    except ValueError:
        return False
    return _DNG_VERSION in tiff.directory(tiff.first)[0]


def largest_preview(data: bytes) -> Preview:
    """Find the largest picture inside a DNG. Raises BadPictureError when it has none to show."""
    tiff = Tiff(data)
    orientation = tiff.number(tiff.directory(tiff.first)[0].get(_ORIENTATION)) or 1
    found = [
        (frame.width * frame.height, start, size, frame)
        for start, size in _pictures(tiff)
        if start + size <= len(data)
        and (frame := frame_of(data[start : start + size]))
        and frame.bits == _BITS
        and frame.colours in _COLOURS
    ]
    _, start, size, frame = max(found, key=lambda f: f[:3], default=(0, 0, 0, None))
    if frame is None or max(frame.width, frame.height) < _LEAST_EDGE:
        held = f"only a preview of {frame.width} x {frame.height} pixels" if frame else "no preview"
        raise BadPictureError(
            "picture-no-preview",
            f"is a raw picture with {held} inside",
            "save it as JPEG with the program you develop raw pictures in, and add that",
        )
    try:
        jpeg = bare(data[start : start + size], orientation)
    except ValueError:
        raise BadPictureError(
            "picture-damaged",
            "is a raw picture whose preview is cut short or damaged",
            "copy it again from the camera",
        ) from None
    return Preview(jpeg, frame)


def _pictures(tiff: Tiff) -> Iterator[tuple[int, int]]:
    """Yield where each picture coded as JPEG stands in the file, and how many bytes it has."""
    for found in _directories(tiff):
        if tiff.number(found.get(_COMPRESSION)) not in _JPEG_KINDS:
            continue
        for place, length in ((_STRIPS, _STRIP_SIZES), (_JPEG, _JPEG_SIZE)):
            starts, sizes = tiff.numbers(found.get(place)), tiff.numbers(found.get(length))
            if len(starts) == len(sizes) == 1:  # the raw picture itself may have many
                yield starts[0], sizes[0]


def _directories(tiff: Tiff) -> Iterator[dict[int, Entry]]:
    """Yield the directories of a file, each once, and not without end."""
    waiting, seen = [tiff.first], {0}
    while waiting and len(seen) <= _MOST_DIRECTORIES:
        start = waiting.pop(0)
        if start in seen:
            continue
        seen.add(start)
        found, after = tiff.directory(start)
        yield found
        waiting += [after, *tiff.numbers(found.get(_SUB_IFDS))]
