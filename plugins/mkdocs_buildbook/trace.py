"""The trace of a build: what a site was made from, so that the next build makes only what changed.

It is a file beside `mkdocs.yml`, in `.buildbook`, and safe to delete: then everything is built.
Nothing here needs MkDocs or the records, so that a build with nothing to do is over at once.
"""

import json
import os
import re
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import buildbook
from buildbook.files import write_whole
from buildbook.handover.versions import commit_of

FORMAT = 1
_SHAPING = (
    "babel",
    "mkdocs",
    "mkdocs-material",
    "mkdocs-get-deps",
    "jinja2",
    "markdown",
    "markupsafe",
    "nh3",
    "pint",
    "psychrolib",
    "pydantic",
    "pygal",
    "pygments",
    "pymdown-extensions",
    "pyyaml",
    "tzdata",
)
"""Packages of which another version could draw a page otherwise."""

# A file that changed this shortly before it was looked at may change again within one time stamp.
_SETTLED = 2_000_000_000

Stamp = list[int]
"""Time of change in nanoseconds, -1 while it says nothing yet, and size."""


@dataclass
class Trace:
    """What the last build of one site was made from, and what it made."""

    shape: str = ""
    """Settings, templates, program and packages: what shapes every page."""
    watched: list[str] = field(default_factory=list)
    """Files and folders outside the records that the settings name."""
    content: str = ""
    """The folder of records."""
    site: str = ""
    sources: dict[str, list[Any]] = field(default_factory=dict)
    """Every file of the content folder: stamp, and a digest where it is small."""
    frame: str = ""
    """Navigation and hand-written pages' names: what stands around every page."""
    pages: dict[str, list[Any]] = field(default_factory=dict)
    """For every page of the book a digest of what it says, and the pictures it shows."""
    copied: dict[str, Stamp] = field(default_factory=dict)
    """Files of the site that are copies, with the stamp of what they are copied from."""
    outputs: dict[str, Stamp] = field(default_factory=dict)
    """Every file of the site."""
    history: str = ""
    """Commit that the version history stood at, where pages tell of it."""
    said: list[str] = field(default_factory=list)
    """What the build complained of."""

    @classmethod
    def load(cls, path: Path) -> "Trace":
        """Read a trace; an empty one where there is none, or none that can be used."""
        try:
            data = json.loads(path.read_text(encoding="utf-8"))
            if data.pop("format") == FORMAT:
                return cls(**data)
        except (OSError, ValueError, TypeError, AttributeError, KeyError):
            pass
        return cls()

    def save(self, path: Path) -> None:
        """Write the trace whole or not at all; without one the next build makes everything."""
        text = json.dumps({"format": FORMAT, **asdict(self)})
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, text.encode(), durable=False)

    def holds(self, config: Path, edition: str | None = None) -> bool:
        """Tell whether the site is what a build would make now, of that edition if one is given."""
        return (
            bool(self.shape)
            and self.shape == shape(config, self.watched, edition)
            and self.site_is_whole()
            and (not self.history or self.history == stands_at(Path(self.content)))
            and same_sources(self.sources, Path(self.content))
        )

    def site_is_whole(self) -> bool:
        """Tell whether every file of the site is as it was written."""
        site = self.site
        try:
            for name, stamp in self.outputs.items():
                found = os.stat(f"{site}/{name}")  # noqa: PTH116 - thousands of files
                if [found.st_mtime_ns, found.st_size] != stamp:
                    return False
        except OSError:
            return False
        return bool(self.outputs)


def stands_at(content: Path) -> str:
    """Name the commit that pages tell of; a hyphen where there is none to tell of."""
    return commit_of(content) or "-"


def trace_file(config: Path, target: Path | None) -> Path:
    """Give the place of a site's trace: a settings file may be built into several folders."""
    where = f"{config.resolve()}\n{target.resolve() if target else ''}"
    key = sha256(where.encode()).hexdigest()[:16]
    return config.resolve().parent / ".buildbook" / f"site-{key}.json"


