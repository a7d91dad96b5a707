"""Pictures against what is published: the Exif standard and the colour spaces.

- Orientation and DateTimeOriginal: JEITA CP-3451 (Exif), 4.6.4 A and 4.6.5 F.
- sRGB red in Display P3: CSS Color Module Level 4, sample conversions - from memory.
"""

from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pillow_heif
import pytest
import pyvips
from PIL import Image

from buildbook.media.capture import taken
from buildbook.media.store import PictureStore

OSLO = ZoneInfo("Europe/Oslo")
ORIENTATION, DATE_TIME_ORIGINAL, OFFSET_TIME_ORIGINAL, EXIF_IFD = 0x0112, 0x9003, 0x9011, 0x8769
STORED = ((1, 2, 3), (4, 5, 6))
# JEITA CP-3451, Orientation: which side of the scene row 0 and column 0 of the stored picture are.
SHOWN = {
    1: ((1, 2, 3), (4, 5, 6)),
    2: ((3, 2, 1), (6, 5, 4)),
    3: ((6, 5, 4), (3, 2, 1)),
    4: ((4, 5, 6), (1, 2, 3)),
    5: ((1, 4), (2, 5), (3, 6)),
    6: ((4, 1), (5, 2), (6, 3)),
    7: ((6, 3), (5, 2), (4, 1)),
    8: ((3, 6), (2, 5), (1, 4)),
}
COLOURS = {
    1: (220, 30, 30),
    2: (30, 180, 30),
    3: (30, 30, 220),
    4: (230, 210, 40),
    5: (20, 20, 20),
    6: (240, 240, 240),
}
BLOCK = 300  # pixels: flat and large, so that no coding blurs the answer


def blocks() -> Image.Image:
    image = Image.new("RGB", (3 * BLOCK, 2 * BLOCK))
    for y, row in enumerate(STORED):
        for x, number in enumerate(row):
            image.paste(COLOURS[number], (x * BLOCK, y * BLOCK, (x + 1) * BLOCK, (y + 1) * BLOCK))
    return image


def read_blocks(path: Path) -> tuple[tuple[int, ...], ...]:
    """Tell which block is where; a colour that is none of them fails."""
    with Image.open(path) as image:
        across, down = (3, 2) if image.width > image.height else (2, 3)
        shown = image.convert("RGB")

    def number(x: int, y: int) -> int:
        at = (int((x + 0.5) * shown.width / across), int((y + 0.5) * shown.height / down))
        pixel = shown.getpixel(at)
        assert isinstance(pixel, tuple)
        (found,) = (
            number
            for number, colour in COLOURS.items()
            if max(abs(a - b) for a, b in zip(pixel, colour, strict=True)) <= 12
        )
        return found

    return tuple(tuple(number(x, y) for x in range(across)) for y in range(down))


def save(image: Image.Image, path: Path, kind: str, exif: Image.Exif) -> None:
    if kind == "HEIF":
        pillow_heif.register_heif_opener()
    options = {"speed": 10} if kind == "AVIF" else {}
    image.save(path, kind, exif=exif.tobytes(), **options)


@pytest.fixture
def prepared(tmp_path: Path) -> tuple[PictureStore, Path]:
    """Give a store and the path of its only photo, still to be written."""
    (tmp_path / "photos").mkdir()
    store = PictureStore(tmp_path / "photos", tmp_path / "cache", zone=OSLO, workers=1)
    return (store, tmp_path / "photos" / "fin")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "AVIF", "HEIF"])
@pytest.mark.parametrize("orientation", SHOWN)
def test_a_photo_is_shown_upright(
    prepared: tuple[PictureStore, Path], kind: str, orientation: int
) -> None:
    store, path = prepared
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    save(blocks(), path, kind, exif)

    pictures, problems = store.prepare(["fin"])

    assert not problems
    picture = pictures["fin"]
    expected = SHOWN[orientation]
    assert (picture.width, picture.height) == (len(expected[0]) * BLOCK, len(expected) * BLOCK)
    assert [max(d.width, d.height) for d in picture.derivatives] == [400, 800, 900]
    for derivative in picture.derivatives:
        assert read_blocks(store.path(derivative)) == expected
        with Image.open(store.path(derivative)) as image:
            assert image.size == (derivative.width, derivative.height)


