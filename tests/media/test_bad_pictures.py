"""What is wrong with a photo is said in plain words, and costs the other photos nothing."""

import os
import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from buildbook.media.engine import open_original, render
from buildbook.media.exif import moment
from buildbook.media.folder import Folder
from buildbook.media.problems import BadPictureError
from buildbook.media.store import PictureStore


def encoded(kind: str, size: tuple[int, int] = (300, 200)) -> bytes:
    out = BytesIO()
    Image.effect_noise(size, 60).convert("RGB").save(out, kind)
    return out.getvalue()


def png_of(width: int, height: int) -> bytes:
    """Give the header of a PNG (ISO/IEC 15948) and no pixels to speak of."""
    header = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = b"IDAT" + zlib.compress(b"\0")
    chunks = [header, pixels, b"IEND"]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in chunks
    )


HALF = {
    kind: encoded(kind)[: len(encoded(kind)) // 2]
    for kind in ("JPEG", "PNG", "GIF", "WEBP", "TIFF", "AVIF", "BMP")
}
BAD = {
    **{f"half.{kind.lower()}": (data, "picture-damaged") for kind, data in HALF.items()},
    "start.jpg": (encoded("JPEG")[:20], "picture-damaged"),
    "one-byte.jpg": (b"\xff", "picture-unknown"),
    "empty.jpg": (b"", "picture-empty"),
    "words.jpg": (b"not a picture at all", "picture-unknown"),
    "page.png": (b"<!doctype html><title>Not found</title>", "picture-unknown"),
    "drawing.jpg": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "picture-unknown"),
    "plan.jpg": (b"%PDF-1.7\n", "picture-unknown"),
    "clip.jpg": (b"\0\0\0\x18ftypqt  \0\0\0\0qt  \0\0\0\0", "picture-clip"),
    "clip.heic": (b"\0\0\0\x18ftypisom\0\0\0\0isommp42", "picture-clip"),
    "square-bomb.png": (png_of(11_000, 11_000), "picture-too-large"),
    "wide-bomb.png": (png_of(30_001, 2), "picture-too-large"),
    "huge-bomb.png": (png_of(1_000_000, 1_000_000), "picture-too-large"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_pictures_are_told(store: PictureStore, photos: Path, name: str) -> None:
    data, code = BAD[name]
    (photos / name).write_bytes(data)
    (photos / "good.jpg").write_bytes(encoded("JPEG"))
    pictures, problems = store.prepare([name, "good.jpg"])
    assert list(pictures) == ["good.jpg"]
    (problem,) = problems
    assert (problem.file, problem.code) == (name, code)
    assert f"`photos/{name}`" in problem.sentence
    assert problem.advice
    assert not problem.sentence.endswith(".")


def test_limits_let_the_largest_telephone_through() -> None:
    original = open_original(png_of(12_000, 9_000))
    assert (original.width, original.height) == (12_000, 9_000)
    with pytest.raises(BadPictureError, match="cut short"):
        render(original, (400,))


@pytest.mark.parametrize(
    "name",
    [
        "../outside.jpg",
        "a/../../outside.jpg",
        "link.jpg",
        "linked/outside.jpg",
        "..\\outside.jpg",
        "C:/outside.jpg",
        "{absolute}",
    ],
)
def test_nothing_outside_the_folder_is_read(
    store: PictureStore, photos: Path, tmp_path: Path, name: str
) -> None:
    (tmp_path / "away").mkdir()
    for place in (tmp_path, tmp_path / "away"):
        (place / "outside.jpg").write_bytes(encoded("JPEG"))
    (photos / "link.jpg").symlink_to(tmp_path / "outside.jpg")
    (photos / "linked").symlink_to(tmp_path / "away")
    name = name.format(absolute=tmp_path / "outside.jpg")
    pictures, (problem,) = store.prepare([name])
    assert not pictures
    assert problem.code == "picture-outside"


def test_a_link_inside_the_folder_is_followed(store: PictureStore, photos: Path) -> None:
    (photos / "2031").mkdir()
    (photos / "2031" / "a.jpg").write_bytes(encoded("JPEG"))
    (photos / "a.jpg").symlink_to("2031/a.jpg")
    (photos / "now").symlink_to("2031")
    pictures, problems = store.prepare(["a.jpg", "now/a.jpg"])
    assert len(pictures) == 2
    assert not problems


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("gone.jpg", "picture-gone"),
        ("no/such/folder.jpg", "picture-gone"),
        ("file.jpg/inside.jpg", "picture-gone"),
        ("n" * 300 + ".jpg", "picture-gone"),
        ("nul\0.jpg", "picture-gone"),
        ("dangling.jpg", "picture-gone"),
        ("loop.jpg", "picture-gone"),
        ("folder.jpg", "picture-unknown"),
        ("pipe.jpg", "picture-unknown"),
        ("", "picture-unknown"),
    ],
)
def test_what_is_no_file_is_told(store: PictureStore, photos: Path, name: str, code: str) -> None:
    (photos / "file.jpg").write_bytes(encoded("JPEG"))
    (photos / "folder.jpg").mkdir()
    (photos / "dangling.jpg").symlink_to("gone.jpg")
    (photos / "loop.jpg").symlink_to("loop.jpg")
    os.mkfifo(photos / "pipe.jpg")
    pictures, (problem,) = store.prepare([name])
    assert not pictures
    assert problem.code == code


