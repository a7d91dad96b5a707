"""From a rendered picture to a JPEG as a pocket camera would store it, metadata included."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import piexif
from PIL import Image

from picture_kit.album import TURN_LEFT, TURN_RIGHT

if TYPE_CHECKING:
    from pathlib import Path

    from picture_kit.album import Picture

LARGE = 160_000
STORED = {TURN_RIGHT: Image.Transpose.ROTATE_90, TURN_LEFT: Image.Transpose.ROTATE_270}
"""How an upright picture is turned before it is stored, so that applying the tag undoes it."""


def save(picture: Picture, raw: Path, path: Path) -> None:
    """Write the JPEG at the best quality, up to 88, that keeps it below the limit."""
    with Image.open(raw) as opened:
        image = opened.convert("RGB")
    if picture.orientation in STORED:
        image = image.transpose(STORED[picture.orientation])
    exif = piexif.dump(metadata(picture, image.size))
    for quality in range(88, 50, -2):
        held = io.BytesIO()
        image.save(held, "JPEG", quality=quality, optimize=True, progressive=True, exif=exif)
        if held.tell() <= LARGE:
            break
    path.write_bytes(held.getvalue())


def metadata(picture: Picture, size: tuple[int, int]) -> dict[str, dict[int, object]]:
    """Exif entries by directory, as piexif takes them; the camera and its maker are invented."""
    local = picture.taken.strftime("%Y:%m:%d %H:%M:%S")
    zone = picture.taken.strftime("%z")
    offset = f"{zone[:3]}:{zone[3:]}"
    main = {
        piexif.ImageIFD.Make: "Lumen",
        piexif.ImageIFD.Model: "Pocket 3",
        piexif.ImageIFD.Orientation: picture.orientation,
        piexif.ImageIFD.Software: "rendering",
        piexif.ImageIFD.ImageDescription: f"Rendering, not a photograph. {picture.seen}",
        piexif.ImageIFD.Artist: "Maren Lind",
        piexif.ImageIFD.DateTime: local,
    }
    detail = {
        piexif.ExifIFD.DateTimeOriginal: local,
        piexif.ExifIFD.DateTimeDigitized: local,
        piexif.ExifIFD.OffsetTime: offset,
        piexif.ExifIFD.OffsetTimeOriginal: offset,
        piexif.ExifIFD.BodySerialNumber: "LP3-0047113",
        piexif.ExifIFD.FocalLength: (round(picture.view.lens * 10), 10),
        piexif.ExifIFD.PixelXDimension: size[0],
        piexif.ExifIFD.PixelYDimension: size[1],
    }
    return {"0th": main, "Exif": detail, "GPS": position(picture)}


def position(picture: Picture) -> dict[int, object]:
    """GPS entries for a point in open water, so that stripping them can be shown."""
    if picture.at_sea is None:
        return {}
    north, east = picture.at_sea
    return {
        piexif.GPSIFD.GPSVersionID: (2, 3, 0, 0),
        piexif.GPSIFD.GPSLatitudeRef: "N" if north >= 0 else "S",
        piexif.GPSIFD.GPSLatitude: sexagesimal(abs(north)),
        piexif.GPSIFD.GPSLongitudeRef: "E" if east >= 0 else "W",
        piexif.GPSIFD.GPSLongitude: sexagesimal(abs(east)),
        piexif.GPSIFD.GPSAltitudeRef: 0,
        piexif.GPSIFD.GPSAltitude: (20, 10),
    }


def sexagesimal(angle: float) -> tuple[tuple[int, int], ...]:
    """Degrees, minutes and seconds as the fractions Exif wants."""
    hundredths = round(angle * 360_000)
    degrees, rest = divmod(hundredths, 360_000)
    minutes, seconds = divmod(rest, 6_000)
    return (degrees, 1), (minutes, 1), (seconds, 100)
