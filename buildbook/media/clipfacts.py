"""What a clip says of itself: how long, how large, when recorded, and what it gives away."""

import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, BinaryIO

import av
from av.container import InputContainer
from av.stream import DataStream, Disposition
from av.video.stream import VideoStream

from buildbook.media.boxes import boxes, inside, is_clip, is_whole
from buildbook.media.exif import camera_name
from buildbook.media.privacy import PLACE
from buildbook.media.problems import COPY_AGAIN, BadPictureError

LONGEST = 3600.0
"""Seconds."""
MOST_PIXELS = 7680 * 4320
"""Of one frame, as the largest cameras for the home write them."""

_FLATTEST = 4.0  # width of a pixel by its height; what says more is damaged
_FIRST_YEAR = 1980  # an unset clock counts from 1904 or 1970
_DATE = "com.apple.quicktime.creationdate"  # key of the QuickTime file format: local, with offset
_MAKE = ("com.apple.quicktime.make", "make")
_MODEL = ("com.apple.quicktime.model", "model")
_XMP = bytes.fromhex("be7acfcb97a942e89c71999491e3afac")  # ISO 16684-1, the box of XMP data


@dataclass(frozen=True, slots=True)
class ClipFacts:
    """What is known of a clip before it is played."""

    width: int
    """Pixels, as it is looked at: square, and turned as the camera was held."""
    height: int
    """Pixels."""
    rotation: int
    """Degrees against the clock by which frames are turned to be looked at: 0, 90, 180 or 270."""
    seconds: float
    sound: bool
    codec: str
    """Of its pictures, as `h264`."""
    recorded: datetime | None
    """With its offset from UTC."""
    camera: str
    """Maker and model, as `Lumen Pocket 3`; empty when it does not say."""


@contextmanager
def opened(path: Path) -> Iterator[tuple[InputContainer, VideoStream]]:
    """Open a clip and find its pictures.

    Raises BadPictureError when it is none, damaged or too large, OSError when it cannot be read.
    """
    with path.open("rb") as file:
        _check(file)
        # By its name a library would also open lists of other files, or addresses; a file that is
        # open, and one format alone, leave it nothing else to read.
        limits = {"max_pixels": str(MOST_PIXELS)}
        try:
            container = av.open(file, "r", format="mov", metadata_errors="replace", options=limits)
        except (av.FFmpegError, ValueError) as error:
            raise damaged() from error
        with container:
            stream = next(filter(_is_film, container.streams.video), None)
            if stream is None:
                said = "has no moving pictures in it"
                raise BadPictureError("clip-without-pictures", said, "name a video clip")
            stream.codec_context.options = limits
            _check_size(stream.codec_context.width, stream.codec_context.height)
            yield container, stream


def look_at(path: Path, *, longest: float | None = LONGEST) -> ClipFacts:
    """Read what a clip says of itself, decoding one frame.

    Raises as `opened` does, and BadPictureError when it lasts more than `longest` seconds.
    """
    with opened(path) as (container, stream):
        frame = first_frame(container, stream)
        seconds = _seconds(container, stream)
        if longest is not None and seconds > longest:
            raise BadPictureError(
                "clip-too-long",
                f"is too long to publish: {seconds / 60:.0f} minutes, when {longest / 60:.0f} are "
                "the most",
                "make a time-lapse of it (`buildbook clips time-lapse`), or host it elsewhere and "
                "give its `link`",
            )
        rotation = round(frame.rotation / 90) * 90 % 360
        ratio = float(stream.sample_aspect_ratio or 1)
        ratio = ratio if 1 / _FLATTEST <= ratio <= _FLATTEST else 1.0
        width, height = round(frame.width * ratio), frame.height
        if rotation % 180:
            width, height = height, width
        told = dict(container.metadata)
        return ClipFacts(
            width=width,
            height=height,
            rotation=rotation,
            seconds=seconds,
            sound=bool(container.streams.audio),
            codec=stream.codec_context.name,
            recorded=_recorded(told),
            camera=_camera(told),
        )


def first_frame(container: InputContainer, stream: VideoStream) -> av.VideoFrame:
    """Decode the first frame there is. Raises BadPictureError when there is none."""
    try:
        frame = next(iter(container.decode(stream)), None)
    except (av.FFmpegError, ValueError) as error:
        if not stream.codec_context.width:  # what it says was refused before a frame was decoded
            raise _too_large("has frames that are damaged, or too large to prepare") from error
        raise damaged() from error
    if frame is None:
        raise damaged()
    _check_size(frame.width, frame.height)
    return frame


