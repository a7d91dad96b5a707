"""Pixels: decode an original and make its derivatives.

libvips does the work: it shrinks a JPEG while decoding it and never holds the whole picture.
What its wheel cannot decode (HEIC, BMP) is decoded by Pillow and goes on the same way.
"""

import logging
import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Protocol

from buildbook.media.bare import bare
from buildbook.media.dng import largest_preview
from buildbook.media.kinds import Kind, is_whole, kind_of
from buildbook.media.picture import FULL_QUALITY, QUALITY
from buildbook.media.problems import BadPictureError, damaged, too_large

if TYPE_CHECKING:
    from collections.abc import Callable

MOST_PIXELS = 120_000_000
"""A 108-megapixel telephone passes; a small file that unpacks to gigabytes does not."""
LONGEST_SIDE = 30_000
"""Pixels."""

Box = tuple[float, float, float, float]
"""Left, top, width and height in fractions of a picture, upright."""

_TINY = 64  # pixels along the longer side: nothing to be seen on it
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
    colour: str
    """Of the whole picture on average, as `#8a8f91`."""


class Original(Protocol):
    """A photo whose header has been read, and no pixel yet."""

    width: int
    """Pixels, as it is looked at."""
    height: int
    """Pixels, as it is looked at."""
    exif: bytes
    """Its Exif data; empty when it has none."""
    jpeg: bytes
    """The picture as it is, when that is a JPEG that every browser shows in its colours, or b""."""
    turned: int
    """Exif's orientation of that JPEG."""
    remarks: tuple[str, ...]
    """What it will look different in when it is published, in words."""

    def shrunk(self, edge: int) -> Any:
        """Decode to a pyvips image, upright, in sRGB, its long edge `edge` pixels or less.

        What is left to do is done when its pixels are asked for, and goes through it in strips.
        """


def open_original(data: bytes) -> Original:
    """Read the header of a photo. Raises BadPictureError when it is none, damaged, or too large."""
    kind = kind_of(data)
    if kind in {Kind.AVIF, Kind.HEIF} and not is_whole(data):
        raise damaged()
    others: dict[Kind, Callable[[bytes], Original]] = {
        Kind.HEIF: _Heif,
        Kind.BMP: _Bmp,
        Kind.DNG: _dng,
    }
    try:
        original = others.get(kind, _Vips)(data)
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
    made: list[tuple[int, int, bytes]] = []
    try:
        image = _covered(original.shrunk(edges[-1]), hidden).copy_memory()
        for edge in reversed(edges):
            if max(image.width, image.height) > edge:
                image = image.thumbnail_image(edge, height=edge, size="down").copy_memory()
            jpeg = image.jpegsave_buffer(Q=QUALITY, optimize_coding=True, keep="none")
            made.append((image.width, image.height, jpeg))
        colour = _average(image)
    except Exception as error:
        raise _in_plain_words(error) from error
    return [Rendered(*one, colour) for one in reversed(made)]


def decoded(original: Original, edge: int) -> Any:
    """Decode to a pyvips image in memory, its long edge `edge` pixels or less.

    Raises BadPictureError when it cannot be decoded to its end.
    """
    try:
        return original.shrunk(edge).copy_memory()
    except Exception as error:
        raise _in_plain_words(error) from error


def full_size(original: Original, hidden: tuple[Box, ...] = ()) -> Rendered:
    """Make the JPEG to publish in full size: bare of metadata, nothing to be seen in the boxes.

    Where nothing is hidden and the original is a JPEG, its picture is taken over bit for bit.
    Raises BadPictureError when it cannot be decoded to its end.
    """
    if original.jpeg and not hidden:
        with suppress(ValueError):  # what cannot be followed is decoded and coded anew
            jpeg = bare(original.jpeg, original.turned)
            return Rendered(original.width, original.height, jpeg, "")
    try:
        image = _covered(original.shrunk(max(original.width, original.height)), hidden)
        # Tables made to measure would hold all of a large picture, for a twentieth of its bytes.
        jpeg = image.jpegsave_buffer(Q=FULL_QUALITY, keep="none")
    except Exception as error:
        raise _in_plain_words(error) from error
    return Rendered(image.width, image.height, jpeg, "")


def _average(image: Any) -> str:
    means = image.shrink(image.width, image.height)(0, 0)
    return "#" + "".join(f"{min(255, max(0, round(mean))):02x}" for mean in means)


def _covered(image: Any, hidden: tuple[Box, ...]) -> Any:
    for box in hidden:
        image = _without(image, box)
    return image


def _without(image: Any, box: Box) -> Any:
    """Replace a box by a few blots of its colours: of a face or a sign nothing can be got back."""
    left, top = int(box[0] * image.width), int(box[1] * image.height)
    width = min(image.width - left, max(1, math.ceil(box[2] * image.width)))
    height = min(image.height - top, max(1, math.ceil(box[3] * image.height)))
    inside = image.crop(left, top, width, height)
    blots = inside.resize(_BLOTS / width, vscale=_BLOTS / height, kernel="linear")
    covered = blots.resize(width / blots.width, vscale=height / blots.height, kernel="linear")
    covered = covered.crop(0, 0, min(width, covered.width), min(height, covered.height))
    return image.insert(covered.copy_memory(), left, top)


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

    # What it says of a damaged picture means nothing to a builder, who is told in a sentence.
    logging.getLogger("pyvips").setLevel(logging.CRITICAL)
    pyvips.cache_set_max(0)  # no picture is decoded twice, so keeping them would only cost memory
    with suppress(AttributeError):  # releases before 3.2 cannot be told
        pyvips.concurrency_set(1)  # photos are prepared side by side, each on one core
    return pyvips


