"""The store of clips: made once, healed when damaged, one bad clip costing the others nothing."""

import json
import os
from pathlib import Path

import pytest
from clipmaker import frames_of, make

from buildbook.media.clipstore import ClipStore, PublishedClip, Wish
from buildbook.media.picture import Derivative
from buildbook.media.problems import CacheError

FACE = ((0.1, 0.1, 0.2, 0.2),)
ALIKE = 3.0
"""Of 255, on average over a frame: less than is lost in coding it."""


@pytest.fixture
def clip(photos: Path) -> Path:
    return make(photos / "2025" / "Føhn clip №1.mp4", frames=12)


@pytest.fixture
def clips(photos: Path, cache: Path) -> ClipStore:
    return ClipStore(photos, cache)


def prepared(
    store: ClipStore, file: str = "2025/Føhn clip №1.mp4", **wish: object
) -> PublishedClip:
    ready, problems = store.prepare({file: Wish(**wish)})  # type: ignore[arg-type]
    assert not problems
    return ready[file]


def every(clip: PublishedClip) -> list[Derivative]:
    return [clip.film, clip.preview, *clip.posters]


def stamps(cache: Path) -> dict[str, int]:
    return {p.name: p.stat().st_mtime_ns for p in cache.iterdir() if p.suffix != ".json"}


def test_everything_is_made_under_plain_names(clip: Path, clips: ClipStore, cache: Path) -> None:
    made = prepared(clips)
    assert made.film.file.startswith("fohn-clip-no1-")
    assert [d.file.rsplit("-", 1)[1] for d in every(made)] == ["film.mp4", "preview.mp4", "160.jpg"]
    assert all(clips.path(d).stat().st_size for d in every(made))
    assert made.seconds == pytest.approx(0.48)
    assert not made.sound
    assert sorted(p.name for p in cache.iterdir()) == sorted(
        ["clips.json", *(clips.path(d).name for d in every(made))]
    )
    assert clip.exists()


def test_the_second_time_nothing_is_touched(
    clip: Path, clips: ClipStore, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, before = prepared(clips), stamps(cache)
    monkeypatch.setattr("buildbook.media.folder.Folder.digest", None)
    monkeypatch.setattr("av.open", None)
    assert prepared(clips) == first
    assert stamps(cache) == before
    assert clip.exists()


@pytest.mark.usefixtures("clip")
def test_only_what_a_wish_changes_is_made_again(clips: ClipStore) -> None:
    plain = prepared(clips)
    other = prepared(clips, poster=0.2)
    assert (other.film, other.preview) == (plain.film, plain.preview)
    assert other.posters != plain.posters
    silent = prepared(clips, silent=True)
    assert silent.film != plain.film
    assert (silent.preview, silent.posters) == (plain.preview, plain.posters)
    hidden = prepared(clips, hidden=FACE)
    assert not {d.file for d in every(hidden)} & {d.file for d in every(plain)}


@pytest.mark.usefixtures("clip")
@pytest.mark.parametrize("which", [0, 1, 2])
@pytest.mark.parametrize("harm", ["gone", "cut", "empty"])
def test_what_is_damaged_is_made_again(clips: ClipStore, which: int, harm: str) -> None:
    made = prepared(clips)
    path = clips.path(every(made)[which])
    good = path.read_bytes()
    if harm == "gone":
        path.unlink()
    else:
        path.write_bytes(good[:-9] if harm == "cut" else b"")
    assert prepared(clips) == made
    if path.suffix == ".jpg":
        assert path.read_bytes() == good
        return
    # x264 promises the same pictures, not the same bytes: they differ by a few from run to run.
    healed = frames_of(path)
    before = path.with_name("before.mp4")
    before.write_bytes(good)
    for again, once in zip(healed, frames_of(before), strict=True):
        assert abs(again.astype(int) - once).mean() < ALIKE
    manifest = json.loads((clips.path(made.film).parent / "clips.json").read_text())
    sizes = {f["name"]: f["size"] for files in manifest["made"].values() for f in files}
    assert sizes[path.name] == path.stat().st_size, "and it is known by its new size"


@pytest.mark.usefixtures("clip")
@pytest.mark.parametrize("manifest", ["", "{", "[]", '{"settings": "other"}', "null"])
def test_a_damaged_manifest_reads_as_empty(clips: ClipStore, cache: Path, manifest: str) -> None:
    made = prepared(clips)
    (cache / "clips.json").write_text(manifest)
    assert prepared(clips) == made
    assert json.loads((cache / "clips.json").read_text())["seen"]


def test_a_copy_is_known_by_its_content(clip: Path, clips: ClipStore, cache: Path) -> None:
    first, before = prepared(clips), stamps(cache)
    clip.with_name("copy.mp4").write_bytes(clip.read_bytes())
    other = prepared(clips, "2025/copy.mp4")
    assert stamps(cache) == before
    assert other.sha256 == first.sha256
    assert other.film.file.startswith("copy-")


def test_another_clip_under_the_same_name(clip: Path, clips: ClipStore) -> None:
    first = prepared(clips)
    make(clip, frames=20)
    os.utime(clip, (1, 1))
    assert prepared(clips).film != first.film


@pytest.mark.usefixtures("clip")
def test_a_bad_clip_costs_the_others_nothing(clips: ClipStore, photos: Path) -> None:
    (photos / "bad.mp4").write_bytes(b"nothing")
    wishes = {name: Wish() for name in ("bad.mp4", "2025/Føhn clip №1.mp4", "gone.mov", "../a.mp4")}
    told: list[tuple[str, int, int]] = []
    ready, problems = clips.prepare(wishes, progress=lambda *words: told.append(words))
    assert list(ready) == ["2025/Føhn clip №1.mp4"]
    assert [(p.file, p.code) for p in problems] == [
        ("bad.mp4", "clip-unknown"),
        ("gone.mov", "picture-gone"),
        ("../a.mp4", "picture-outside"),
    ]
    assert all(p.file in p.sentence for p in problems)
    assert [words[1:] for words in told] == [(0, 2), (1, 2)]


@pytest.mark.usefixtures("clip")
def test_a_run_that_is_stopped_leaves_nothing_half_made(
    clips: ClipStore, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("buildbook.media.frames.Upright.of", stop)
        with pytest.raises(KeyboardInterrupt):
            prepared(clips)
    assert not [p.name for p in cache.iterdir() if p.name.startswith(".")]
    assert prepared(clips).film


def test_leftovers_of_killed_runs_go_away(clip: Path, clips: ClipStore, cache: Path) -> None:
    cache.mkdir()
    for name, age in (("old", 2), ("new", None)):
        (cache / f".{name}.part").write_bytes(b"x")
        if age:
            os.utime(cache / f".{name}.part", (age, age))
    prepared(clips)
    assert sorted(p.name for p in cache.glob(".*")) == [".new.part"]
    assert clip.exists()


@pytest.mark.usefixtures("clip")
def test_a_cache_that_cannot_be_written_is_said(photos: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(CacheError, match="cannot be written"):
        ClipStore(photos, tmp_path / "file" / "cache").prepare({"2025/Føhn clip №1.mp4": Wish()})


def test_no_clips_ask_for_nothing(photos: Path, cache: Path) -> None:
    assert ClipStore(photos, cache).prepare({}) == ({}, [])
    assert not cache.exists()
