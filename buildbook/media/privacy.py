"""What original photos give away. Nothing of it is published; the originals keep it."""

from contextlib import suppress
from pathlib import Path

from buildbook.media.engine import open_original

_TAGS = {
    # JEITA CP-3451 (Exif), 4.6.4 to 4.6.6
    0x013B: "the photographer's name",
    0x8298: "a copyright notice",
    0x010E: "a description",
    0xA430: "the owner's name",
    0xA431: "the camera's serial number",
    0xA435: "the lens's serial number",
    0x927C: "the maker's notes",
    0x9286: "a comment",
    # Digital Negative Specification 1.4, chapter 4
    0xC62F: "the camera's serial number",
    0xC634: "the maker's notes",
    0xC68B: "the name of the original file",
}
PLACE = "where it was taken"


def given_away(path: Path) -> list[str]:
    """List in words what a photo's metadata tell, the place first; values are never returned.

    Raises BadPictureError when it is no picture or damaged, OSError when it cannot be read.
    """
    from PIL import ExifTags, Image  # noqa: PLC0415 - slow to load

    data = path.read_bytes()
    exif = Image.Exif()
    with suppress(Exception):  # broken metadata tell what can be read of them
        exif.load(open_original(data).exif)
    found = []
    with suppress(Exception):
        if exif.get_ifd(ExifTags.IFD.GPSInfo):
            found.append(PLACE)
    tags = dict(exif)
    with suppress(Exception):
        tags |= exif.get_ifd(ExifTags.IFD.Exif)
    found += dict.fromkeys(words for tag, words in _TAGS.items() if tags.get(tag))
    with suppress(Exception):
        if exif.get_ifd(ExifTags.IFD.IFD1):
            found.append("a small copy of the picture")
    if b"http://ns.adobe.com/xap/" in data[:200_000] or b"<x:xmpmeta" in data:
        found.append("XMP data")
    if b"Photoshop 3.0\0" in data[:200_000]:
        found.append("IPTC data")
    return found
