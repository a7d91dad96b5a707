"""The sound of a published film."""

from typing import Any

import av
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import OutputContainer

_RATES = {44_100, 48_000}  # samples a second
_BITS = 96_000  # a second
_STEREO = 2


class Soundtrack:
    """Takes over AAC as it is, and makes AAC of anything else; without a source it is silent."""

    def __init__(self, target: OutputContainer, source: AudioStream | None) -> None:
        self.source = source
        self._target = target
        self._made: AudioStream | None = None
        self._copied: AudioStream | None = None
        if source is None:
            return
        context = source.codec_context
        if context.name == "aac" and context.layout.nb_channels <= _STEREO:
            self._copied = target.add_stream_from_template(source)
            return
        rate = context.sample_rate if context.sample_rate in _RATES else max(_RATES)
        layout = "mono" if context.layout.nb_channels == 1 else "stereo"
        self._made = target.add_stream("aac", rate, layout=layout)
        self._made.bit_rate = _BITS
        self._resampler = AudioResampler("fltp", layout, rate, 1024)

    def take(self, packet: Any) -> None:
        """Take the next packet of the source."""
        if self._copied is not None:
            # What an edit of the clip has left out is still in the file, marked.
            if packet.dts is not None and not packet.is_discard:
                packet.stream = self._copied
                self._target.mux(packet)
        elif self.source is not None:
            try:
                frames = self.source.decode(packet)
            except av.FFmpegError:
                return  # a click in the sound is no reason to lose the clip
            for frame in frames:
                self._encode(frame)

    def finish(self) -> None:
        """Write what the encoder still holds."""
        if self._made is not None:
            self._encode(None)
            self._target.mux(self._made.encode(None))

    def _encode(self, frame: av.AudioFrame | None) -> None:
        assert self._made is not None
        for fitting in self._resampler.resample(frame):
            self._target.mux(self._made.encode(fitting))
