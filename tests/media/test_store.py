"""The store makes each picture once, publishes what it should, and heals."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

import buildbook.media.manifest
import buildbook.media.store
from buildbook.media.engine import Original
from buildbook.media.folder import Folder
from buildbook.media.picture import Derivative, Picture
from buildbook.media.problems import CacheError
from buildbook.media.store import PictureStore


def photo(
    path: Path, size: tuple[int, int] = (900, 600), seed: int = 0, kind: str = "JPEG"
) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    band = Image.linear_gradient("L").resize(size)
    Image.merge("RGB", (band, band.rotate(180), Image.new("L", size, seed))).save(path, kind)


def prepared(store: PictureStore, *files: str) -> dict[str, Picture]:
    pictures, problems = store.prepare(files)
    assert not problems
    return pictures


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> dict[str, list[str]]:
    """Record what is read and how often anything is decoded."""
    done: dict[str, list[str]] = {"read": [], "decoded": []}
    read, open_original = Folder.read, buildbook.media.store.open_original

    def read_and_tell(folder: Folder, file: str) -> bytes:
        done["read"].append(file)
        return read(folder, file)

    def open_and_tell(data: bytes) -> Original:
        done["decoded"].append("")
        return open_original(data)

    monkeypatch.setattr(Folder, "read", read_and_tell)
    monkeypatch.setattr(buildbook.media.store, "open_original", open_and_tell)
    return done


@pytest.mark.parametrize(
    ("size", "made"),
    [
        ((4000, 3000), [(400, 300), (800, 600), (1600, 1200)]),
        ((3000, 4000), [(300, 400), (600, 800), (1200, 1600)]),
        ((1600, 1200), [(400, 300), (800, 600), (1600, 1200)]),
        ((1000, 500), [(400, 200), (800, 400), (1000, 500)]),
        ((400, 300), [(400, 300)]),
        ((399, 10), [(399, 10)]),
        ((1, 1), [(1, 1)]),
        ((29_000, 1), [(400, 1), (800, 1), (1600, 1)]),
    ],
)
def test_sizes_go_by_the_long_edge_and_never_up(
    store: PictureStore, photos: Path, size: tuple[int, int], made: list[tuple[int, int]]
) -> None:
    photo(photos / "a", size, kind="PNG")
    picture = prepared(store, "a")["a"]
    assert (picture.width, picture.height) == size
    assert [(d.width, d.height) for d in picture.derivatives] == made
    for derivative in picture.derivatives:
        with Image.open(store.path(derivative)) as image:
            assert (image.format, image.mode) == ("JPEG", "RGB")
            assert image.size == (derivative.width, derivative.height)


def test_content_decides_and_not_the_name(store: PictureStore, photos: Path) -> None:
    for kind in ("PNG", "WEBP", "TIFF", "BMP", "GIF", "AVIF"):
        photo(photos / f"{kind}.jpg", kind=kind)
    photo(photos / "jpeg.heic")
    photo(photos / "no ending")
    names = sorted(path.name for path in photos.iterdir())
    assert len(prepared(store, *names)) == 8


@pytest.mark.parametrize(
    ("mode", "colour", "shown"),
    [
        ("RGBA", (255, 0, 0, 0), (255, 255, 255)),
        ("RGBA", (255, 0, 0, 128), (255, 127, 127)),
        ("LA", (0, 0), (255, 255, 255)),
        ("L", 77, (77, 77, 77)),
        ("1", 1, (255, 255, 255)),
        ("I;16", 0x4D4D, (77, 77, 77)),
    ],
)
def test_pixels_become_opaque_8_bit_rgb(
    store: PictureStore,
    photos: Path,
    mode: str,
    colour: int | tuple[int, ...],
    shown: tuple[int, ...],
) -> None:
    Image.new(mode, (500, 400), colour).save(photos / "a.png")
    for derivative in prepared(store, "a.png")["a.png"].derivatives:
        with Image.open(store.path(derivative)) as image:
            assert image.mode == "RGB"
            pixel = image.getpixel((derivative.width // 2, derivative.height // 2))
        assert isinstance(pixel, tuple)
        assert all(abs(a - b) <= 3 for a, b in zip(pixel, shown, strict=True)), pixel


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "PNG"])
def test_the_first_frame_stands_for_an_animation(
    store: PictureStore, photos: Path, kind: str
) -> None:
    frames = [Image.new("RGB", (64, 64), colour) for colour in ((200, 0, 0), (0, 200, 0))]
    frames[0].save(photos / "a", kind, save_all=True, append_images=frames[1:])
    (derivative,) = prepared(store, "a")["a"].derivatives
    with Image.open(store.path(derivative)) as image:
        pixel = image.getpixel((32, 32))
    assert isinstance(pixel, tuple)
    assert all(abs(a - b) <= 6 for a, b in zip(pixel, (200, 0, 0), strict=True))


def test_a_second_run_reads_nothing(
    store: PictureStore, photos: Path, work: dict[str, list[str]]
) -> None:
    names = [f"2031/{number}.jpg" for number in range(5)]
    for number, name in enumerate(names):
        photo(photos / name, seed=number)
    first = prepared(store, *names)
    assert sorted(work["read"]) == names
    assert len(work["decoded"]) == 5
    assert prepared(store, *names) == first
    assert (len(work["read"]), len(work["decoded"])) == (5, 5)


def test_a_moved_or_touched_photo_is_not_decoded(
    store: PictureStore, photos: Path, work: dict[str, list[str]]
) -> None:
    photo(photos / "a.jpg")
    (before,) = prepared(store, "a.jpg")["a.jpg"].derivatives[-1:]
    os.utime(photos / "a.jpg", (1, 1))
    (photos / "b.jpg").write_bytes((photos / "a.jpg").read_bytes())
    after = prepared(store, "a.jpg", "b.jpg")
    assert after["a.jpg"].derivatives[-1] == before
    assert store.path(after["b.jpg"].derivatives[-1]) == store.path(before)
    assert after["b.jpg"].derivatives[-1].file == before.file.replace("a-", "b-", 1)
    assert len(work["decoded"]) == 1


def test_a_changed_photo_gets_a_new_name(store: PictureStore, photos: Path) -> None:
    photo(photos / "a.jpg", seed=1)
    before = prepared(store, "a.jpg")["a.jpg"]
    photo(photos / "a.jpg", seed=200)
    after = prepared(store, "a.jpg")["a.jpg"]
    assert {d.file for d in before.derivatives}.isdisjoint(d.file for d in after.derivatives)


def test_other_settings_give_other_names(
    store: PictureStore, photos: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo(photos / "a.jpg")
    photo(photos / "b.jpg", seed=9)
    before = prepared(store, "a.jpg", "b.jpg")["a.jpg"]
    for module in (buildbook.media.picture, buildbook.media.manifest):
        monkeypatch.setattr(module, "SETTINGS", "other")
    after = prepared(store, "a.jpg")["a.jpg"]
    assert list(json.loads((cache / "pictures.json").read_text())["seen"]) == ["a.jpg"]
    assert {d.file for d in before.derivatives}.isdisjoint(d.file for d in after.derivatives)


def test_names_that_differ_in_case_do_not_collide(store: PictureStore, photos: Path) -> None:
    names = ["Fin.JPG", "fin.jpg", "2031/fin.jpg", "é.jpg", "e.jpg", "✈️.jpg", "a b.jpg"]
    for number, name in enumerate(names):
        photo(photos / name, seed=number * 30)
    pictures = prepared(store, *names)
    assert list(pictures) == names
    files = [d.file.casefold() for picture in pictures.values() for d in picture.derivatives]
    assert len(set(files)) == len(files)
    assert all(file.isascii() for file in files)


@pytest.mark.parametrize("harm", ["missing", "empty", "short", "long"])
def test_a_harmed_derivative_heals(store: PictureStore, photos: Path, harm: str) -> None:
    photo(photos / "a.jpg")
    before = prepared(store, "a.jpg")["a.jpg"]
    path = store.path(before.derivatives[0])
    whole = path.read_bytes()
    if harm == "missing":
        path.unlink()
    else:
        path.write_bytes({"empty": b"", "short": whole[:-9], "long": whole + b"x"}[harm])
    assert prepared(store, "a.jpg")["a.jpg"] == before
    assert path.read_bytes() == whole


@pytest.mark.parametrize(
    "manifest",
    [
        "",
        "{",
        "null",
        "[]",
        '{"settings": 1}',
        '{"settings": "{settings}", "seen": 3}',
        '{"settings": "{settings}", "seen": {"a.jpg": 3}, "known": {}}',
        '{"settings": "{settings}", "seen": {"a.jpg": {"size": 1}}, "known": {}}',
        '{"settings": "{settings}", "seen": {}, "known": {"0": {"taken": 4, "made": []}}}',
        "[" * 100_000,
    ],
)
def test_a_harmed_manifest_costs_only_time(
    store: PictureStore, photos: Path, cache: Path, manifest: str
) -> None:
    photo(photos / "a.jpg")
    before = prepared(store, "a.jpg")
    settings = buildbook.media.picture.SETTINGS
    (cache / "pictures.json").write_text(manifest.replace("{settings}", settings))
    assert prepared(store, "a.jpg") == before
    assert json.loads((cache / "pictures.json").read_text())["seen"]["a.jpg"]


KILLED = """
import os, signal, sys
from pathlib import Path
from zoneinfo import ZoneInfo
import buildbook.media.store as module
module._SAVE_EVERY = -1
store = module.PictureStore(Path(sys.argv[1]), Path(sys.argv[2]), zone=ZoneInfo("UTC"), workers=2)
def progress(done, of):
    if done == 5:
        os.kill(os.getpid(), signal.SIGKILL)
