"""Kinds of picture files, told by their content and not by their names."""

from enum import StrEnum

from buildbook.media.dng import is_dng
from buildbook.media.problems import COPY_AGAIN, BadPictureError


class Kind(StrEnum):
    """A kind of picture that can be published."""

    JPEG = "JPEG"
    PNG = "PNG"
    WEBP = "WebP"
    GIF = "GIF"
    TIFF = "TIFF"
    AVIF = "AVIF"
    HEIF = "HEIF"
    BMP = "BMP"
    DNG = "DNG"


_STARTS = (
    (b"\xff\xd8\xff", Kind.JPEG),
    (b"\x89PNG\r\n\x1a\n", Kind.PNG),
    (b"GIF87a", Kind.GIF),
    (b"GIF89a", Kind.GIF),
    (b"II*\0", Kind.TIFF),
    (b"MM\0*", Kind.TIFF),
    (b"II+\0", Kind.TIFF),
    (b"MM\0+", Kind.TIFF),
    (b"BM", Kind.BMP),
)
# Brands of ISO/IEC 23008-12 (HEIF) and of the AV1 Image File Format; `mif1` and `msf1` say only
# that some image is inside.
_AVIF_BRANDS = {b"avif", b"avis"}
_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_BOX_HEADER = 8  # bytes: size and name (ISO/IEC 14496-12, 4.2)
_CLIP_STARTS = (b"\x1a\x45\xdf\xa3", b"\0\0\x01\xba", b"\0\0\x01\xb3")  # Matroska and WebM, MPEG


def kind_of(data: bytes) -> Kind:
    """Tell the kind of picture in a file. Raises BadPictureError when there is none."""
    if not data:
        raise BadPictureError("picture-empty", "is empty (zero bytes)", COPY_AGAIN)
    for start, kind in _STARTS:
        if data.startswith(start):
            return Kind.DNG if kind is Kind.TIFF and is_dng(data) else kind
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return Kind.WEBP
    if data[4:8] == b"ftyp":
        brands = _brands(data)
        if brands & _AVIF_BRANDS:
            return Kind.AVIF
        if brands & _HEIF_BRANDS:
            return Kind.HEIF
    if _is_clip(data):
        raise BadPictureError(
            "picture-clip", "is a video clip, not a photo", "name a photo, or a frame of the clip"
        )
    raise BadPictureError(
        "picture-unknown",
        "is not a picture of a kind that can be read here",
        f"save it as JPEG; these can be read: {', '.join(Kind)}",
    )


def is_whole(data: bytes) -> bool:
    """Tell whether no outer box of an AVIF or HEIF file reaches past its end.

    The decoder of HEIC leaves tiles that are not there grey and says nothing.
    """
    at = 0
    while at + 16 <= len(data):
        size, name = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        if size == 1:
            size = int.from_bytes(data[at + 8 : at + 16], "big")
        if size < _BOX_HEADER or not name.isalnum():
            break  # the last box may leave its size open; cameras append things that are no box
        at += size
        if at > len(data):
            return name not in {b"meta", b"mdat", b"idat"}
    return True


def _brands(data: bytes) -> set[bytes]:
    """Give the major and the compatible brands of an `ftyp` box (ISO/IEC 14496-12, 4.3)."""
    end = min(int.from_bytes(data[:4], "big"), len(data), 256)
    return {data[8:12]} | {data[at : at + 4] for at in range(16, end, 4)}


def _is_clip(data: bytes) -> bool:
    return (
        data[4:8] in {b"ftyp", b"moov", b"mdat", b"wide"}
        or (data.startswith(b"RIFF") and data[8:12] == b"AVI ")
        or data.startswith(_CLIP_STARTS)
    )
