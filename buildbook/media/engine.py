"""Pixels: decode an original and make its derivatives.

libvips does the work: it shrinks a JPEG while decoding it and never holds the whole picture.
What its wheel cannot decode (HEIC, BMP) is decoded by Pillow and goes on the same way.
"""

import math
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Protocol

from buildbook.media.kinds import Kind, is_whole, kind_of
from buildbook.media.picture import QUALITY
from buildbook.media.problems import BadPictureError, damaged, too_large

if TYPE_CHECKING:
    from collections.abc import Callable

MOST_PIXELS = 120_000_000
"""A 108-megapixel telephone passes; a small file that unpacks to gigabytes does not."""
LONGEST_SIDE = 30_000
"""Pixels."""

Box = tuple[float, float, float, float]
"""Left, top, width and height in fractions of a picture, upright."""

_BLOTS = 3  # across and down, in what replaces a hidden box
_PROFILE = "icc-profile-data"  # what libvips calls an embedded ICC profile
_ON_ITS_SIDE = range(5, 9)  # Exif orientations that swap width and height


@dataclass(frozen=True, slots=True)
class Rendered:
    """A derivative in memory."""

    width: int
    """Pixels."""
    height: int
    """Pixels."""
    jpeg: bytes
    """The file."""


class Original(Protocol):
    """A photo whose header has been read, and no pixel yet."""

    width: int
    """Pixels, as it is looked at."""
    height: int
    """Pixels, as it is looked at."""
    exif: bytes
    """Its Exif data; empty when it has none."""

    def shrunk(self, edge: int) -> Any:
        """Decode to a pyvips image, upright, in sRGB, its long edge `edge` pixels or less."""


def open_original(data: bytes) -> Original:
    """Read the header of a photo. Raises BadPictureError when it is none, damaged, or too large."""
    kind = kind_of(data)
    if kind in {Kind.AVIF, Kind.HEIF} and not is_whole(data):
        raise damaged()
    by_pillow: dict[Kind, Callable[[bytes], Original]] = {Kind.HEIF: _Heif, Kind.BMP: _Bmp}
    try:
        original = by_pillow.get(kind, _Vips)(data)
    except Exception as error:
        raise _in_plain_words(error) from error
    width, height = original.width, original.height
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        raise too_large(
            f"is too large to prepare: {width} x {height} pixels, when {MOST_PIXELS // 1_000_000} "
            f"megapixels and {LONGEST_SIDE} along a side are the most"
        )
    return original


def render(
    original: Original, edges: tuple[int, ...], hidden: tuple[Box, ...] = ()
) -> list[Rendered]:
    """Make a JPEG for each long edge, given and returned from small to large.

    The original is decoded once, and each size made from the next larger, so what is in the boxes
    of `hidden` is gone from all of them. Raises BadPictureError when it cannot be decoded to its
    end.
    """
    rendered: list[Rendered] = []
    try:
        image = original.shrunk(edges[-1])
        for box in hidden:
            image = _without(image.copy_memory(), box)
        for edge in reversed(edges):
            image = image.thumbnail_image(edge, height=edge, size="down").copy_memory()
            jpeg = image.jpegsave_buffer(Q=QUALITY, optimize_coding=True, keep="none")
            rendered.append(Rendered(image.width, image.height, jpeg))
    except Exception as error:
        raise _in_plain_words(error) from error
    return rendered[::-1]


def _without(image: Any, box: Box) -> Any:
    """Replace a box by a few blots of its colours: of a face or a sign nothing can be got back."""
    left, top = int(box[0] * image.width), int(box[1] * image.height)
    width = min(image.width - left, max(1, math.ceil(box[2] * image.width)))
    height = min(image.height - top, max(1, math.ceil(box[3] * image.height)))
    inside = image.crop(left, top, width, height)
    blots = inside.resize(_BLOTS / width, vscale=_BLOTS / height, kernel="linear")
    covered = blots.resize(width / blots.width, vscale=height / blots.height, kernel="linear")
    covered = covered.crop(0, 0, min(width, covered.width), min(height, covered.height))
    return image.insert(covered, left, top)


