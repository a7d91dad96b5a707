"""Makes the demo book's clips from its rendered pictures: `python bench/demo_clips.py FOLDER`.

The camera moves over the pictures, which fade into one another. As a pocket camera would, it writes
time, maker and a place in open water into the clips, so that taking them out again can be shown.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
from PIL import Image, ImageOps

ROOT = Path(__file__).resolve().parents[1]
PHOTOS = ROOT / "content" / "photos"
SIZE = (640, 360)
RATE = 25  # frames a second
FADE = 12  # frames
AT_SEA = "+02.2500-007.7500+002.000/"  # ISO 6709, where the pictures say they were taken too

Look = tuple[float, float, float]
"""Middle of what is seen, across and down, and how wide it is: in fractions of the picture."""


@dataclass(frozen=True)
class Shot:
    """The camera over one picture, from one look to another."""

    file: str
    seconds: float
    start: Look
    end: Look


CLIPS = {
    "2025/03/stabiliser-match-drilling.mov": (
        "2025-03-08T13:24:10+0100",
        (
            Shot("2025/03/stabiliser-match-drilling-skin.jpg", 5, (0.5, 0.5, 1), (0.3, 0.42, 0.5)),
            Shot(
                "2025/03/stabiliser-match-drilling-skin.jpg", 5, (0.3, 0.42, 0.5), (0.72, 0.3, 0.5)
            ),
            Shot(
                "2025/03/stabiliser-match-drilling-skin.jpg", 4, (0.72, 0.3, 0.5), (0.85, 0.2, 0.3)
            ),
        ),
    ),
    "2025/09/aft-fuselage-in-the-jig.mp4": (
        "2025-09-20T17:02:33+0200",
        (
            Shot("2025/09/aft-fuselage-jig-set-up.jpg", 4, (0.5, 0.5, 1), (0.52, 0.55, 0.85)),
            Shot("2025/09/aft-fuselage-frames-in-jig.jpg", 4, (0.5, 0.5, 1), (0.5, 0.55, 0.85)),
            Shot("2025/09/aft-fuselage-stringers-clamped.jpg", 4, (0.5, 0.5, 1), (0.5, 0.55, 0.7)),
        ),
    ),
}


def looks(shot: Shot) -> Iterator[Image.Image]:
    """Yield the frames of a shot."""
    with Image.open(PHOTOS / shot.file) as opened:
        picture = ImageOps.exif_transpose(opened).convert("RGB")
    frames = round(shot.seconds * RATE)
    for i in range(frames):
        share = i / (frames - 1)
        share = share * share * (3 - 2 * share)  # slowly on its way, slowly to its end
        x, y, wide = (a + (b - a) * share for a, b in zip(shot.start, shot.end, strict=True))
        width = wide * picture.width
        height = min(width * SIZE[1] / SIZE[0], picture.height)
        left = min(max(0.0, x * picture.width - width / 2), picture.width - width)
        top = min(max(0.0, y * picture.height - height / 2), picture.height - height)
        box = (left, top, left + width, top + height)
        yield picture.resize(SIZE, Image.Resampling.BICUBIC, box)


def frames(shots: tuple[Shot, ...]) -> Iterator[Image.Image]:
    """Yield all frames, another picture fading in over the end of the one before."""
    last: Image.Image | None = None
    file = ""
    for shot in shots:
        for i, frame in enumerate(looks(shot)):
            fading = last is not None and shot.file != file and i < FADE
            yield Image.blend(last, frame, (i + 1) / (FADE + 1)) if fading and last else frame
        last, file = frame, shot.file


def make(path: Path, taken: str, shots: tuple[Shot, ...]) -> None:
    told = {
        "creation_time": taken,
        "com.apple.quicktime.creationdate": taken,
        "com.apple.quicktime.make": "Lumen",
        "com.apple.quicktime.model": "Pocket 3",
        "com.apple.quicktime.location.ISO6709": AT_SEA,
        "location": AT_SEA,
        "artist": "Maren Lind",
        "comment": "Rendering, not a film.",
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    kind = {".mov": "mov", ".mp4": "mp4"}[path.suffix]
    options = {"movflags": "use_metadata_tags"}
    with av.open(str(path), "w", format=kind, options=options) as container:
        container.metadata.update(told)
        stream = container.add_stream(
            "libx264",
            Fraction(RATE),
            {"crf": "27", "preset": "slow", "x264-params": "log-level=none"},
        )
        stream.width, stream.height = SIZE
        stream.pix_fmt = "yuv420p"
        for frame in frames(shots):
            container.mux(stream.encode(av.VideoFrame.from_image(frame)))
        container.mux(stream.encode(None))


def main(folder: Path) -> None:
    for name, (taken, shots) in CLIPS.items():
        make(folder / name, taken, shots)
        print(f"{name}: {(folder / name).stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else PHOTOS)