def shape(config: Path, watched: Iterable[str], edition: str | None = None) -> str:
    """Sum up what shapes every page: settings, templates, program, packages, and the day.

    `edition` is the one asked for in place of that of the settings.
    """
    parts: list[Any] = [program(), datetime.now(UTC).astimezone().date().isoformat(), edition]
    for settings in _settings(config):
        text = settings.read_text(encoding="utf-8", errors="replace")
        names = sorted(set(re.findall(r"!ENV\s*\[?([^\]\n]*)", text)))
        variables = sorted({v for n in names for v in re.findall(r"\w+", n)})
        parts.append((str(settings), text, [(v, os.environ.get(v)) for v in variables]))
    parts.append(os.environ.get("SOURCE_DATE_EPOCH"))
    parts += [sorted(_stamps(Path(folder))) for folder in watched]
    return sha256(repr(parts).encode()).hexdigest()


def program() -> str:
    """Sum up the program: its files, Python, and the packages that it draws pages with."""
    parts: list[Any] = [sys.version]
    for package in _SHAPING:
        try:
            parts.append((package, version(package)))
        except PackageNotFoundError:
            parts.append((package, ""))
    folders = (Path(__file__).resolve().parent, Path(buildbook.__file__).resolve().parent)
    parts += [sorted(_stamps(folder)) for folder in folders]
    return sha256(repr(parts).encode()).hexdigest()


def _settings(config: Path) -> Iterator[Path]:
    """Yield the settings file and those it takes over from."""
    seen: set[Path] = set()
    while config.is_file() and config.resolve() not in seen:
        seen.add(config.resolve())
        yield config
        found = re.search(
            r"^INHERIT:\s*['\"]?([^'\"\n#]+)", config.read_text(encoding="utf-8"), re.MULTILINE
        )
        if not found:
            return
        config = config.parent / found[1].strip()


def _stamps(folder: Path) -> Iterator[tuple[str, Stamp]]:
    if folder.is_file():
        found = folder.stat()
        yield str(folder), [found.st_mtime_ns, found.st_size]
    for name, entry in _walk(str(folder)):
        if not name.endswith(".pyc"):
            found = entry.stat()
            yield name, [found.st_mtime_ns, found.st_size]


def _walk(folder: str, prefix: str = "") -> Iterator[tuple[str, "os.DirEntry[str]"]]:
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.startswith("."):
                    continue
                if entry.is_dir(follow_symlinks=False):
                    yield from _walk(entry.path, f"{prefix}{entry.name}/")
                elif entry.is_file():
                    yield prefix + entry.name, entry
    except OSError:
        return


def _is_small(name: str) -> bool:
    return name.endswith((".yml", ".yaml", ".md"))


def sources_of(content: Path) -> dict[str, list[Any]]:
    """Note every file of the content folder."""
    now = time.time_ns()
    found: dict[str, list[Any]] = {}
    for name, entry in _walk(str(content)):
        stat = entry.stat()
        settled = now - stat.st_mtime_ns > _SETTLED
        digest = _digest(entry.path) if _is_small(name) or not settled else ""
        found[name] = [stat.st_mtime_ns if settled else -1, stat.st_size, digest]
    return found


def same_sources(known: dict[str, list[Any]], content: Path) -> bool:
    """Tell whether the content folder holds what it held."""
    count = 0
    for name, entry in _walk(str(content)):
        count += 1
        before = known.get(name)
        if before is None:
            return False
        stat = entry.stat()
        if [stat.st_mtime_ns, stat.st_size] == before[:2]:
            continue
        if not before[2] or stat.st_size != before[1] or _digest(entry.path) != before[2]:
            return False
    return count == len(known)


def _digest(path: str) -> str:
    with open(path, "rb") as file:  # noqa: PTH123 - thousands of files
        return sha256(file.read()).hexdigest()


def outputs_of(site: Path) -> dict[str, Stamp]:
    """Note every file of the site."""
    return dict(_stamps(site))
