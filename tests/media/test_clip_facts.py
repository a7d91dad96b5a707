"""What a clip says of itself, and the clips that cannot be used."""

import resource
import struct
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta, timezone
from pathlib import Path

import av
import pytest
from clipmaker import TOLD, make
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from buildbook.media.boxes import boxes, is_clip, length
from buildbook.media.clipfacts import given_away, look_at
from buildbook.media.problems import BadPictureError
from buildbook.media.publishing import publish


def test_facts_of_a_turned_clip_with_sound(tmp_path: Path) -> None:
    facts = look_at(make(tmp_path / "a.mov", rotation=90, sound="aac", told=TOLD))
    assert (facts.width, facts.height, facts.rotation) == (120, 160, 90)
    assert facts.seconds == pytest.approx(2, abs=0.05)
    assert (facts.sound, facts.codec, facts.camera) == (True, "h264", "Lumen Pocket 3")


@pytest.mark.parametrize(
    ("told", "recorded"),
    [
        # The camera's own time says more than that in UTC, and comes first.
        (TOLD, datetime(2025, 3, 8, 19, 30, 5, tzinfo=timezone(timedelta(hours=1)))),
        ({"creation_time": TOLD["creation_time"]}, datetime.fromisoformat("2025-03-08T18:30:05Z")),
        ({}, None),
        ({"creation_time": "1970-01-01T00:00:00Z"}, None),
        ({"com.apple.quicktime.creationdate": "yesterday"}, None),
    ],
)
def test_when_it_was_recorded(
    tmp_path: Path, told: dict[str, str], recorded: datetime | None
) -> None:
    assert look_at(make(tmp_path / "a.mov", frames=2, told=told)).recorded == recorded


def test_square_pixels_are_reckoned_with(tmp_path: Path) -> None:
    options = {"x264-params": "log-level=none:sar=4/3"}
    facts = look_at(make(tmp_path / "a.mp4", frames=2, options=options))
    assert (facts.width, facts.height) == (213, 120)


def test_what_it_gives_away_is_said_and_not_shown(tmp_path: Path) -> None:
    told, sound = given_away(make(tmp_path / "a.mov", sound="aac", told=TOLD))
    assert told == ["where it was taken", "a person's name", "a description"]
    assert sound
    assert given_away(make(tmp_path / "b.mp4")) == ([], False)


def test_boxes_of_the_maker_are_told(tmp_path: Path) -> None:
    path = make(tmp_path / "a.mp4", frames=2)
    xmp = bytes.fromhex("be7acfcb97a942e89c71999491e3afac") + b"<x:xmpmeta/>"
    own = b"\0" * 16 + b"serial 12345"
    more = b"".join(struct.pack(">I4s", 8 + len(b), b"uuid") + b for b in (xmp, own))
    path.write_bytes(path.read_bytes() + more)
    assert given_away(path)[0] == ["XMP data", "the maker's notes"]


def wrong(path: Path) -> tuple[str, str]:
    with pytest.raises(BadPictureError) as raised:
        publish(path, path.with_name("out.mp4"), look_at(path))
    assert not path.with_name("out.mp4").exists()
    return raised.value.code, raised.value.wrong


def cut(path: Path, share: float, *, movflags: str = "use_metadata_tags") -> Path:
    make(path, movflags=movflags)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    return path


def sound_only(path: Path) -> Path:
    with av.open(str(path), "w", format="mp4") as container:
        container.add_stream("aac", 48_000, layout="mono")
    return path


def of_size(path: Path, edge: int) -> Path:
    """Say that size wherever it stands: in the index and in the PNG that is its only frame."""
    make(path, codec="png", pixels="rgb24", frames=1)
    data = bytearray(path.read_bytes())
    # ISO/IEC 14496-12, 12.1.3, and ISO/IEC 15948, 11.2.2.
    index, png = data.index(b"png ", data.index(b"stsd")) + 28, data.index(b"IHDR") + 4
    for at, form in ((index, ">HH"), (png, ">II")):
        assert struct.unpack_from(form, data, at) == (160, 120)
        struct.pack_into(form, data, at, edge, edge)
    path.write_bytes(data)
    return path


