"""What a cache of clips knows: which it has seen, what they are, and what was made of them."""

from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from buildbook.media.clipfacts import ClipFacts
from buildbook.media.clips import SETTINGS
from buildbook.media.manifest import Seen, load_settled, save_settled


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file in the cache."""

    name: str
    width: int
    """Pixels."""
    height: int
    """Pixels."""
    size: int
    """Bytes; a file of another size was not written to its end."""


@dataclass(slots=True)
class ClipManifest:
    """Clips by name, facts by the SHA-256 of an original, and what was made, by its key."""

    seen: dict[str, Seen] = field(default_factory=dict)
    facts: dict[str, ClipFacts] = field(default_factory=dict)
    made: dict[str, tuple[MadeFile, ...]] = field(default_factory=dict)

    @classmethod
    def load(cls, path: Path) -> "ClipManifest":
        """Read a manifest. One that is missing, damaged or of other settings reads as empty."""

        def made_of(data: dict[str, Any]) -> ClipManifest:
            return cls(
                {str(name): Seen(**entry) for name, entry in data["seen"].items()},
                {str(digest): _facts(entry) for digest, entry in data["facts"].items()},
                {str(k): tuple(MadeFile(**f) for f in files) for k, files in data["made"].items()},
            )

        return load_settled(path, SETTINGS, made_of) or cls()

    def save(self, path: Path) -> None:
        """Write it whole or not at all. Raises OSError."""
        data = {
            "seen": {name: asdict(seen) for name, seen in self.seen.items()},
            "facts": {digest: _plain(facts) for digest, facts in self.facts.items()},
            "made": {key: [asdict(f) for f in files] for key, files in self.made.items()},
        }
        save_settled(path, SETTINGS, data)


def _plain(facts: ClipFacts) -> dict[str, Any]:
    recorded = facts.recorded.isoformat() if facts.recorded else None
    return {**asdict(facts), "recorded": recorded}


def _facts(entry: dict[str, Any]) -> ClipFacts:
    recorded = entry.pop("recorded")
    return ClipFacts(**entry, recorded=datetime.fromisoformat(recorded) if recorded else None)