def damaged() -> BadPictureError:
    """Make the error for a clip that cannot be decoded."""
    return BadPictureError("clip-damaged", "is cut short or damaged", COPY_AGAIN)


def _check(file: BinaryIO) -> None:
    start = file.read(12)
    if not start:
        raise BadPictureError("clip-empty", "is empty (zero bytes)", COPY_AGAIN)
    if not is_clip(start):
        raise BadPictureError(
            "clip-unknown",
            "is not a clip of a kind that can be read here",
            "save it as MP4 or MOV; renaming it does not change what it is",
        )
    if not is_whole(file):
        raise damaged()
    file.seek(0)


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise _too_large(f"is too large to prepare: frames of {width} x {height} pixels")


def _too_large(what: str) -> BadPictureError:
    said = f"{what}, when {MOST_PIXELS // 1_000_000} megapixels are the most"
    advice = "save a smaller copy of it under this name, and keep the original"
    return BadPictureError("clip-too-large", said, advice)


def _is_film(stream: VideoStream) -> bool:
    """Tell moving pictures from the cover of a sound file."""
    return not stream.disposition & Disposition.attached_pic and stream.codec_context is not None


def _seconds(container: InputContainer, stream: VideoStream) -> float:
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return (container.duration or 0) / 1_000_000


def _recorded(told: dict[str, str]) -> datetime | None:
    """Read when it was recorded: the camera's own time with its offset, or else that in UTC."""
    for words in (told.get(_DATE, ""), told.get("creation_time", "")):
        with suppress(ValueError):
            found = datetime.fromisoformat(re.sub(r"([+-]\d\d)(\d\d)$", r"\1:\2", words.strip()))
            if found.year >= _FIRST_YEAR:
                # ISO/IEC 14496-12, 8.2.2.3: the creation time is in UTC.
                return found if found.tzinfo else found.replace(tzinfo=UTC)
    return None


def _camera(told: dict[str, str]) -> str:
    maker, model = (next((told[k] for k in keys if k in told), "") for keys in (_MAKE, _MODEL))
    return camera_name(maker, model)


_TOLD = (
    # What the name of a piece of metadata has in it, and what that gives away.
    (r"location|gps|xyz|loci", PLACE),
    (r"artist|author|owner|performer|director|producer", "a person's name"),
    (r"copyright", "a copyright notice"),
    (r"serial", "the camera's serial number"),
    (r"identifier", "an identifier"),
    (r"title|comment|description|synopsis|keywords", "a description"),
)


def given_away(path: Path) -> tuple[list[str], bool]:
    """List in words what a clip tells beside its pictures, and say whether it has sound.

    Values are never returned. Raises BadPictureError when it is no clip or damaged, OSError when
    it cannot be read.
    """
    with opened(path) as (container, _):
        keys = {key.casefold() for key, value in _all_metadata(container) if value}
        found = [words for names, words in _TOLD if any(re.search(names, key) for key in keys)]
        sound = bool(container.streams.audio)
        # A time code and the names of chapters are data too, and tell nothing.
        if {_tag(stream) for stream in container.streams.data} - {"tmcd", "text"}:
            found.append("a track of data, such as the camera's way")
    with path.open("rb") as file:
        found += _in_boxes(file)
    return list(dict.fromkeys(found)), sound


def _tag(stream: DataStream) -> str:
    return stream.codec_context.codec_tag if stream.codec_context else ""


def _all_metadata(container: InputContainer) -> Iterator[tuple[str, Any]]:
    yield from container.metadata.items()
    for stream in container.streams:
        yield from stream.metadata.items()


def _in_boxes(file: BinaryIO) -> Iterator[str]:
    """Yield what stands in boxes of the maker's own, outside the metadata that are read above."""
    end = file.seek(0, 2)
    outer = list(boxes(file, 0, end))
    moov, udta = inside(file, (b"moov",)), inside(file, (b"moov", b"udta"))
    inner = [b for box in (moov, udta) if box for b in boxes(file, box.start, min(box.end, end))]
    for box in (*outer, *inner):
        if box.name == b"uuid":
            file.seek(box.start)
            yield "XMP data" if file.read(len(_XMP)) == _XMP else "the maker's notes"
        elif box.name == b"XMP_":
            yield "XMP data"
    if udta:
        names = {b.name for b in boxes(file, udta.start, min(udta.end, end))}
        # Names that begin with the copyright sign (0xA9) are plain texts, and were read above.
        plain = {b"meta", b"free", b"skip", b"name", b"loci", b"XMP_", b"uuid", b"\0\0\0\0"}
        if any(name[:1] != b"\xa9" for name in names - plain):
            yield "the maker's notes"
