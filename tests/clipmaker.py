"""Clips for tests: each frame says which it is, and metadata are as a telephone writes them."""

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np

BITS = 6
"""Black and white fields in a row across the middle: the number of the frame, modulo 64."""
TOLD = {
    "creation_time": "2025-03-08T18:30:05Z",
    "com.apple.quicktime.creationdate": "2025-03-08T19:30:05+0100",
    "com.apple.quicktime.make": "Lumen",
    "com.apple.quicktime.model": "Pocket 3",
    "com.apple.quicktime.location.ISO6709": "+02.2500-007.7500+002.000/",
    "location": "+02.2500-007.7500/",
    "artist": "SECRET-artist",
    "comment": "SECRET-comment",
}
"""A place in open water, an invented camera, and a person."""


def picture(number: int, size: tuple[int, int]) -> np.ndarray:
    """Red left, blue right, white at the top left, and the number across the middle."""
    width, height = size
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[:, : width // 2], pixels[:, width // 2 :] = (200, 30, 30), (30, 30, 200)
    pixels[: height // 4, : width // 4] = 240
    for bit, (rows, columns) in enumerate(_fields(height, width)):
        pixels[rows, columns] = 235 if number >> bit & 1 else 20
    return pixels


def number_of(pixels: np.ndarray) -> int:
    """Read the number back."""
    lit = (pixels[field].mean() > 127 for field in _fields(*pixels.shape[:2]))
    return sum(1 << bit for bit, one in enumerate(lit) if one)


def _fields(height: int, width: int) -> list[tuple[slice, slice]]:
    edges = [round(width * (1 + 6 * i / BITS) / 8) for i in range(BITS + 1)]
    rows = slice(height * 3 // 8, height * 5 // 8)
    return [(rows, slice(a, b)) for a, b in pairwise(edges)]


def make(
    path: Path,
    *,
    codec: str = "libx264",
    size: tuple[int, int] = (160, 120),
    frames: int = 50,
    rate: int = 25,
    times: list[int] | None = None,
    sound: str = "",
    rotation: int = 0,
    told: dict[str, str] | None = None,
    pixels: str = "yuv420p",
    options: dict[str, str] | None = None,
    key_every: int = 25,
    kind: str = "",
    movflags: str = "use_metadata_tags",
) -> Path:
    """Write a clip. `times` are those of its frames in milliseconds, where they are not even."""
    path.parent.mkdir(parents=True, exist_ok=True)
    kind = kind or ("mov" if path.suffix.lower() == ".mov" else "mp4")
    quiet = {
        "libx264": {"x264-params": "log-level=none"},
        "libx265": {"x265-params": "log-level=none"},
    }
    with av.open(str(path), "w", format=kind, options={"movflags": movflags}) as container:
        container.metadata.update(told or {})
        stream = container.add_stream(codec, rate, options or quiet.get(codec))
        stream.width, stream.height = size
        stream.pix_fmt = pixels
        stream.codec_context.gop_size = key_every
        if rotation:
            stream.set_display_rotation(rotation)
        track = container.add_stream(sound, 48_000, layout="stereo") if sound else None
        if times:
            stream.codec_context.time_base = Fraction(1, 1000)
        for number in range(frames):
            frame = av.VideoFrame.from_ndarray(picture(number, size), format="rgb24")
            frame.pts = times[number] if times else number
            frame.time_base = Fraction(1, 1000) if times else Fraction(1, rate)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
        if track is not None:
            _tone(container, track, frames / rate)
    return path


def _tone(container: av.container.OutputContainer, track: av.AudioStream, seconds: float) -> None:
    form = track.codec_context.format.name
    samples = int(seconds * 48_000)
    wave = np.sin(np.arange(samples) * 2 * np.pi * 440 / 48_000)
    for start in range(0, samples - 1023, 1024):
        part = wave[start : start + 1024]
        if form == "fltp":
            data = np.stack([part, part]).astype(np.float32)
        else:
            data = (np.repeat(part, 2)[None, :] * 20_000).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(data, format=form, layout="stereo")
        frame.sample_rate, frame.pts = 48_000, start
        container.mux(track.encode(frame))
    container.mux(track.encode(None))


def frames_of(path: Path) -> list[np.ndarray]:
    """Decode a clip, as RGB, as its frames are stored."""
    with av.open(str(path)) as container:
        return [frame.to_ndarray(format="rgb24") for frame in container.decode(video=0)]
