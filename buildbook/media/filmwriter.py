"""Writing a film that every browser plays: H.264 in MP4, its index in front, without metadata."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from fractions import Fraction
from pathlib import Path

import av
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from PIL.Image import Image

QUALITY = 25
"""Constant rate factor of the encoder, 0 to 51: chips and rivet heads stay clear at 1280 pixels."""
PRESET = "veryfast"
"""Pace of the encoder: the next slower took half as long again, and saved no bytes (`bench/`)."""
_MOST_RATE = 4_000  # kbit/s: what a shaking camera and flying chips may take
_SEEK = 2  # seconds between the frames a player can jump to
_BT709 = 1  # colours as ITU-T H.273 numbers them


@contextmanager
def written(path: Path) -> Iterator[OutputContainer]:
    """Open an MP4 file to be written; taken away again when it is not written to its end.

    Its index stands in front (a player begins before it has the whole), and neither dates nor the
    name of the program are in it. Raises OSError when it cannot be written.
    """
    try:
        # An absolute path: a name with a colon would be taken for an address.
        with av.open(
            str(path.absolute()),
            "w",
            format="mp4",
            options={"movflags": "+faststart", "fflags": "+bitexact"},
        ) as container:
            yield container
    except BaseException:
        with suppress(OSError):
            path.unlink()
        raise


def add_film(
    container: OutputContainer, size: tuple[int, int], rate: Fraction, quality: int = QUALITY
) -> VideoStream:
    """Add a stream of H.264 pictures of that size, about `rate` frames a second."""
    stream: VideoStream = container.add_stream(
        "libx264",
        rate,
        {
            "preset": PRESET,
            "crf": str(quality),
            "maxrate": f"{_MOST_RATE}k",
            "bufsize": f"{2 * _MOST_RATE}k",
            "x264-params": "log-level=none",
        },
    )
    stream.width, stream.height = size
    stream.pix_fmt = "yuv420p"
    context = stream.codec_context
    context.gop_size = max(1, round(rate * _SEEK))
    context.color_primaries = context.color_trc = context.colorspace = _BT709
    return stream


def _frame(picture: Image) -> VideoFrame:
    frame: VideoFrame = VideoFrame.from_image(picture)  # type: ignore[no-untyped-call]
    return frame


class Film:
    """A film made from pictures, at one rate and without sound; `path` must not be there yet."""

    def __init__(self, container: OutputContainer, size: tuple[int, int], rate: int) -> None:
        self._container = container
        self._stream = add_film(container, size, Fraction(rate))
        self._base = Fraction(1, rate)
        self._count = 0

    def add(self, picture: Image | VideoFrame) -> None:
        """Add a picture of the film's size as its next frame."""
        frame = picture if isinstance(picture, VideoFrame) else _frame(picture)
        if frame.format.name != "yuv420p":
            frame = frame.reformat(format="yuv420p", dst_colorspace="ITU709")
        # A frame that is shown again comes as the same object, and has its time written anew.
        frame.pts, frame.time_base = self._count, self._base
        frame.pict_type = 0
        self._count += 1
        self._container.mux(self._stream.encode(frame))

    def finish(self) -> None:
        """Write what the encoder still holds."""
        self._container.mux(self._stream.encode(None))


@contextmanager
def film(path: Path, size: tuple[int, int], rate: int) -> Iterator[Film]:
    """Open a film to be written, whole or not at all. Raises OSError."""
    with written(path) as container:
        made = Film(container, size, rate)
        yield made
        made.finish()