def test_a_name_that_is_no_text_is_told(store: PictureStore) -> None:
    (problem,) = store.prepare([os.fsdecode(b"gone-\xff.jpg")])[1]
    assert problem.sentence.encode()  # can be shown


def test_no_permission_is_told(
    store: PictureStore, photos: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (photos / "a.jpg").write_bytes(encoded("JPEG"))

    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)  # an administrator may read everything
    (problem,) = store.prepare(["a.jpg"])[1]
    assert problem.code == "picture-unreadable"


def test_gone_between_looking_and_reading(
    store: PictureStore, photos: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("a.jpg", "b.jpg"):
        (photos / name).write_bytes(encoded("JPEG"))
    look = Folder.stat

    def look_and_lose(folder: Folder, file: str) -> os.stat_result:
        found = look(folder, file)
        if file == "a.jpg":
            (photos / file).unlink()
        return found

    monkeypatch.setattr(Folder, "stat", look_and_lose)
    pictures, (problem,) = store.prepare(["a.jpg", "b.jpg"])
    assert list(pictures) == ["b.jpg"]
    assert (problem.file, problem.code) == ("a.jpg", "picture-gone")


def test_problems_come_in_the_order_asked(store: PictureStore, photos: Path) -> None:
    names = [f"{number}.jpg" for number in (3, 1, 2, 9, 5)]
    for name in names[::2]:
        (photos / name).write_bytes(b"no picture")
    assert [problem.file for problem in store.prepare(names)[1]] == names


def test_a_mended_photo_is_seen(store: PictureStore, photos: Path) -> None:
    (photos / "a.jpg").write_bytes(HALF["JPEG"])
    assert store.prepare(["a.jpg"])[1]
    (photos / "a.jpg").write_bytes(encoded("JPEG"))
    pictures, problems = store.prepare(["a.jpg"])
    assert pictures
    assert not problems


@pytest.mark.parametrize("file", ["heif_special/200MP", "heif_truncated/truncated"])
def test_bad_heic_samples(
    store: PictureStore, photos: Path, sample: Callable[[str], Path], file: str
) -> None:
    (photos / "a.heic").symlink_to(sample(f"pillow-heif/{file}.heic"))
    (photos / "b.heic").write_bytes(sample(f"pillow-heif/{file}.heic").read_bytes())
    outside, problem = store.prepare(["a.heic", "b.heic"])[1]
    assert outside.code == "picture-outside"
    assert problem.code == ("picture-too-large" if "200MP" in file else "picture-damaged")


def test_half_a_real_heic_is_not_half_grey(
    store: PictureStore, photos: Path, sample: Callable[[str], Path]
) -> None:
    data = sample("pillow-heif/heif_other/pug.heic").read_bytes()
    (photos / "a.heic").write_bytes(data[: len(data) // 2])
    (problem,) = store.prepare(["a.heic"])[1]
    assert problem.code == "picture-damaged"


GOOD = {kind: encoded(kind, (40, 30)) for kind in HALF}


@settings(deadline=None, max_examples=150, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_garbled_files_give_a_picture_or_a_problem(data: st.DataObject) -> None:
    garbled = bytearray(GOOD[data.draw(st.sampled_from(sorted(GOOD)))])
    for at in data.draw(st.lists(st.integers(0, len(garbled) - 1), min_size=1, max_size=8)):
        garbled[at] = data.draw(st.integers(0, 255))
    try:
        original = open_original(bytes(garbled))
        if original.width * original.height < 1_000_000:
            assert render(original, (40,))
    except BadPictureError:
        pass  # anything else fails the test


@settings(deadline=None)
@given(st.binary(max_size=200), st.sampled_from([b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08", b""]))
def test_any_bytes_for_exif_do_no_harm(data: bytes, start: bytes) -> None:
    moment(start + data)
