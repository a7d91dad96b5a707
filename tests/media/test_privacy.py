"""Nothing that a camera wrote beside the pixels may reach the site."""

import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from buildbook.media.store import PictureStore

EXIF_IFD, GPS_IFD, MAKER_NOTE = 0x8769, 0x8825, 0x927C
SECRETS = (b"SECRET-owner", b"SECRET-maker", b"SECRET-xmp", b"SECRET-iptc", b"SECRET-comment")


def segments(jpeg: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield marker and content of each segment before the scan (ITU-T T.81, annex B)."""
    assert jpeg[:2] == b"\xff\xd8"
    at = 2
    while jpeg[at + 1] != 0xDA:
        marker, size = struct.unpack_from(">xBH", jpeg, at)
        yield marker, jpeg[at + 4 : at + 2 + size]
        at += 2 + size


def assert_bare(path: Path) -> None:
    """Fail when a JPEG holds anything but what decoding takes, without printing what it holds."""
    data = path.read_bytes()
    app = {marker for marker, _ in segments(data) if 0xE0 <= marker <= 0xEF}
    assert not app, f"application segments {sorted(hex(a) for a in app)}"
    commented = any(marker == 0xFE for marker, _ in segments(data))
    assert not commented, "has a comment"
    assert data.count(b"\xff\xd8\xff") == 1, "holds a second JPEG"
    after_end = data.rpartition(b"\xff\xd9")[2]
    assert not after_end, "has something after its end"
    with Image.open(path) as image:
        has_exif = bool(dict(image.getexif()))
        names = set(image.info)
        assert image.mode == "RGB"
    assert not has_exif
    assert not names
    if exiftool := shutil.which("exiftool"):
        said = subprocess.run([exiftool, "-G1", "-s", "-a", path], capture_output=True, check=True)
        groups = {line.split(b"]")[0].strip(b"[") for line in said.stdout.splitlines()}
        assert not groups - {b"ExifTool", b"System", b"File", b"Composite"}


def loaded_with_secrets(path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x013B] = "SECRET-owner"
    exif.get_ifd(EXIF_IFD)[0x9003] = "2031:03:08 14:05:09"
    exif.get_ifd(EXIF_IFD)[MAKER_NOTE] = b"SECRET-maker"
    exif.get_ifd(GPS_IFD).update({1: "N", 2: (1.0, 2.0, 3.0), 3: "E", 4: (4.0, 5.0, 6.0)})
    Image.effect_noise((900, 600), 50).convert("RGB").save(
        path,
        "JPEG",
        exif=exif,
        xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>SECRET-xmp</x:xmpmeta>",
        icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(),
        comment=b"SECRET-comment",
    )
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\0\0\x0c\x1c\x02\x50\0\x0bSECRET-iptc\0"
    data = path.read_bytes()
    path.write_bytes(data[:2] + b"\xff\xed" + struct.pack(">H", len(iptc) + 2) + iptc + data[2:])


def test_every_kind_of_metadata_is_gone(store: PictureStore, photos: Path) -> None:
    loaded_with_secrets(photos / "a.jpg")
    original = (photos / "a.jpg").read_bytes()
    assert all(secret in original for secret in SECRETS), "the control: the original has them"
    with Image.open(photos / "a.jpg") as image:
        assert image.getexif().get_ifd(GPS_IFD), "the control: the original says where"
        assert image.info["icc_profile"]

    pictures, problems = store.prepare(["a.jpg"])

    assert not problems
    assert len(pictures["a.jpg"].derivatives) == 3
    for derivative in pictures["a.jpg"].derivatives:
        assert_bare(store.path(derivative))
        assert b"SECRET" not in store.path(derivative).read_bytes()
    assert (photos / "a.jpg").read_bytes() == original


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "TIFF", "AVIF", "GIF"])
def test_metadata_of_other_kinds_is_gone(store: PictureStore, photos: Path, kind: str) -> None:
    exif = Image.Exif()
    exif[0x013B] = "SECRET-owner"
    image = Image.new("RGB", (64, 64), (9, 99, 9))
    if kind == "GIF":
        image.save(photos / "a", kind, comment=b"SECRET-owner")
    else:
        image.save(photos / "a", kind, exif=exif)
    assert b"SECRET-owner" in (photos / "a").read_bytes()
    (derivative,) = store.prepare(["a"])[0]["a"].derivatives
    assert_bare(store.path(derivative))


@pytest.mark.parametrize("file", ["heif_other/pug.heic"])
def test_the_place_in_a_heic_is_gone(
    store: PictureStore, photos: Path, sample: Callable[[str], Path], file: str
) -> None:
    shutil.copy(sample(f"pillow-heif/{file}"), photos / "a.heic")
    for derivative in store.prepare(["a.heic"])[0]["a.heic"].derivatives:
        assert_bare(store.path(derivative))


@pytest.mark.parametrize(
    "file",
    [
        "piexif/r_canon.jpg",
        "piexif/r_casio.jpg",
        "piexif/r_olympus.jpg",
        "piexif/r_pana.jpg",
        "piexif/r_pen.jpg",
        "piexif/r_ricoh.jpg",
        "piexif/r_sigma.jpg",
        "piexif/r_sony.jpg",
        "imagesize/test-rotated.jpg",
        "imagesize/test-rotated.tiff",
    ],
)
def test_metadata_of_real_cameras_is_gone(
    store: PictureStore, photos: Path, sample: Callable[[str], Path], file: str
) -> None:
    shutil.copy(sample(file), photos / "a")
    with Image.open(photos / "a") as image:
        assert image.getexif(), "the control: the original has Exif"
    for derivative in store.prepare(["a"])[0]["a"].derivatives:
        assert_bare(store.path(derivative))


def test_a_name_carries_only_plain_letters(store: PictureStore, photos: Path) -> None:
    loaded_with_secrets(photos / "a.jpg")
    (photos / "2031").mkdir()
    (photos / "a.jpg").rename(photos / "2031" / "Bjørn's rør № 7 (kopi).JPG")
    (picture,) = store.prepare(["2031/Bjørn's rør № 7 (kopi).JPG"])[0].values()
    for derivative, edge in zip(picture.derivatives, (400, 800, 900), strict=True):
        slug, key, size = derivative.file.rsplit("-", 2)
        assert slug == "bjorn-s-ror-no-7-kopi"
        assert len(bytes.fromhex(key)) == 6
        assert size == f"{edge}.jpg"
