"""Clips against programs of others: ffprobe and ffmpeg (Debian's package ffmpeg), and exiftool.

What is asked for: H.264 in MP4 (ISO/IEC 14496-12 and -15), 8 bits, 4:2:0, the index in front; no
metadata but what an MP4 file cannot be without.
"""

import json
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from clipmaker import TOLD, make
from sites import ROOT, Site

from buildbook.media.boxes import length
from buildbook.media.clipfacts import look_at
from buildbook.media.clips import poster, preview
from buildbook.media.publishing import EDGE, publish
from buildbook.records.clip import CLIP_ENDINGS

TAGS = {
    "major_brand",
    "minor_version",
    "compatible_brands",
    "language",
    "handler_name",
    "vendor_id",
}
HLG = {"x265-params": "log-level=none:colorprim=bt2020:transfer=arib-std-b67:colormatrix=bt2020nc"}
SOURCES: dict[str, dict[str, Any]] = {
    "plain": {},
    "sound.mov": {"sound": "aac"},
    "old-sound.mov": {"sound": "pcm_s16le", "codec": "mpeg4"},
    "turned-90.mov": {"rotation": 90},
    "turned-180.mov": {"rotation": 180, "codec": "libx265"},
    "turned-270.mov": {"rotation": 270, "codec": "mpeg4"},
    "hevc": {"codec": "libx265"},
    "hdr": {"codec": "libx265", "pixels": "yuv420p10le", "options": HLG, "frames": 10},
    "fast": {"rate": 60, "frames": 90},
    "uneven": {"frames": 6, "times": [0, 33, 100, 500, 533, 900]},
    "one-frame": {"frames": 1},
    "large": {"size": (1920, 1080), "frames": 10},
    "tall": {"size": (1080, 1920), "frames": 10, "sound": "aac"},
}


def program(name: str) -> str:
    found = shutil.which(name)
    if not found:
        said = f"{name} is not there (Debian: apt install ffmpeg libimage-exiftool-perl)"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(said)
        pytest.skip(said)
    return found


def probed(path: Path) -> dict[str, Any]:
    command = [
        program("ffprobe"),
        "-v",
        "error",
        "-show_format",
        "-show_streams",
        "-of",
        "json",
        path,
    ]
    said = subprocess.run(command, capture_output=True, check=True, text=True)
    assert not said.stderr
    result: dict[str, Any] = json.loads(said.stdout)
    return result


def assert_publishable(path: Path) -> dict[str, Any]:
    """Fail unless a file is what every browser plays, and says nothing but its pictures."""
    told = probed(path)
    pictures, *sound = sorted(told["streams"], key=lambda s: s["codec_type"] != "video")
    assert (pictures["codec_name"], pictures["pix_fmt"]) == ("h264", "yuv420p")
    assert max(pictures["width"], pictures["height"]) <= EDGE
    assert [s["codec_name"] for s in sound] in ([], ["aac"])
    tags = set(told["format"].get("tags", {}))
    for stream in told["streams"]:
        tags |= set(stream.get("tags", {}))
    assert tags <= TAGS
    data = path.read_bytes()
    assert 0 < data.index(b"moov") < data.index(b"mdat"), "the index stands in front"
    assert_bare(path)
    pictures["sound"] = bool(sound)
    return pictures


def assert_bare(*paths: Path) -> None:
    """Fail when exiftool finds a place, a date, a name, or anything a camera would have written."""
    command = [program("exiftool"), "-j", "-G1", "-a", "-u", "-ee3", "-api", "LargeFileSupport=1"]
    said = subprocess.run([*command, *paths], capture_output=True, check=True)
    for told in json.loads(said.stdout):
        groups = {name.partition(":")[0] for name in told if ":" in name}
        allowed = {"ExifTool", "System", "File", "QuickTime", "Track1", "Track2", "Composite"}
        assert groups <= allowed, sorted(groups - allowed)
        for name, value in told.items():
            assert not any(word in name for word in ("GPS", "Location", "Make", "Model", "Serial"))
            if "Date" in name and not name.startswith("System:"):
                assert value == "0000:00:00 00:00:00"


