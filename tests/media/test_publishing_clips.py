"""What is made of a clip: the film, the preview, the picture."""

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from clipmaker import TOLD, frames_of, make, number_of, picture
from PIL import Image

from buildbook.media.clipfacts import look_at
from buildbook.media.clips import poster, preview, preview_times
from buildbook.media.frames import fitted, frames_at
from buildbook.media.publishing import publish

Publish = Callable[..., Path]
FACE = (0.1, 0.35, 0.8, 0.3)
"""A box round the number across the middle of each frame."""


def sharpest(pixels: np.ndarray) -> int:
    """The hardest step of brightness from one pixel to the next inside that box."""
    height, width = pixels.shape[:2]
    inside = pixels[height * 36 // 100 : height * 64 // 100, width * 11 // 100 : width * 89 // 100]
    return int(np.abs(np.diff(inside @ (0.2126, 0.7152, 0.0722), axis=1)).max())


@pytest.fixture
def published(tmp_path: Path) -> Publish:
    def make_film(path: Path, **how: object) -> Path:
        out = tmp_path / "out.mp4"
        out.unlink(missing_ok=True)
        size = publish(path, out, look_at(path), **how)
        with av.open(str(out)) as container:
            frame = next(container.decode(video=0))
            shown = (frame.width, frame.height)
            assert size == (shown[::-1] if frame.rotation % 180 else shown)
        return out

    return make_film


def packets(path: Path) -> list[bytes]:
    with av.open(str(path)) as container:
        return [bytes(p) for p in container.demux(video=0) if p.size]


def test_what_browsers_play_is_taken_over_frame_by_frame(
    tmp_path: Path, published: Publish
) -> None:
    source = make(tmp_path / "a.mov", sound="aac", told=TOLD)
    out = published(source)
    # The first packet also carried the encoder's notes.
    assert packets(out)[1:] == packets(source)[1:]
    assert b"x264" in source.read_bytes()
    for secret in (b"x264", b"SECRET", b"Lumen", b"+02.25", b"Lavf", b"2025"):
        assert secret not in out.read_bytes()


@pytest.mark.parametrize(
    ("how", "size"),
    [
        ({"codec": "libx265", "told": TOLD}, (160, 120)),
        ({"codec": "mpeg4", "rotation": 90, "told": TOLD}, (120, 160)),
        ({"pixels": "yuv444p"}, (160, 120)),
        ({"size": (1920, 1080), "frames": 5}, (1280, 720)),
        ({"size": (1080, 1920), "frames": 5}, (720, 1280)),
        ({"options": {"x264-params": "log-level=none:sar=4/3"}}, (212, 120)),
        ({"size": (162, 122), "codec": "mpeg4"}, (162, 122)),
        ({"frames": 1, "codec": "mpeg4"}, (160, 120)),
    ],
)
def test_others_are_made_anew(
    tmp_path: Path, published: Publish, how: dict, size: tuple[int, int]
) -> None:
    out = published(make(tmp_path / "a.mov", **how))
    pictures = frames_of(out)
    assert pictures[0].shape[:2] == size[::-1]
    turned = how.get("rotation", 0) // 90
    numbers = [number_of(np.rot90(p, -turned)) for p in pictures]
    assert numbers == list(range(how.get("frames", 50)))
    with av.open(str(out)) as container:
        assert container.streams.video[0].codec_context.name == "h264"


@pytest.mark.parametrize("rate", [50, 60, 120, 240])
def test_many_frames_a_second_become_fewer(tmp_path: Path, published: Publish, rate: int) -> None:
    out = published(make(tmp_path / "a.mp4", codec="mpeg4", rate=rate, frames=rate))
    assert 24 <= len(frames_of(out)) <= 35
    with av.open(str(out)) as container:
        assert container.duration == pytest.approx(1_000_000, rel=0.05)


def test_uneven_times_stay_as_they_were(tmp_path: Path, published: Publish) -> None:
    times = [0, 40, 90, 300, 333, 800, 1900, 2000]
    source = make(tmp_path / "a.mp4", codec="mpeg4", frames=len(times), times=times)
    with av.open(str(published(source))) as container:
        shown = [round(frame.time * 1000) for frame in container.decode(video=0)]
    assert shown == pytest.approx(times, abs=2)


@pytest.mark.parametrize("sound", ["aac", "pcm_s16le"])
def test_sound_is_kept_unless_it_is_to_be_silent(
    tmp_path: Path, published: Publish, sound: str
) -> None:
    source = make(tmp_path / "a.mov", sound=sound)
    with av.open(str(published(source))) as container:
        (track,) = container.streams.audio
        assert track.codec_context.name == "aac"
        heard = np.concatenate([f.to_ndarray()[0] for f in container.decode(track)])
    # A tone of 440 Hz for two seconds.
    spectrum = np.abs(np.fft.rfft(heard))
    assert np.argmax(spectrum) * 48_000 / len(heard) == pytest.approx(440, abs=2)
    assert len(heard) / 48_000 == pytest.approx(2, abs=0.1)
    with av.open(str(published(source, silent=True))) as container:
        assert not container.streams.audio


def test_what_is_to_be_hidden_is_in_no_frame(tmp_path: Path, published: Publish) -> None:
    source = make(tmp_path / "a.mp4")
    seen = frames_of(published(source, hidden=(FACE,)))
    assert len(seen) == 50
    for number, pixels in enumerate(seen):
        assert number == 0 or sharpest(picture(number, (160, 120))) > 150, "the control"
        assert sharpest(pixels) < 30
        assert pixels[4:20, 4:30].min() > 200, "outside the box it is as it was"


@pytest.mark.parametrize("box", [(0, 0, 1, 1), (0.99, 0.99, 0.01, 0.01), (0, 0.5, 0.001, 0.001)])
def test_boxes_at_the_edge(
    tmp_path: Path, published: Publish, box: tuple[float, float, float, float]
) -> None:
    assert len(frames_of(published(make(tmp_path / "a.mp4", frames=3), hidden=(box,)))) == 3


def test_hidden_in_preview_and_picture_too(tmp_path: Path) -> None:
    source = make(tmp_path / "a.mp4")
    preview(source, tmp_path / "p.mp4", look_at(source), (FACE,))
    (still,) = poster(source, look_at(source), 1.0, (FACE,))
    (tmp_path / "p.jpg").write_bytes(still.jpeg)
    shown = [*frames_of(tmp_path / "p.mp4"), np.asarray(Image.open(tmp_path / "p.jpg"))]
    for pixels in shown:
        assert sharpest(pixels) < 30


def test_the_picture_is_the_frame_asked_for(tmp_path: Path) -> None:
    source = make(tmp_path / "a.mov", rotation=90)
    for at, number in ((0.0, 0), (0.5, 12), (1.0, 25), (99.0, 49)):
        (still,) = poster(source, look_at(source), at, ())
        assert (still.width, still.height) == (120, 160)
        (tmp_path / "p.jpg").write_bytes(still.jpeg)
        assert number_of(np.rot90(Image.open(tmp_path / "p.jpg"), -1)) == number


def test_a_preview_is_short_small_and_silent(tmp_path: Path) -> None:
    source = make(tmp_path / "a.mp4", frames=190, rate=10, sound="aac", size=(960, 540))
    size = preview(source, tmp_path / "p.mp4", look_at(source), ())
    assert size == (400, 224)
    with av.open(str(tmp_path / "p.mp4")) as container:
        assert not container.streams.audio
        assert container.duration == pytest.approx(4_000_000, rel=0.05)
    numbers = [number_of(p) for p in frames_of(tmp_path / "p.mp4")]
    assert numbers[0] == 0
    assert numbers[-1] == 189 % 64
    assert len(set(numbers)) > 20


def test_preview_times() -> None:
    assert preview_times(0.0) == [0.0]
    assert preview_times(0.35) == pytest.approx([0.0, 0.1, 0.2])
    long = preview_times(60.0)
    assert len(long) == 40
    assert long == sorted(long)
    assert (long[0], long[-1]) == (0.0, pytest.approx(59.9))


@pytest.mark.parametrize("key_every", [1, 7, 50])
@pytest.mark.parametrize("codec", ["libx264", "mpeg4"])
def test_frames_at_times(tmp_path: Path, key_every: int, codec: str) -> None:
    """Each time gives the frame that shows then, however far apart the key frames are."""
    source = make(tmp_path / "a.mp4", key_every=key_every, codec=codec)
    times = [0.0, 0.01, 0.04, 0.1, 0.9, 0.94, 1.5, 1.99, 7.0]
    shown = [number_of(f.to_ndarray(format="rgb24")) for f in frames_at(source, times)]
    assert shown == [0, 0, 1, 2, 22, 23, 37, 49, 49]


def test_key_frames_near_enough_spare_decoding(tmp_path: Path) -> None:
    source = make(tmp_path / "a.mp4", key_every=5)
    times = [0.0, 0.5, 1.0, 1.5]
    shown = [f.to_ndarray(format="rgb24") for f in frames_at(source, times, slack=0.5)]
    assert [number_of(pixels) for pixels in shown] == [0, 10, 25, 35]


@pytest.mark.parametrize(
    ("shape", "edge", "size"),
    [
        ((1920, 1080), 1280, (1280, 720)),
        ((1080, 1920), 1280, (720, 1280)),
        ((640, 360), 1280, (640, 360)),
        ((161, 121), 1280, (160, 120)),
        ((5000, 3), 1280, (1280, 2)),
        ((1, 1), 1280, (2, 2)),
    ],
)
def test_fitted(shape: tuple[int, int], edge: int, size: tuple[int, int]) -> None:
    assert fitted(*shape, edge) == size
