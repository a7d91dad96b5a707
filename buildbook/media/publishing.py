"""The film that is published of a clip.

The original is only read. What every browser plays as it is, and what is small enough, is taken
over without its metadata; any other clip is made anew, in H.264.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
from av.audio.stream import AudioStream
from av.bitstream import BitStreamFilterContext
from av.container import InputContainer, OutputContainer
from av.packet import Packet
from av.video.stream import VideoStream

from buildbook.media.clipfacts import ClipFacts, damaged, opened
from buildbook.media.engine import Box
from buildbook.media.filmwriter import add_film, written
from buildbook.media.frames import Upright, decoded, fitted
from buildbook.media.soundtrack import Soundtrack

EDGE = 1280
"""Longest side of a published film, in pixels."""

_MOST_RATE = 30  # frames a second
_HEAVY = 5_000_000  # bits a second: above it a film is made anew though browsers would play it
_SEI = 6  # type of the H.264 unit in which cameras write notes of their own (ITU-T H.264, 7.4.1)


def publish(
    path: Path, to: Path, facts: ClipFacts, *, hidden: tuple[Box, ...] = (), silent: bool = False
) -> tuple[int, int]:
    """Write the film to publish into `to`; give its size in pixels, as it is looked at.

    What is in the boxes of `hidden` is in none of its frames; `silent` leaves the sound out.
    Raises BadPictureError when the clip cannot be decoded, OSError when it cannot be written.
    """
    with opened(path) as (container, stream), written(to) as target:
        try:
            audio = None if silent else next(filter(_is_heard, container.streams.audio), None)
            if not hidden and _plays(container, stream, facts):
                _take_over(container, stream, target, audio)
                return facts.width, facts.height
            size = fitted(facts.width, facts.height, EDGE)
            upright = Upright(stream, facts, size, hidden=hidden)
            _make_anew(container, stream, target, audio, upright)
        except (av.FFmpegError, ValueError) as error:
            if isinstance(error, OSError):
                raise
            raise damaged() from error
    return size


def _is_heard(stream: AudioStream) -> bool:
    """Tell sound that can be decoded: telephones add a second track in a format of their own."""
    return stream.codec_context is not None


def _plays(container: InputContainer, stream: VideoStream, facts: ClipFacts) -> bool:
    """Tell whether every browser plays it as it is, in a size to publish, and nothing is hidden.

    A telephone that cuts a clip may only note where it begins, and keep the rest in the file.
    """
    return (
        facts.codec == "h264"
        and stream.pix_fmt in {"yuv420p", "yuvj420p"}
        and max(facts.width, facts.height) <= EDGE
        and (container.bit_rate or 0) <= _HEAVY
        and (stream.average_rate or 0) <= 2 * _MOST_RATE
        and (stream.sample_aspect_ratio or 1) == 1
        and not any(entry.is_discard for entry in stream.index_entries)
    )


def _take_over(
    container: InputContainer,
    stream: VideoStream,
    target: OutputContainer,
    audio: AudioStream | None,
) -> None:
    """Copy pictures and sound as they are; notes of the camera between the pictures are left."""
    copied = target.add_stream_from_template(stream)
    sound = Soundtrack(target, audio)
    bare = BitStreamFilterContext(f"filter_units=remove_types={_SEI}", stream, copied)
    for packet in _pictures(container, stream, sound):
        if packet.dts is None:  # the end, or a picture without its time
            continue
        for kept in bare.filter(packet):
            kept.stream = copied
            target.mux(kept)
    sound.finish()


def _make_anew(
    container: InputContainer,
    stream: VideoStream,
    target: OutputContainer,
    audio: AudioStream | None,
    upright: Upright,
) -> None:
    stream.thread_type = "AUTO"
    rate = min(stream.average_rate or Fraction(_MOST_RATE), Fraction(_MOST_RATE))
    base = stream.time_base or Fraction(1, 90_000)
    made = add_film(target, upright.size, rate)
    made.codec_context.time_base = base
    sound = Soundtrack(target, audio)
    # Cameras are not quite even: a frame comes too soon only when it is by more than a fifth.
    step, due = Fraction(4, 5) / _MOST_RATE, None
    for frame in decoded(_pictures(container, stream, sound), stream):
        if frame.pts is None or (due is not None and frame.pts * base < due):
            continue
        due = frame.pts * base + step
        shown = upright.of(frame)
        shown.pts, shown.time_base, shown.pict_type = frame.pts, base, 0
        target.mux(made.encode(shown))
    target.mux(made.encode(None))
    sound.finish()


def _pictures(
    container: InputContainer, stream: VideoStream, sound: Soundtrack
) -> "Iterator[Packet[Any]]":
    """Yield the packets of the pictures; those of the sound go their own way as they come."""
    streams: Iterable[VideoStream | AudioStream] = filter(None, (stream, sound.source))
    for packet in container.demux(*streams):
        if packet.stream.index == stream.index:
            yield packet
        else:
            sound.take(packet)