def _finished(image: Any, *, own_colours: bool) -> Any:
    """Give 8-bit sRGB without transparency.

    Colours of its own are converted here, after shrinking: `thumbnail` would do it before, in five
    times the time.
    """
    if own_colours:
        with suppress(_vips().Error):  # a profile that does not fit its picture is left out
            converted = image.icc_transform("srgb", embedded=True, depth=8)
            converted.crop(0, 0, 1, 1).copy_memory()
            image = converted
    image = image.colourspace("srgb")
    if image.hasalpha():
        image = image.flatten(background=255)
    return image.cast("uchar")


def _has_own_colours(image: Any) -> bool:
    """Tell whether a picture's numbers mean other colours than those of sRGB."""
    return bool(image.get_typeof(_PROFILE)) and not _is_srgb(image.get(_PROFILE))


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
        # Inks are converted while shrinking, as nothing can be done with them before.
        self._inks = image.interpretation == "cmyk"
        self._own_colours = not self._inks and _has_own_colours(image)
        is_jpeg = image.get("vips-loader").startswith("jpeg")
        plain = image.interpretation in {"srgb", "b-w"} and image.format == "uchar"
        self.jpeg = data if is_jpeg and plain and not self._own_colours else b""
        turned = image.get("orientation") if image.get_typeof("orientation") else 1
        self.turned: int = turned if turned in range(2, 9) else 1
        self.remarks = tuple(_remarks(image))

    def shrunk(self, edge: int) -> Any:
        image = _vips().Image.thumbnail_buffer(
            self._data,
            edge,
            height=edge,
            size="down",
            option_string="fail_on=error",  # the keyword does not reach the decoder
        )
        if self._inks and image.get_typeof(_PROFILE):
            # That of the inks is still noted, and may be gone from memory: it must not be read.
            image = image.copy()
            image.remove(_PROFILE)
        if self.turned == 1:  # decodes, as turning does: what goes wrong later is no damaged file
            image = image.copy_memory()
        return _finished(image, own_colours=self._own_colours)


def _remarks(image: Any) -> Iterator[str]:
    """Say what is special about a picture and will not be seen on what is published."""
    if max(image.width, image.height) < _TINY:
        yield f"it has only {image.width} x {image.height} pixels"
    if image.get_typeof("n-pages") and image.get("n-pages") > 1:
        yield "it has several frames or pages, and the first is shown"
    if image.hasalpha():
        yield "what is see-through becomes white"
    if image.interpretation == "cmyk":
        yield "it is in printing inks, shown in the colours of a screen"
    if image.interpretation in {"rgb16", "grey16"} or image.format not in {"uchar", "char"}:
        yield "its 16 bits a colour become 8"


def _dng(data: bytes) -> Original:
    """Open the largest preview of a raw picture; the time stands in the raw picture itself."""
    preview = largest_preview(data)
    original = _Vips(preview.jpeg)
    original.exif = data
    shown = f"{preview.frame.width} x {preview.frame.height}"
    original.remarks = (f"the preview inside it is shown, {shown} pixels", *original.remarks)
    return original


class _Heif:
    """HEIC, by pillow-heif, which has applied the rotation when it hands out pixels."""

    def __init__(self, data: bytes) -> None:
        import pillow_heif  # noqa: PLC0415 - see _vips

        self._image = pillow_heif.open_heif(BytesIO(data), convert_hdr_to_8bit=True)
        self.width, self.height = self._image.size
        self.exif: bytes = self._image.info.get("exif") or b""
        self.jpeg, self.turned = b"", 1
        self.remarks: tuple[str, ...] = ()

    def shrunk(self, edge: int) -> Any:
        profile = self._image.info.get("icc_profile") or b""
        bands = len(self._image.mode)
        if self._image.mode in {"RGB", "RGBA"} and self._image.stride == self.width * bands:
            # Its own memory is read: with Pillow in between there would be three copies.
            return _from_memory(self._image.data, (self.width, self.height), bands, edge, profile)
        return _from_pillow(self._image.to_pillow(), edge, profile)


class _Bmp:
    """BMP, by Pillow; the format knows no orientation and no Exif."""

    def __init__(self, data: bytes) -> None:
        from PIL import Image  # noqa: PLC0415 - see _vips

        self._image = Image.open(BytesIO(data), formats=["BMP"])
        self.width, self.height = self._image.size
        self.exif = self.jpeg = b""
        self.turned = 1
        self.remarks: tuple[str, ...] = ()

    def shrunk(self, edge: int) -> Any:
        return _from_pillow(self._image, edge, b"")


def _from_pillow(picture: Any, edge: int, profile: bytes) -> Any:
    mode = "RGBA" if "A" in picture.getbands() or "transparency" in picture.info else "RGB"
    pixels = picture.convert(mode).tobytes()
    return _from_memory(pixels, picture.size, len(mode), edge, profile)


def _from_memory(pixels: Any, size: tuple[int, int], bands: int, edge: int, profile: bytes) -> Any:
    """Shrink pixels that are decoded already; `edge` is the long one of what is made."""
    vips = _vips()
    image = vips.Image.new_from_memory(pixels, *size, bands, "uchar")
    image = image.copy(interpretation="srgb")
    if profile:
        # The telephones that write HEIC mean Display P3 by their numbers, not sRGB.
        image = image.copy()
        image.set_type(vips.GValue.blob_type, _PROFILE, profile)
    shrunk = image.thumbnail_image(edge, height=edge, size="down")
    return _finished(shrunk, own_colours=_has_own_colours(image))