def photo_with(tmp_path: Path, written: str | None, offset: str | None, kind: str) -> Path:
    """Write a photo with Pillow, which is independent of the reader under test."""
    exif = Image.Exif()
    inside = exif.get_ifd(EXIF_IFD)
    if written is not None:
        inside[DATE_TIME_ORIGINAL] = written
    if offset is not None:
        inside[OFFSET_TIME_ORIGINAL] = offset
    path = tmp_path / "photo"
    save(Image.new("RGB", (16, 16)), path, kind, exif)
    return path


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "AVIF", "HEIF"])
@pytest.mark.parametrize(
    ("written", "offset", "shown"),
    [
        ("2031:03:08 14:05:09", "+09:00", "2031-03-08T14:05:09+09:00"),
        ("2031:03:08 14:05:09", "-03:30", "2031-03-08T14:05:09-03:30"),
        ("2031:03:08 14:05:09", None, "2031-03-08T14:05:09+01:00"),
        ("2031:07:08 14:05:09", None, "2031-07-08T14:05:09+02:00"),
        ("2031:07:08 14:05:09", "   :  ", "2031-07-08T14:05:09+02:00"),
        ("2031:07:08 14:05:09", "+99:00", "2031-07-08T14:05:09+02:00"),
    ],
)
def test_capture_time(
    tmp_path: Path, kind: str, written: str, offset: str | None, shown: str
) -> None:
    found = taken(photo_with(tmp_path, written, offset, kind), OSLO)
    assert found is not None
    assert found.isoformat() == shown


@pytest.mark.parametrize(
    "written",
    [
        None,
        "",
        "0000:00:00 00:00:00",
        "    :  :     :  :  ",
        "2031:02:30 10:00:00",
        "2031:13:01 10:00:00",
        "2031:03:08 24:00:00",
        "0001:01:01 00:00:00",
        "yesterday",
    ],
)
def test_a_date_that_was_never_set_is_none(tmp_path: Path, written: str | None) -> None:
    assert taken(photo_with(tmp_path, written, "+01:00", "JPEG"), OSLO) is None


def test_the_store_gives_the_same_time(
    prepared: tuple[PictureStore, Path],
) -> None:
    store, path = prepared
    photo_with(path.parent, "2031:03:08 14:05:09", "+09:00", "JPEG").rename(path)
    for _ in range(2):  # read from the photo, then from the manifest
        found = store.prepare(["fin"])[0]["fin"].taken
        assert found == datetime.fromisoformat("2031-03-08T14:05:09+09:00")
        assert found.utcoffset() == timedelta(hours=9)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "AVIF", "HEIF"])
def test_display_p3_becomes_srgb(prepared: tuple[PictureStore, Path], kind: str) -> None:
    """`color(display-p3 0.9175 0.2003 0.1386)` is sRGB red; without conversion it is not."""
    store, path = prepared
    red_in_p3 = tuple(round(255 * v) for v in (0.9175, 0.2003, 0.1386))
    pillow_heif.register_heif_opener()
    profile = pyvips.Image.profile_load("p3")
    Image.new("RGB", (64, 64), red_in_p3).save(path, kind, icc_profile=profile, quality=95)
    with Image.open(path) as image:
        assert image.info["icc_profile"], "the control: the original has a profile"
        pixel = image.getpixel((30, 30))
        assert isinstance(pixel, tuple)
        assert all(abs(a - b) <= 4 for a, b in zip(pixel, red_in_p3, strict=True)), pixel
    derivative = store.prepare(["fin"])[0]["fin"].derivatives[0]
    with Image.open(store.path(derivative)) as image:
        pixel = image.convert("RGB").getpixel((30, 30))
        assert isinstance(pixel, tuple)
        assert all(abs(a - b) <= 12 for a, b in zip(pixel, (255, 0, 0), strict=True)), pixel
        assert "icc_profile" not in image.info


def test_adobe_cmyk_is_not_a_negative(
    prepared: tuple[PictureStore, Path],
) -> None:
    """Adobe writes the inks of a JPEG inverted (TN 5116, Adobe marker - from memory)."""
    store, path = prepared
    inks = Image.new("CMYK", (64, 64), (0, 0, 0, 0))
    inks.paste((0, 255, 255, 0), (32, 0, 64, 64))
    inks.save(path, "JPEG", quality=95)
    assert b"Adobe" in path.read_bytes()[:200]
    derivative = store.prepare(["fin"])[0]["fin"].derivatives[0]
    with Image.open(BytesIO(store.path(derivative).read_bytes())) as image:
        assert image.mode == "RGB"
        white, red = image.getpixel((8, 32)), image.getpixel((56, 32))
    assert isinstance(white, tuple)
    assert isinstance(red, tuple)
    assert min(white) > 245
    assert red[0] > 180
    assert max(red[1:]) < 90
