"""The store of clips: what is published of each is made once, and known the next time."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from buildbook.files import PARTIAL, write_whole
from buildbook.media.engine import Box
from buildbook.media.folder import Folder
from buildbook.media.keeping import is_whole, tidy, writing
from buildbook.media.manifest import Seen
from buildbook.media.picture import Derivative
from buildbook.media.problems import BadPictureError, PictureProblem
from buildbook.records.names import slugify

if TYPE_CHECKING:
    from buildbook.media.clipfacts import ClipFacts
    from buildbook.media.clipmanifest import ClipManifest, MadeFile

_MANIFEST = "clips.json"
_MOST_LETTERS = 40  # of the original's name
MOST_BYTES = 8_000_000_000
"""Largest clip read: an hour as large cameras write it."""

Progress = Callable[[str, int, int], None]
"""Told before each clip that is to be prepared: its name, how many are done, and of how many."""


@dataclass(frozen=True, slots=True)
class Wish:
    """How a clip is to be published."""

    hidden: tuple[Box, ...] = ()
    """Boxes nobody shall see into, in fractions of its frames."""
    silent: bool = False
    """Its sound is left out."""
    poster: float | None = None
    """Time in seconds of the frame that stands for it; a third of its length when not given."""


@dataclass(frozen=True, slots=True)
class PublishedClip:
    """What is published of a clip."""

    film: Derivative
    """An MP4 file that every browser plays; its size is that it is looked at."""
    preview: Derivative
    """A silent MP4 file of a few seconds."""
    posters: tuple[Derivative, ...]
    """A frame of it as JPEGs, from small to large."""
    seconds: float
    sound: bool
    sha256: str
    """Digest of the original file, in hexadecimal: says which clip this was made from."""


class ClipStore:
    """What is published of the clips in a folder, kept in a cache folder.

    `photos` is the folder of the originals, which are only read. `cache` is a folder of the
    store's own; it is made when it is missing and can be deleted at any time. What nothing has
    used for a season goes from it. One clip is prepared after the other, each on all processor
    cores, and no more of it than a few frames is held.
    """

    def __init__(self, photos: Path, cache: Path) -> None:
        self._folder = Folder(photos, most=MOST_BYTES)
        self._cache = cache

    def prepare(
        self, wishes: Mapping[str, Wish], *, progress: Progress | None = None
    ) -> tuple[dict[str, PublishedClip], list[PictureProblem]]:
        """Make what is missing, and give the clips and the problems in the order of `wishes`.

        Its keys are paths inside the folder of photos, with forward slashes. A clip whose size and
        time of change are as they were is neither read nor decoded. A clip that cannot be used
        becomes a problem and costs the others nothing. Raises CacheError when the cache cannot be
        written.
        """
        if not wishes:
            return {}, []
        # A book without clips does without the library that decodes them.
        from buildbook.media.clipmanifest import ClipManifest  # noqa: PLC0415

        manifest = ClipManifest.load(self._cache / _MANIFEST)
        ready: dict[str, PublishedClip | None] = {}
        problems: dict[str, BadPictureError] = {}
        for file, wish in wishes.items():
            ready[file] = None  # holds the order
            try:
                found = self._folder.stat(file)
            except BadPictureError as problem:
                problems[file] = problem
                continue
            seen = manifest.seen.get(file)
            if seen and (seen.size, seen.mtime_ns) == (found.st_size, found.st_mtime_ns):
                ready[file] = self._ready(file, seen.sha256, wish, manifest)
        missing = [file for file, clip in ready.items() if not clip and file not in problems]
        if missing:
            with writing(self._cache, "clips"):
                self._cache.mkdir(parents=True, exist_ok=True)
                self._tidy(manifest)
        for done, file in enumerate(missing):
            if progress:
                progress(file, done, len(missing))
            try:
                digest = self._make(file, wishes[file], manifest)
            except BadPictureError as problem:
                problems[file] = problem
            else:
                ready[file] = self._ready(file, digest, wishes[file], manifest)
            with writing(self._cache, "clips"):
                manifest.save(self._cache / _MANIFEST)
        return (
            {file: clip for file, clip in ready.items() if clip},
            [problems[file].about(file) for file in wishes if file in problems],
        )

    def path(self, derivative: Derivative) -> Path:
        """Give the file in the cache that holds a derivative which `prepare` has returned."""
        *_, key, rest = derivative.file.rsplit("-", 2)
        return self._cache / f"{key}-{rest}"

    def _ready(
        self, file: str, digest: str, wish: Wish, manifest: "ClipManifest"
    ) -> PublishedClip | None:
        facts = manifest.facts.get(digest)
        if not facts:
            return None
        made = {}
        for kind, key in _keys(digest, wish).items():
            files = manifest.made.get(key, ())
            if not files or not all(map(self._is_whole, files)):
                return None
            made[kind] = tuple(
                Derivative(f"{_words(file)}-{f.name}", f.width, f.height) for f in files
            )
        return PublishedClip(
            film=made["film"][0],
            preview=made["preview"][0],
            posters=made["poster"],
            seconds=facts.seconds,
            sound=facts.sound and not wish.silent,
            sha256=digest,
        )

    def _is_whole(self, made: "MadeFile") -> bool:
        return is_whole(self._cache / made.name, made.size)

    def _make(self, file: str, wish: Wish, manifest: "ClipManifest") -> str:
        """Make what is missing of one clip; give the digest of its original."""
        from buildbook.media.clipfacts import look_at  # noqa: PLC0415 - see prepare

        found, path = self._folder.stat(file), self._folder.path(file)
        digest = self._folder.digest(file)
        with writing(self._cache, "clips"):
            facts = manifest.facts.get(digest) or look_at(path)
            for kind, key in _keys(digest, wish).items():
                known = manifest.made.get(key, ())
                if not known or not all(map(self._is_whole, known)):
                    manifest.made[key] = self._made(kind, key, path, facts, wish)
        manifest.facts[digest] = facts
        manifest.seen[file] = Seen(found.st_size, found.st_mtime_ns, digest)
        return digest

    def _made(
        self, kind: str, key: str, path: Path, facts: "ClipFacts", wish: Wish
    ) -> "tuple[MadeFile, ...]":
        from buildbook.media.clipmanifest import MadeFile  # noqa: PLC0415 - see prepare
        from buildbook.media.clips import poster, preview  # noqa: PLC0415
        from buildbook.media.publishing import publish  # noqa: PLC0415

        if kind == "poster":
            at = facts.seconds / 3 if wish.poster is None else wish.poster
            files = []
            for one in poster(path, facts, at, wish.hidden):
                name = f"{key}-{max(one.width, one.height)}.jpg"
                write_whole(self._cache / name, one.jpeg, durable=False)
                files.append(MadeFile(name, one.width, one.height, len(one.jpeg)))
            return tuple(files)
        name = f"{key}-{kind}.mp4"
        part = self._cache / f".{name}.{os.getpid()}{PARTIAL}"
        if kind == "film":
            size = publish(path, part, facts, hidden=wish.hidden, silent=wish.silent)
        else:
            size = preview(path, part, facts, wish.hidden)
        part.replace(self._cache / name)
        return (MadeFile(name, *size, (self._cache / name).stat().st_size),)

    def _tidy(self, manifest: "ClipManifest") -> None:
        """Let go what no build has used for long, whenever the cache is about to grow."""
        left = tidy(self._cache)
        for key, files in list(manifest.made.items()):
            if not any(file.name in left for file in files):
                del manifest.made[key]
        manifest.seen = {f: seen for f, seen in manifest.seen.items() if self._folder.has(f)}
        current = {seen.sha256 for seen in manifest.seen.values()}
        manifest.facts = {d: facts for d, facts in manifest.facts.items() if d in current}


def _keys(digest: str, wish: Wish) -> dict[str, str]:
    """Name what is made of a clip, by kind: each by all that shapes it and nothing else."""
    from buildbook.media.clips import SETTINGS  # noqa: PLC0415 - see prepare

    shapes = {
        "film": (wish.hidden, wish.silent),
        "preview": (wish.hidden,),
        "poster": (wish.hidden, wish.poster),
    }
    return {
        kind: sha256(f"{digest} {SETTINGS} {kind} {shape}".encode()).hexdigest()[:12]
        for kind, shape in shapes.items()
    }


def _words(file: str) -> str:
    """Give the first words of the names to publish under: of the original's only plain letters."""
    return slugify(PurePosixPath(file).stem)[:_MOST_LETTERS].strip("-") or "clip"
