"""Real camera files from the test data of open libraries, read again by other decoders."""

import shutil
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pillow_heif
import pytest
from PIL import Image, ImageChops, ImageOps, ImageStat

from buildbook.media.capture import taken
from buildbook.media.store import PictureStore

OSLO = ZoneInfo("Europe/Oslo")
# Sizes as imagesize's own tests expect them; pug and arrow as pillow-heif's describe them.
UPRIGHT = {
    "imagesize/test.jpg": (802, 670),
    "imagesize/test-rotated.jpg": (670, 802),
    "imagesize/test-rotated.tiff": (670, 802),
    "imagesize/test-rotated.avif": (630, 420),
    "imagesize/test-rotated.heic": (1440, 960),
    "imagesize/test.avif": (630, 420),
    "imagesize/test.heic": (1440, 960),
    "imagesize/test_24.bmp": None,
    "pillow-heif/heif_other/pug.heic": (4032, 3024),
    "pillow-heif/heif_other/arrow.heic": (3024, 4032),
    "piexif/r_canon.jpg": None,
    "piexif/r_casio.jpg": None,
    "piexif/r_olympus.jpg": None,
    "piexif/r_pana.jpg": None,
    "piexif/r_pen.jpg": None,
    "piexif/r_ricoh.jpg": None,
    "piexif/r_sigma.jpg": None,
    "piexif/r_sony.jpg": None,
    "piexif/noexif.jpg": None,
}


@pytest.mark.parametrize("name", UPRIGHT)
def test_samples_look_as_pillow_shows_them(
    store: PictureStore, photos: Path, sample: Callable[[str], Path], name: str
) -> None:
    pillow_heif.register_heif_opener()
    shutil.copy(sample(name), photos / "a")
    picture = store.prepare(["a"])[0]["a"]
    with Image.open(photos / "a") as image:
        upright = ImageOps.exif_transpose(image).convert("RGBA")
    white = Image.new("RGBA", upright.size, "white")
    expected = Image.alpha_composite(white, upright).convert("RGB")
    assert (picture.width, picture.height) == (UPRIGHT[name] or expected.size)
    for derivative in picture.derivatives:
        assert max(derivative.width, derivative.height) <= max(expected.size)
        with Image.open(store.path(derivative)) as made:
            wanted = expected.resize(made.size, Image.Resampling.LANCZOS, reducing_gap=3.0)
            apart = ImageStat.Stat(ImageChops.difference(made, wanted)).mean
            upside_down = wanted.transpose(Image.Transpose.ROTATE_180)
            turned = ImageStat.Stat(ImageChops.difference(made, upside_down)).mean
        # Display P3 shown as sRGB is up to 6 apart in a colourful picture; a turn is far more.
        assert max(apart) < 7
        if not name.startswith("piexif/"):  # those are a plain square
            assert max(turned) > 2 * max(apart)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("pillow-heif/heif_other/pug.heic", "2023-02-21T14:33:08+03:00"),
        ("piexif/noexif.jpg", None),
        ("piexif/notjpeg.jpg", None),
        ("imagesize/test.svg", None),
        ("pillow-heif/heif_corrupted/corrupted.heic", None),
    ],
)
def test_capture_times_of_samples(
    sample: Callable[[str], Path], name: str, shown: str | None
) -> None:
    found = taken(sample(name), OSLO)
    assert (found and found.isoformat()) == shown


@pytest.mark.parametrize(
    "maker", ["canon", "casio", "olympus", "pana", "pen", "ricoh", "sigma", "sony"]
)
def test_capture_times_agree_with_pillow(sample: Callable[[str], Path], maker: str) -> None:
    path = sample(f"piexif/r_{maker}.jpg")
    with Image.open(path) as image:
        written = image.getexif().get_ifd(0x8769).get(0x9003)
    found = taken(path, OSLO)
    assert written
    assert found
    assert found.strftime("%Y:%m:%d %H:%M:%S") == written


def test_what_is_no_file_has_no_time(tmp_path: Path) -> None:
    assert taken(tmp_path / "gone.jpg", OSLO) is None
    assert taken(tmp_path, OSLO) is None
