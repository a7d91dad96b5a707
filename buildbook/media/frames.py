"""Frames of a clip: those of given times, and each made upright, small, and blotted where asked."""

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import av
from av.filter import Graph
from av.filter.context import FilterContext
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from buildbook.media.clipfacts import ClipFacts, damaged, opened
from buildbook.media.engine import Box

_TURNS = {0: (), 90: ("cclock",), 180: ("clock", "clock"), 270: ("clock",)}
_BLOTS = 4  # across and down, in what replaces a hidden box
_HDR = {16, 18}  # transfer characteristics of ITU-T H.273: PQ and HLG, brighter than screens show
_FEW_BAD = 20  # one packet in so many may be bad before a clip counts as damaged
_EPSILON = 1e-3  # seconds: times are rounded on their way into records


def fitted(width: int, height: int, edge: int) -> tuple[int, int]:
    """Give the size with that longest side at most, never enlarged, both even as H.264 wants."""
    share = min(1.0, edge / max(width, height))
    return max(2, round(width * share / 2) * 2), max(2, round(height * share / 2) * 2)


def decoded(packets: "Iterable[Packet[Any]]", stream: VideoStream) -> Iterator[VideoFrame]:
    """Yield every frame of the packets, passing over a few that cannot be decoded.

    Raises BadPictureError when too many cannot.
    """
    seen = bad = 0
    try:
        for packet in packets:
            seen += 1
            try:
                yield from stream.decode(packet)
            except av.FFmpegError as error:
                bad += 1
                if bad > 1 + seen / _FEW_BAD:
                    raise damaged() from error
    except av.FFmpegError as error:
        raise damaged() from error


def frames_at(path: Path, times: Iterable[float], *, slack: float = 0.0) -> Iterator[VideoFrame]:
    """Yield the frame that shows at each of the times, in seconds and rising; the last for later.

    A key frame up to `slack` seconds earlier will do where it spares decoding those in between.
    Raises as `clipfacts.opened` does, and when no frame can be decoded.
    """
    with opened(path) as (container, stream):
        # Frames of a phone are many: decoding them on all cores is what bounds the time it takes.
        stream.thread_type = "AUTO"
        coming = decoded(container.demux(stream), stream)
        shown: VideoFrame | None = None
        ahead = next(coming, None)
        keys = _Keys(stream, ahead)
        for time in times:
            mark, key = keys.before(time)
            if key > _time(ahead or shown) + _EPSILON:
                container.seek(mark, stream=stream)
                coming = decoded(container.demux(stream), stream)
                shown, ahead = None, next(coming, None)
            enough = key - _EPSILON if time - key <= slack else time
            while ahead is not None and (
                shown is None or (_time(ahead) <= time + _EPSILON and _time(shown) < enough)
            ):
                shown, ahead = ahead, next(coming, None)
            if shown is None:
                raise damaged()
            yield shown


class _Keys:
    """Where decoding may begin, from the clip's index."""

    def __init__(self, stream: VideoStream, first: VideoFrame | None) -> None:
        self._entries = stream.index_entries
        self._base = stream.time_base
        # The index counts by when frames are decoded, which is some frames before they are shown.
        pts = first.pts if first is not None else None
        known = pts is not None and len(self._entries)
        self._later = (pts or 0) - self._entries[0].timestamp if known else 0

    def before(self, time: float) -> tuple[int, float]:
        """Find the last key frame up to a time: as the stream counts, and in seconds.

        Minus infinity when it is not known.
        """
        if not self._base or not len(self._entries):
            return 0, -math.inf
        shown_at = math.floor((time + _EPSILON) / self._base)
        at = self._entries.search_timestamp(shown_at - self._later)
        if at < 0:
            return 0, -math.inf
        mark = self._entries[at].timestamp + self._later
        return mark, float(mark * self._base)


def _time(frame: VideoFrame | None) -> float:
    return frame.time if frame is not None and frame.time is not None else 0.0


class Upright:
    """Makes frames of a clip upright and of one size, in one pixel format, HDR to plain colours.

    `size` is in pixels, both even. What is in the boxes of `hidden` is replaced by a few blots of
    its colours.
    """

    def __init__(
        self,
        stream: VideoStream,
        facts: ClipFacts,
        size: tuple[int, int],
        *,
        pixels: str = "yuv420p",
        hidden: tuple[Box, ...] = (),
    ) -> None:
        self._stream, self._facts, self.size = stream, facts, size
        self._pixels, self._hidden = pixels, hidden
        self._graph: Graph | None = None
        self._shape: tuple[int, int, str] | None = None

    def of(self, frame: VideoFrame) -> VideoFrame:
        """Make one frame over. Raises BadPictureError when it cannot be."""
        shape = (frame.width, frame.height, frame.format.name)
        if self._graph is None or shape != self._shape:  # some cameras change it on the way
            self._graph, self._shape = self._filters(frame), shape
        try:
            self._graph.vpush(frame)
            return self._graph.vpull()
        except av.FFmpegError as error:
            raise damaged() from error

    def _filters(self, frame: VideoFrame) -> Graph:
        graph = Graph()
        base = self._stream.time_base
        last = graph.add_buffer(
            width=frame.width, height=frame.height, format=frame.format, time_base=base
        )
        width, height = self.size
        colours = "out_color_matrix=bt709:out_range=tv"
        if int(frame.color_trc) in _HDR:
            colours += ":out_transfer=bt709:out_primaries=bt709"
        for turn in _TURNS[self._facts.rotation]:
            last = _after(graph, last, "transpose", turn)
        last = _after(graph, last, "scale", f"{width}:{height}:flags=bicubic:{colours}")
        last = _after(graph, last, "format", "yuv420p")
        for box in self._hidden:
            last = self._blotted(graph, last, box)
        last = _after(graph, last, "setsar", "1")
        last = _after(graph, last, "format", self._pixels)
        last.link_to(graph.add("buffersink"))
        graph.configure()
        return graph

    def _blotted(self, graph: Graph, last: FilterContext, box: Box) -> FilterContext:
        """Replace a box, widened to even pixels as colours are kept for two and two."""
        width, height = self.size
        left, top = int(box[0] * width) // 2 * 2, int(box[1] * height) // 2 * 2
        right = min(width, math.ceil((box[0] + box[2]) * width / 2) * 2)
        bottom = min(height, math.ceil((box[1] + box[3]) * height / 2) * 2)
        across, down = max(2, right - left), max(2, bottom - top)
        left, top = min(left, width - across), min(top, height - down)
        split = graph.add("split")
        last.link_to(split)
        overlay = graph.add("overlay", f"{left}:{top}")
        split.link_to(overlay, 0, 0)
        blots = graph.add("crop", f"{across}:{down}:{left}:{top}")
        split.link_to(blots, 1, 0)
        blots = _after(graph, blots, "scale", f"{_BLOTS}:{_BLOTS}:flags=area")
        blots = _after(graph, blots, "scale", f"{across}:{down}:flags=bilinear")
        blots.link_to(overlay, 0, 1)
        return overlay


def _after(graph: Graph, last: FilterContext, name: str, words: str) -> FilterContext:
    added = graph.add(name, words)
    last.link_to(added)
    return added
