"""Pictures in full size: pixels as they were, nothing beside them, nothing to see in the boxes."""

import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageCms, ImageOps
from test_hidden_boxes import BOX, contrast, stripes
from test_privacy import SECRETS, loaded_with_secrets

from buildbook.media.bare import bare, frame_of
from buildbook.media.store import PictureStore


@pytest.fixture
def store(photos: Path, cache: Path) -> PictureStore:
    return PictureStore(photos, cache, zone=ZoneInfo("Europe/Oslo"), full_size=True)


def full(store: PictureStore, file: str) -> Path:
    pictures, problems = store.prepare([file])
    assert not problems
    found = pictures[file].full
    assert found
    assert found.file.endswith("-full.jpg")
    path = store.path(found)
    with Image.open(path) as image:
        assert ImageOps.exif_transpose(image).size == (found.width, found.height)
        assert image.mode in {"RGB", "L"}
        assert set(dict(image.getexif())) <= {0x0112}, "nothing but how to turn it"
    return path


def same_pixels(one: Path, other: Path) -> bool:
    with Image.open(one) as first, Image.open(other) as second:
        return ImageChops.difference(first.convert("RGB"), second.convert("RGB")).getbbox() is None


def test_none_is_made_unless_asked_for(photos: Path, cache: Path) -> None:
    stripes(photos / "a.png")
    plain = PictureStore(photos, cache, zone=ZoneInfo("Europe/Oslo"))
    assert plain.prepare(["a.png"])[0]["a.png"].full is None
    assert not list(cache.glob("*full*"))


def test_asking_later_makes_it_and_asking_again_does_not(
    store: PictureStore, photos: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded_with_secrets(photos / "a.jpg")
    PictureStore(photos, cache, zone=ZoneInfo("Europe/Oslo")).prepare(["a.jpg"])
    assert full(store, "a.jpg").is_file()
    monkeypatch.setattr("buildbook.media.store.open_original", None)  # not to be called again
    assert full(store, "a.jpg").is_file()


def test_a_jpeg_keeps_its_pixels_and_nothing_else(store: PictureStore, photos: Path) -> None:
    loaded_with_secrets(photos / "a.jpg")
    made = full(store, "a.jpg")
    data = made.read_bytes()
    assert not any(secret in data for secret in SECRETS)
    assert same_pixels(photos / "a.jpg", made)
    with Image.open(made) as image:
        assert dict(image.getexif()) == {0x0112: 6}, "it is still turned upright"
        assert "icc_profile" not in image.info


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("restarts", [0, 4])
def test_jpegs_of_every_build_are_followed(
    store: PictureStore, photos: Path, progressive: bool, restarts: int
) -> None:
    image = Image.effect_noise((300, 200), 80).convert("RGB")
    image.save(photos / "a.jpg", progressive=progressive, restart_marker_blocks=restarts)
    with (photos / "a.jpg").open("ab") as file:  # as a telephone adds a clip
        file.write(b"\0\0\0\x18ftypmp42 SECRET-clip \xff\xd8\xff\xe1SECRET\xff\xd9")
    made = full(store, "a.jpg")
    assert same_pixels(photos / "a.jpg", made)
    assert b"SECRET" not in made.read_bytes()
    assert made.read_bytes().endswith(b"\xff\xd9")


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP", "AVIF"])
def test_other_kinds_become_jpeg(store: PictureStore, photos: Path, kind: str) -> None:
    exif = Image.Exif()
    exif[0x013B], exif[0x0112] = "SECRET-owner", 6
    image = Image.linear_gradient("L").convert("RGB").resize((300, 200))
    image.save(photos / "a", kind, exif=exif)
    made = full(store, "a")
    assert b"SECRET" not in made.read_bytes()
    with Image.open(photos / "a") as was, Image.open(made) as now:
        upright = ImageOps.exif_transpose(was).convert("RGB")
        assert max(m[1] for m in ImageChops.difference(upright, now).getextrema()) < 12


def test_other_colours_become_srgb(store: PictureStore, photos: Path) -> None:
    """A profile may carry a serial number in its description; it is applied and left out."""
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("XYZ")).tobytes()
    Image.new("RGB", (80, 60), (120, 60, 60)).save(photos / "a.jpg", icc_profile=lab)
    Image.new("CMYK", (80, 60), (0, 255, 255, 0)).save(photos / "b.jpg")
    for name in ("a.jpg", "b.jpg"):
        with Image.open(full(store, name)) as image:
            assert image.mode == "RGB"
            assert "icc_profile" not in image.info