def _in_plain_words(error: Exception) -> BadPictureError:
    # The decoders raise whatever they like, from SyntaxError to their own; what a builder can do
    # is the same for all but two.
    if isinstance(error, BadPictureError):
        return error
    if isinstance(error, MemoryError) or type(error).__name__.startswith("DecompressionBomb"):
        return too_large("takes more memory to open than there is")
    if isinstance(error, ImportError | NameError | AttributeError):
        raise error  # the program's own fault, or that of how it was installed
    return damaged()


@cache
def _vips() -> Any:
    """Import pyvips late: it loads a large library, and most commands touch no picture."""
    import pyvips  # noqa: PLC0415

    pyvips.cache_set_max(0)  # no picture is decoded twice, so keeping them would only cost memory
    with suppress(AttributeError):  # releases before 3.2 cannot be told
        pyvips.concurrency_set(1)  # photos are prepared side by side, each on one core
    return pyvips


def _finished(image: Any) -> Any:
    """Give 8-bit sRGB without transparency, held in memory.

    Colours are converted here, after shrinking: `thumbnail` would do it before, in five times
    the time.
    """
    vips = _vips()
    image = image.copy_memory()  # decodes; what goes wrong from here on is not a damaged file
    if image.get_typeof(_PROFILE) and not _is_srgb(image.get(_PROFILE)):
        with suppress(vips.Error):  # a profile that does not fit its picture is left out
            image = image.icc_transform("srgb", embedded=True, depth=8).copy_memory()
    image = image.colourspace("srgb")
    if image.hasalpha():
        image = image.flatten(background=255)
    return image.cast("uchar").copy_memory()


def _is_srgb(profile: bytes) -> bool:
    """Tell by its description (ICC.1: ASCII in version 2, UTF-16 in version 4)."""
    return any("sRGB".encode(code) in profile for code in ("ascii", "utf-16-be"))


class _Vips:
    """What libvips decodes by itself."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        image = _vips().Image.new_from_buffer(data, "")
        self.width, self.height = image.width, image.height
        # libvips has applied the rotation of an AVIF by now, and has dropped its orientation.
        if image.get_typeof("orientation") and image.get("orientation") in _ON_ITS_SIDE:
            self.width, self.height = self.height, self.width
        is_tiff = image.get("vips-loader").startswith("tiff")
        has_exif = image.get_typeof("exif-data")
        self.exif: bytes = data if is_tiff else image.get("exif-data") if has_exif else b""

    def shrunk(self, edge: int) -> Any:
        return _finished(
            _vips().Image.thumbnail_buffer(
                self._data,
                edge,
                height=edge,
                size="down",
                option_string="fail_on=error",  # the keyword does not reach the decoder
            )
        )


class _Heif:
    """HEIC, by pillow-heif, which has applied the rotation when it hands out pixels."""

    def __init__(self, data: bytes) -> None:
        import pillow_heif  # noqa: PLC0415 - see _vips

        self._image = pillow_heif.open_heif(BytesIO(data), convert_hdr_to_8bit=True)
        self.width, self.height = self._image.size
        self.exif: bytes = self._image.info.get("exif") or b""

    def shrunk(self, edge: int) -> Any:
        return _from_pillow(
            self._image.to_pillow(), edge, self._image.info.get("icc_profile") or b""
        )


class _Bmp:
    """BMP, by Pillow; the format knows no orientation and no Exif."""

    def __init__(self, data: bytes) -> None:
        from PIL import Image  # noqa: PLC0415 - see _vips

        self._image = Image.open(BytesIO(data), formats=["BMP"])
        self.width, self.height = self._image.size
        self.exif = b""

    def shrunk(self, edge: int) -> Any:
        return _from_pillow(self._image, edge, b"")


def _from_pillow(picture: Any, edge: int, profile: bytes) -> Any:
    vips = _vips()
    mode = "RGBA" if "A" in picture.getbands() or "transparency" in picture.info else "RGB"
    picture = picture.convert(mode)
    width, height = picture.size
    image = vips.Image.new_from_memory(picture.tobytes(), width, height, len(mode), "uchar")
    image = image.copy(interpretation="srgb")
    if profile:
        # The telephones that write HEIC mean Display P3 by their numbers, not sRGB.
        image = image.copy()
        image.set_type(vips.GValue.blob_type, _PROFILE, profile)
    return _finished(image.thumbnail_image(edge, height=edge, size="down"))
