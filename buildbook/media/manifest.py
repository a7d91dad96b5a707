"""What a cache of pictures knows: which photos it has seen, and what was made from them."""

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar

from buildbook.files import write_whole
from buildbook.media.exif import Moment
from buildbook.media.picture import SETTINGS

M = TypeVar("M")


@dataclass(frozen=True, slots=True)
class Seen:
    """A photo as it stood on the disk when it was last read."""

    size: int
    """Bytes."""
    mtime_ns: int
    """Time of its last change, in nanoseconds."""
    sha256: str
    """Digest of what it held."""


@dataclass(frozen=True, slots=True)
class Made:
    """A derivative in the cache."""

    edge: int
    """Long edge asked for, in pixels; part of the name."""
    width: int
    """Pixels."""
    height: int
    """Pixels."""
    size: int
    """Bytes; a file of another size was not written to its end."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of an original by its content."""

    width: int
    """Pixels, upright."""
    height: int
    """Pixels, upright."""
    taken: Moment | None
    """When it was taken."""
    made: tuple[Made, ...]
    """From small to large."""
    colour: str
    """On average, as `#8a8f91`."""
    full: Made | None
    """The picture in full size, if it was asked for; `edge` is 0."""


@dataclass(slots=True)
class Manifest:
    """Photos by name, and pictures by the SHA-256 of their originals."""

    seen: dict[str, Seen] = field(default_factory=dict)
    known: dict[str, Known] = field(default_factory=dict)

    @classmethod
    def load(cls, path: Path) -> "Manifest":
        """Read a manifest. One that is missing, damaged or of other settings reads as empty."""

        def made_of(data: dict[str, Any]) -> Manifest:
            return cls(
                {str(name): Seen(**entry) for name, entry in data["seen"].items()},
                {str(digest): _known(entry) for digest, entry in data["known"].items()},
            )

        return load_settled(path, SETTINGS, made_of) or cls()

    def save(self, path: Path) -> None:
        """Write it whole or not at all. Raises OSError."""
        data = {
            "seen": {name: asdict(seen) for name, seen in self.seen.items()},
            "known": {digest: _plain(known) for digest, known in self.known.items()},
        }
        save_settled(path, SETTINGS, data)


def load_settled(path: Path, settings: Any, made_of: Callable[[dict[str, Any]], M]) -> M | None:
    """Read what a cache knows; None where it is missing, damaged or of other settings.

    Nothing is lost then: it is all made again from the originals.
    """
    try:
        data = json.loads(path.read_bytes())
        return made_of(data) if data["settings"] == settings else None
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def save_settled(path: Path, settings: Any, data: dict[str, Any]) -> None:
    """Write what a cache knows, whole or not at all. Raises OSError."""
    write_whole(path, json.dumps({"settings": settings, **data}).encode(), durable=False)


def _plain(known: Known) -> dict[str, Any]:
    plain = asdict(known)
    if known.taken:
        offset = known.taken.offset
        plain["taken"] = {
            "local": known.taken.local.isoformat(),
            "offset": None if offset is None else offset.total_seconds(),
        }
    return plain


def _known(entry: dict[str, Any]) -> Known:
    taken = entry.pop("taken")
    made = tuple(Made(**one) for one in entry.pop("made"))
    full = entry.pop("full")
    return Known(
        **entry, taken=taken and _moment(**taken), made=made, full=Made(**full) if full else None
    )


def _moment(local: str, offset: float | None) -> Moment:
    seconds = None if offset is None else timedelta(seconds=offset)
    return Moment(datetime.fromisoformat(local), seconds)