def no_length(path: Path) -> Path:
    """Say that everything lasts no time at all."""
    make(path, frames=3)
    data = bytearray(path.read_bytes())
    for name, offset in ((b"mvhd", 20), (b"tkhd", 24), (b"mdhd", 20)):
        struct.pack_into(">I", data, data.index(name) + offset, 0)
    path.write_bytes(data)
    return path


def test_zero_bytes(tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(b"")
    assert wrong(tmp_path / "a.mp4") == ("clip-empty", "is empty (zero bytes)")


@pytest.mark.parametrize("share", [0.02, 0.3, 0.9])
@pytest.mark.parametrize("movflags", ["use_metadata_tags", "+faststart"])
def test_cut_short(tmp_path: Path, share: float, movflags: str) -> None:
    """Whether its index stands behind or in front."""
    assert wrong(cut(tmp_path / "a.mp4", share, movflags=movflags))[0] == "clip-damaged"


@pytest.mark.parametrize(
    "write",
    [
        lambda path: path.write_text("not a clip"),
        lambda path: make(path, kind="matroska"),
        lambda path: Image.new("RGB", (9, 9)).save(path, "JPEG"),
        # A list of other files, and one of addresses, would be opened by their content.
        lambda path: path.write_text("ffconcat version 1.0\nfile /etc/hostname\n"),
        lambda path: path.write_text("#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:9/a.ts\n"),
    ],
)
def test_another_kind_of_file_by_a_wrong_name(
    tmp_path: Path, write: Callable[[Path], object]
) -> None:
    write(tmp_path / "a.mp4")
    assert wrong(tmp_path / "a.mp4")[0] == "clip-unknown"


def test_sound_alone(tmp_path: Path) -> None:
    path = make(tmp_path / "b.mp4", sound="aac", frames=25)
    with av.open(str(path)) as source, av.open(str(tmp_path / "a.mp4"), "w") as target:
        copied = target.add_stream_from_template(source.streams.audio[0])
        for packet in source.demux(source.streams.audio[0]):
            if packet.dts is not None:
                packet.stream = copied
                target.mux(packet)
    assert wrong(tmp_path / "a.mp4")[0] == "clip-without-pictures"


@pytest.mark.parametrize("edge", [6000, 30_000])
def test_a_bomb(tmp_path: Path, edge: int) -> None:
    """No memory is asked for: sizes past what can be are refused before a frame is decoded."""
    path = of_size(tmp_path / "a.mov", edge)
    look_at(make(tmp_path / "small.mov", codec="png", pixels="rgb24", frames=1))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert wrong(path)[0] == "clip-too-large"
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown < 3 * edge * edge / 1024, "kilobytes: less than the pixels would take"


def test_without_a_length_it_is_published_all_the_same(tmp_path: Path) -> None:
    path = no_length(tmp_path / "a.mp4")
    assert length(path) is None
    publish(path, tmp_path / "out.mp4", look_at(path))
    assert (tmp_path / "out.mp4").stat().st_size


def test_too_long(tmp_path: Path) -> None:
    path = make(tmp_path / "a.mp4", frames=2, times=[0, 3_700_000])
    code, said = wrong(path)
    assert code == "clip-too-long"
    assert "minutes" in said


def test_a_missing_file_is_an_error_of_the_disk(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        look_at(tmp_path / "a.mp4")


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("small") / "a.mp4"
    return make(path, frames=6, size=(32, 32), sound="aac", told=TOLD).read_bytes()


@given(st.data())
@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_damage_anywhere_is_a_sentence_or_nothing(
    small: bytes, tmp_path: Path, data: st.DataObject
) -> None:
    broken = bytearray(small)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(broken) - 1))
        broken[at] = data.draw(st.integers(0, 255))
    path, out = tmp_path / "a.mp4", tmp_path / "out.mp4"
    path.write_bytes(broken)
    out.unlink(missing_ok=True)
    length(path)
    with suppress(BadPictureError):  # nothing else may come of it
        given_away(path)
        publish(path, out, look_at(path))


@given(st.binary(max_size=200))
def test_boxes_never_go_on_for_ever(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "boxes"
    path.write_bytes(data)
    with path.open("rb") as file:
        assert len(list(boxes(file, 0, len(data)))) <= len(data) / 8
    length(path)
    is_clip(data[:12])
