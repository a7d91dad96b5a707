"""What no build has used for a season goes out of the caches; what is used, and all else, stays."""

import json
import os
import time
from datetime import UTC
from pathlib import Path

import pytest
from bad_files import encoded
from clipmaker import make

from buildbook.media.clipstore import ClipStore, Wish
from buildbook.media.keeping import UNUSED, is_whole, tidy
from buildbook.media.store import PictureStore

LONG_AGO = time.time() - UNUSED - 3600
FACE = ((0.1, 0.1, 0.2, 0.2),)


def rest(cache: Path) -> None:
    """Let all that is in a cache have been made and last used more than a season ago."""
    for file in cache.iterdir():
        os.utime(file, (LONG_AGO, LONG_AGO))


def made(cache: Path) -> set[str]:
    return {p.name for p in cache.iterdir() if p.suffix != ".json"}


@pytest.fixture
def store(photos: Path, cache: Path) -> PictureStore:
    for name in ("one.jpg", "two.jpg"):
        (photos / name).write_bytes(encoded("JPEG", (900, 600)))
    return PictureStore(photos, cache, zone=UTC, workers=1)


def test_pictures_nobody_uses_go_and_those_in_use_stay(
    store: PictureStore, photos: Path, cache: Path
) -> None:
    first, _ = store.prepare(["one.jpg", "two.jpg"])
    kept = {store.path(d).name: store.path(d).stat() for d in first["one.jpg"].derivatives}
    rest(cache)
    (photos / "two.jpg").unlink()
    (photos / "three.jpg").write_bytes(encoded("JPEG", (900, 600)))
    second, problems = store.prepare(["one.jpg", "three.jpg"])
    assert not problems
    assert second["one.jpg"] == first["one.jpg"]
    assert made(cache) == {store.path(d).name for p in second.values() for d in p.derivatives}
    for name, before in kept.items():
        after = (cache / name).stat()
        assert after.st_ino == before.st_ino, "not made again"
        assert after.st_mtime == pytest.approx(LONG_AGO, abs=1), "its time of change stays"
    told = json.loads((cache / "pictures.json").read_text())
    assert set(told["seen"]) == {"one.jpg", "three.jpg"}
    assert len(told["known"]) == 2


def test_a_book_that_rested_loses_nothing_it_shows(store: PictureStore, cache: Path) -> None:
    first, _ = store.prepare(["one.jpg", "two.jpg"])
    before = made(cache)
    rest(cache)
    assert store.prepare(["one.jpg", "two.jpg"])[0] == first
    store.prepare(["one.jpg"], hidden={"one.jpg": FACE})  # the cache grows, and is looked through
    assert before < made(cache)


def test_other_sizes_and_boxes_of_the_past_go(photos: Path, cache: Path) -> None:
    (photos / "one.jpg").write_bytes(encoded("JPEG", (900, 600)))
    full = PictureStore(photos, cache, zone=UTC, workers=1, full_size=True)
    full.prepare(["one.jpg"])
    assert any("full" in name for name in made(cache))
    rest(cache)
    plain = PictureStore(photos, cache, zone=UTC, workers=1)
    shown, _ = plain.prepare(["one.jpg"], hidden={"one.jpg": FACE})
    assert made(cache) == {plain.path(d).name for d in shown["one.jpg"].derivatives}
    again, problems = full.prepare(["one.jpg"])
    assert not problems
    assert again["one.jpg"].full, "what went is made again when it is asked for"


def test_clips_nobody_uses_go_and_those_in_use_stay(photos: Path, cache: Path) -> None:
    make(photos / "one.mp4", frames=6)
    make(photos / "two.mp4", frames=8)
    clips = ClipStore(photos, cache)
    first, _ = clips.prepare({"one.mp4": Wish(), "two.mp4": Wish()})
    rest(cache)
    (photos / "two.mp4").unlink()
    second, _ = clips.prepare({"one.mp4": Wish(silent=True)})
    one = second["one.mp4"]
    assert one.preview == first["one.mp4"].preview
    assert made(cache) == {clips.path(d).name for d in (one.film, one.preview, *one.posters)}
    told = json.loads((cache / "clips.json").read_text())
    assert (len(told["seen"]), len(told["facts"]), len(told["made"])) == (1, 1, 3)


def test_a_folder_that_is_no_cache_loses_nothing(tmp_path: Path) -> None:
    """A setting may name a folder that holds a builder's own files."""
    own = ["rib.jpg", "IMG-400.jpg", "0123456789ab-400.jpg.bak", "notes.part", "film.mp4", "a.json"]
    for name in own:
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "0123456789ab-400.jpg").mkdir()
    rest(tmp_path)
    assert tidy(tmp_path) <= {"0123456789ab-400.jpg"}
    assert {p.name for p in tmp_path.iterdir()} == {*own, "0123456789ab-400.jpg"}


def test_what_is_gone_or_of_another_size_is_not_whole(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"abc")
    assert is_whole(tmp_path / "a", 3)
    assert not is_whole(tmp_path / "a", 4)
    assert not is_whole(tmp_path / "b", 3)