@pytest.fixture(params=SOURCES)
def source(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    name = request.param if "." in request.param else f"{request.param}.mp4"
    return make(tmp_path / name, told=TOLD, **SOURCES[request.param])


def test_the_control_has_what_is_to_go(tmp_path: Path) -> None:
    path = make(tmp_path / "a.mov", told=TOLD)
    with pytest.raises(AssertionError):
        assert_bare(path)
    with pytest.raises(AssertionError):
        assert_publishable(path)


def test_what_is_published(source: Path, tmp_path: Path) -> None:
    facts, out = look_at(source), tmp_path / "out.mp4"
    publish(source, out, facts)
    pictures = assert_publishable(out)
    before = probed(source)
    assert float(pictures["duration"]) == pytest.approx(
        float(before["streams"][0]["duration"]), abs=0.06
    )
    assert pictures["sound"] == facts.sound
    assert float(pictures["avg_frame_rate"].split("/")[0]) > 0


def test_preview_and_picture(source: Path, tmp_path: Path) -> None:
    facts, out = look_at(source), tmp_path / "out.mp4"
    preview(source, out, facts, ())
    shown = assert_publishable(out)
    assert not shown["sound"]
    assert float(shown["duration"]) < 4.2
    for still in poster(source, facts, facts.seconds / 3, ()):
        path = tmp_path / f"{still.width}.jpg"
        path.write_bytes(still.jpeg)
        assert_bare(path)


def first_picture(path: Path, size: tuple[int, int]) -> np.ndarray:
    """Decode the first frame as ffmpeg shows it: turned, and in RGB."""
    command = [program("ffmpeg"), "-v", "error", "-i", path, "-frames:v", "1"]
    command += ["-vf", f"scale={size[0]}:{size[1]}", "-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
    raw = subprocess.run(command, capture_output=True, check=True).stdout
    return np.frombuffer(raw, np.uint8).reshape(size[1], size[0], 3).astype(int)


def test_it_is_shown_as_before(source: Path, tmp_path: Path) -> None:
    """The same way up, in the same colours: turned pixels are where ffmpeg puts them."""
    if source.stem == "hdr":
        pytest.skip("colours brighter than a screen's are mapped, not kept")
    facts, out = look_at(source), tmp_path / "out.mp4"
    publish(source, out, facts)
    size = (60, 80) if facts.height > facts.width else (80, 60)
    before, after = first_picture(source, size), first_picture(out, size)
    assert np.abs(before - after).mean() < 6
    publish(source, tmp_path / "hidden.mp4", facts, hidden=((0.9, 0.9, 0.01, 0.01),))
    assert np.abs(before - first_picture(tmp_path / "hidden.mp4", size)).mean() < 6


def test_length_without_decoding(source: Path) -> None:
    assert length(source) == pytest.approx(float(probed(source)["format"]["duration"]), abs=0.05)


def test_what_was_cut_off_is_not_published(tmp_path: Path) -> None:
    """A clip cut without coding it anew notes where it begins, and keeps the rest in the file."""
    source, cut = make(tmp_path / "a.mp4", sound="aac"), tmp_path / "cut.mp4"
    command = [program("ffmpeg"), "-v", "error", "-ss", "1.5", "-i", source, "-c", "copy", cut]
    subprocess.run(command, check=True)
    frames = ["-count_packets", "-select_streams", "v", "-show_entries", "stream=nb_read_packets"]
    count = [program("ffprobe"), "-v", "error", *frames, "-of", "csv=p=0"]

    def packets(path: Path) -> int:
        return int(subprocess.run([*count, path], capture_output=True, check=True).stdout)

    out = tmp_path / "out.mp4"
    publish(cut, out, look_at(cut))
    assert packets(cut) > packets(out), "the control: it holds more than it shows"
    assert packets(out) == pytest.approx(13, abs=1)
    assert float(assert_publishable(out)["duration"]) == pytest.approx(0.5, abs=0.1)


def test_every_film_and_picture_of_the_demo(demo_site: Site) -> None:
    originals = [
        p for p in (ROOT / "content/photos").rglob("*") if p.suffix.lower() in CLIP_ENDINGS
    ]
    assert originals
    films = sorted((demo_site.folder / "clips").glob("*.mp4"))
    assert len(films) == 2 * len(originals)
    for film in films:
        assert_publishable(film)
    assert_bare(*sorted((demo_site.folder / "clips").iterdir()))
    digests = {p.read_bytes() for p in originals}
    assert not [p for p in demo_site.folder.rglob("*.m*") if p.read_bytes() in digests]


def test_time_lapse_and_montage(tmp_path: Path, command: Callable[..., None]) -> None:
    for number in (1, 2, 3):
        make(tmp_path / f"{number}.mov", told=TOLD, rotation=90 * (number % 2), sound="aac")
    command("clips", "time-lapse", tmp_path / "1.mov", "--to", tmp_path / "t.mp4", "--seconds", "1")
    clips = [tmp_path / f"{number}.mov" for number in (1, 2, 3)]
    command("clips", "montage", *clips, "--to", tmp_path / "m.mp4", "--seconds", "1", "--size", 640)
    for name, size in (("t.mp4", (120, 160)), ("m.mp4", None)):
        shown = assert_publishable(tmp_path / name)
        assert float(shown["duration"]) == pytest.approx(1, abs=0.05)
        assert shown["avg_frame_rate"] == "25/1"
        assert size is None or (shown["width"], shown["height"]) == size


@pytest.fixture
def command() -> Callable[..., None]:
    from click.testing import CliRunner  # noqa: PLC0415

    from buildbook.cli.main import cli  # noqa: PLC0415

    def run(*words: object) -> None:
        result = CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)
        assert result.exception is None, result.output

    return run