store.prepare([f"{n}.jpg" for n in range(12)], progress=progress)
"""


def test_a_killed_run_is_finished_by_the_next(
    store: PictureStore,
    photos: Path,
    cache: Path,
    tmp_path: Path,
    work: dict[str, list[str]],
) -> None:
    names = [f"{number}.jpg" for number in range(12)]
    for number, name in enumerate(names):
        photo(photos / name, seed=number * 20)
    killed = subprocess.run([sys.executable, "-c", KILLED, photos, cache], check=False)
    assert killed.returncode == -9
    (cache / ".half.jpg.1-1.part").write_bytes(b"half")
    os.utime(cache / ".half.jpg.1-1.part", (time.time() - 99_999,) * 2)
    (cache / ".fresh.jpg.1-1.part").write_bytes(b"of a run that is still at it")

    pictures = prepared(store, *names)

    assert len(work["read"]) == 8  # four were saved before the fifth was reported
    assert not (cache / ".half.jpg.1-1.part").exists()
    assert (cache / ".fresh.jpg.1-1.part").exists()
    clean = PictureStore(photos, tmp_path / "clean", zone=ZoneInfo("UTC"), workers=1)
    assert prepared(clean, *names) == pictures
    for picture in pictures.values():
        for derivative in picture.derivatives:
            assert store.path(derivative).read_bytes() == clean.path(derivative).read_bytes()


def test_an_interrupted_write_leaves_nothing(
    store: PictureStore, photos: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo(photos / "a.jpg")

    def full(_: Path, __: Path) -> Path:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", full)
        with pytest.raises(CacheError, match=r"cannot be written: No space left on device"):
            store.prepare(["a.jpg"])
    assert not list(cache.iterdir())
    assert prepared(store, "a.jpg")


def test_a_cache_that_cannot_be_made_is_told(photos: Path, tmp_path: Path) -> None:
    photo(photos / "a.jpg")
    (tmp_path / "cache").write_text("a file in its place")
    store = PictureStore(photos, tmp_path / "cache", zone=ZoneInfo("UTC"))
    with pytest.raises(CacheError, match="the folder for prepared pictures"):
        store.prepare(["a.jpg"])


def test_a_program_error_in_a_photo_is_not_hidden(
    store: PictureStore, photos: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: bytes) -> Original:
        raise ZeroDivisionError

    photo(photos / "a.jpg")
    monkeypatch.setattr(buildbook.media.store, "open_original", broken)
    with pytest.raises(ZeroDivisionError):
        store.prepare(["a.jpg"])


def test_progress_counts_what_is_prepared(store: PictureStore, photos: Path) -> None:
    names = [f"{number}.jpg" for number in range(4)]
    for number, name in enumerate(names):
        photo(photos / name, seed=number)
    told: list[tuple[int, int]] = []

    def tell(done: int, of: int) -> None:
        told.append((done, of))

    store.prepare(["gone.jpg", *names], progress=tell)
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]
    store.prepare(names, progress=tell)
    assert len(told) == 4


def test_twins_and_repeats_are_prepared_together(store: PictureStore, photos: Path) -> None:
    for number in range(8):
        photo(photos / f"{number}.jpg")
    names = [f"{number}.jpg" for number in range(8)]
    pictures = prepared(store, *names, *names)
    assert len(pictures) == 8
    assert len({store.path(p.derivatives[0]) for p in pictures.values()}) == 1


def test_derivatives_can_be_read_by_a_web_server(store: PictureStore, photos: Path) -> None:
    photo(photos / "a.jpg")
    before = os.umask(0o022)
    try:
        derivatives = prepared(store, "a.jpg")["a.jpg"].derivatives
    finally:
        os.umask(before)
    assert {store.path(d).stat().st_mode & 0o777 for d in derivatives} == {0o644}


def test_a_path_is_given_only_for_own_names(store: PictureStore) -> None:
    for name in ("../../etc/passwd", "a.jpg", "a-../x-400.jpg", ""):
        with pytest.raises(ValueError, match="not the name of a prepared picture"):
            store.path(Derivative(name, 1, 1))


def test_nothing_to_do_writes_nothing(store: PictureStore, cache: Path) -> None:
    assert store.prepare([]) == ({}, [])
    assert not cache.exists()


def test_importing_loads_no_decoder() -> None:
    code = (
        "import sys, buildbook.media.store, buildbook.media.capture;"
        "print({'pyvips', 'PIL', 'pillow_heif'} & set(sys.modules))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert said.stdout.strip() == "set()"