def test_boxes_are_burned_into_the_full_size(photos: Path, store: PictureStore) -> None:
    stripes(photos / "a.png")
    with Image.open(photos / "a.png") as image:
        image.save(photos / "a.jpg", quality=95)
    pictures, problems = store.prepare(["a.jpg"], hidden={"a.jpg": (BOX,)})
    assert not problems
    made = pictures["a.jpg"].full
    assert made
    assert (made.width, made.height) == (2000, 1500)
    with Image.open(store.path(made)) as image:
        assert contrast(image, BOX) < 40
        assert contrast(image, (0.6, 0.25, 0.25, 0.5)) > 100


def segments(data: bytes) -> Iterator[int]:
    """Yield every marker before the first scan (ITU-T T.81, annex B), read in another way."""
    at = 2
    while data[at + 1] != 0xDA:
        yield data[at + 1]
        at += 2 + struct.unpack_from(">H", data, at + 2)[0]


@pytest.mark.parametrize(
    "file",
    [f"piexif/r_{maker}.jpg" for maker in "canon casio olympus pana pen ricoh sigma sony".split()]
    + ["imagesize/test.jpg", "imagesize/test-rotated.jpg", "pillow-heif/heif_other/pug.heic"],
)
def test_real_cameras(
    store: PictureStore, photos: Path, sample: Callable[[str], Path], file: str
) -> None:
    shutil.copy(sample(file), photos / "a")
    made = full(store, "a")
    markers = list(segments(made.read_bytes()))
    assert not set(markers) & {0xE2, *range(0xE3, 0xEE), 0xEF, 0xFE}
    if file.startswith("piexif"):  # the others have colours of their own, and are made anew
        assert same_pixels(photos / "a", made)
    if exiftool := shutil.which("exiftool"):
        said = subprocess.run([exiftool, "-G1", "-s", "-a", made], capture_output=True, check=True)
        lines = [line.split(b":")[0] for line in said.stdout.splitlines()]
        own = (b"ExifTool", b"System", b"File", b"JFIF", b"Composite", b"Adobe")
        beside = [ln for ln in lines if ln.split(b"]")[0].strip(b"[") not in own]
        assert {b"".join(ln.split(b"]")[1:]).strip() for ln in beside} <= {
            b"Orientation",
            b"ExifByteOrder",
        }


@given(st.binary(max_size=60))
def test_any_bytes_are_followed_or_refused(data: bytes) -> None:
    for start in (b"", b"\xff\xd8", b"\xff\xd8\xff\xda\0\2"):
        frame_of(start + data)
        try:
            made = bare(start + data)
        except ValueError:
            continue
        assert made.startswith(b"\xff\xd8")


def test_a_thumbnail_in_the_first_segment_is_gone() -> None:
    """JFIF (ECMA TR/98, 10) allows a small picture in its own segment."""
    out = BytesIO()
    Image.new("RGB", (16, 16)).save(out, "JPEG")
    data = out.getvalue()
    pixels = b"SECRET" * 2
    jfif = b"JFIF\0\x01\x02\0\0\x01\0\x01\x02\x02" + pixels
    with_thumbnail = b"\xff\xd8\xff\xe0" + struct.pack(">H", len(jfif) + 2) + jfif + data[20:]
    with Image.open(BytesIO(with_thumbnail)) as image:
        image.load()
    assert b"SECRET" not in bare(with_thumbnail)
