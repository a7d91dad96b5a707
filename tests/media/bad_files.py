"""Files that are brought in by mistake or have gone bad: shared by the tests of commands and site.

Each is a name, what it holds, and a word of what is said of it; an empty word stands for a file
that is used like any other.
"""

import struct
import zlib
from io import BytesIO
from typing import Any

from PIL import Image


def encoded(kind: str, size: tuple[int, int] = (300, 200), mode: str = "RGB", **more: Any) -> bytes:
    """Give a picture; no two are alike to a perceptual hash."""
    encoded.seed += 1  # type: ignore[attr-defined]
    image = Image.effect_noise(size, 30 + 7 * encoded.seed % 90).convert(mode)  # type: ignore[attr-defined]
    out = BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


encoded.seed = 0  # type: ignore[attr-defined]


def png_header(width: int, height: int) -> bytes:
    """Give the header of a PNG (ISO/IEC 15948) and no pixels to speak of."""
    header = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [header, b"IDAT" + zlib.compress(b"\0"), b"IEND"]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in chunks
    )


def jpeg_header(width: int, height: int) -> bytes:
    """Give a JPEG whose frame (ITU-T T.81, B.2.2) says it is larger than it is."""
    data = bytearray(encoded("JPEG"))
    at = data.index(b"\xff\xc0") + 5
    struct.pack_into(">HH", data, at, height, width)
    return bytes(data)


def with_date(written: str) -> bytes:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = written
    return encoded("JPEG", exif=exif)


def broken_exif(change: int) -> bytes:
    """Give a JPEG whose Exif leads to where nothing is, at a place after the header."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Lumen", "Pocket 3"
    exif.get_ifd(0x8769)[0x9003] = "2025:03:08 20:00:00"
    data = bytearray(encoded("JPEG", exif=exif))
    start = data.index(b"Exif\0\0") + 6
    data[start + change : start + change + 4] = b"\xff\xff\xff\xf0"
    return bytes(data)


def sixteen_bits() -> bytes:
    out = BytesIO()
    Image.new("I;16", (300, 200), 0x4D4D).save(out, "PNG")
    return out.getvalue()


def animated(kind: str) -> bytes:
    out = BytesIO()
    frames = [Image.new("RGB", (90, 60), c) for c in ("red", "green", "blue")]
    frames[0].save(out, kind, save_all=True, append_images=frames[1:])
    return out.getvalue()


NOT_USED: dict[str, tuple[bytes, str]] = {
    "cut short.jpg": (encoded("JPEG")[:3000], "cut short or damaged"),
    "cut short.png": (encoded("PNG")[:3000], "cut short or damaged"),
    "nothing.jpg": (b"", "is empty"),
    "letter.jpg": (b"Dear Maren, the ribs are in the post.", "not a picture"),
    "page.png": (b"<!doctype html><title>Not found</title>", "not a picture"),
    "film.jpg": (b"\x1a\x45\xdf\xa3\x42\x86\x81\x01", "video clip"),
    "bomb.png": (png_header(30_000, 30_000), "too large to prepare: 30000 x 30000"),
    "bomb.jpg": (jpeg_header(30_000, 30_000), "too large to prepare: 30000 x 30000"),
    "raw.dng": (
        b"II*\0\x08\0\0\0\x01\0\x12\xc6\x01\0\x04\0\0\0\x01\x04\0\0\0\0\0\0",
        "no preview",
    ),
}
USED: dict[str, tuple[bytes, str]] = {
    "one pixel.png": (encoded("PNG", (1, 1)), "only 1 x 1 pixels"),
    "inks.jpg": (encoded("JPEG", mode="CMYK"), "printing inks"),
    "sixteen bits.png": (sixteen_bits(), "16 bits"),
    "see-through.png": (encoded("PNG", mode="RGBA"), "see-through"),
    "moving.gif": (animated("GIF"), "several frames"),
    "moving.webp": (animated("WEBP"), "several frames"),
    "never set.jpg": (with_date("0000:00:00 00:00:00"), "does not say when"),
    "to come.jpg": (with_date("2091:03:08 20:00:00"), "2091-03-08, which is still to come"),
    "the end.jpg": (with_date("9999:12:31 23:59:59"), "9999-12-31, which is still to come"),
    "exif first.jpg": (broken_exif(4), "does not say when"),
    "exif inner.jpg": (broken_exif(18), ""),
    "really a png.jpg": (encoded("PNG"), "its content is PNG, so its name will end in .png"),
    "a  b   c.jpg": (encoded("JPEG"), ""),
    "Bjørn’s rør № 7.jpg": (encoded("JPEG"), ""),
    "e\u0301tabli.jpg": (encoded("JPEG"), ""),
    "🛠️✈️.jpg": (encoded("JPEG"), ""),
    "a..jpg": (encoded("JPEG"), ""),
    "-....jpg": (encoded("JPEG"), ""),
    "two\nlines\x1b[31m.jpg": (encoded("JPEG"), ""),
    "Rib.JPG": (encoded("JPEG"), ""),
    "rib.jpg": (encoded("JPEG"), ""),
    "RIB.jpg": (encoded("JPEG"), ""),
}
