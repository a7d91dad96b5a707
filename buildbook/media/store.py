"""The store of pictures: photos are prepared once, and known the next time."""

import os
import time
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from contextlib import nullcontext
from datetime import tzinfo
from hashlib import sha256
from pathlib import Path
from threading import Lock

from buildbook.files import write_whole
from buildbook.media.engine import Box, Rendered, full_size, open_original, render
from buildbook.media.exif import moment
from buildbook.media.folder import Folder
from buildbook.media.keeping import is_whole, tidy, writing
from buildbook.media.manifest import Known, Made, Manifest, Seen
from buildbook.media.picture import (
    FULL,
    Derivative,
    Picture,
    cached_name,
    cached_name_of,
    content_key,
    derivative_name,
    edges,
)
from buildbook.media.problems import BadPictureError, PictureProblem

_MANIFEST = "pictures.json"
_SAVE_EVERY = 5.0  # seconds: what a killed run loses at most
_MOST_WORKERS = 8  # more would be more memory, and disks do not keep up
_BIG = 40_000_000  # pixels; such pictures are decoded one at a time, to bound the memory

Progress = Callable[[int, int], None]
"""Told after each prepared photo how many are done, and of how many."""


class PictureStore:
    """Derivatives of the photos in a folder, kept in a cache folder.

    `photos` is the folder of the originals, which are only read. `cache` is a folder of the
    store's own, neither in the content nor in the site; it is made when it is missing and can be
    deleted at any time. What nothing has used for a season goes from it. `zone` is the book's time
    zone, for cameras that write none. `full_size` asks for each picture in full size too.
    `workers` is how many photos are prepared at the same time, by default one a processor core.
    """

    def __init__(
        self,
        photos: Path,
        cache: Path,
        *,
        zone: tzinfo,
        full_size: bool = False,
        workers: int | None = None,
    ) -> None:
        self._photos = photos
        self._cache = cache
        self._zone = zone
        self._full_size = full_size
        self._workers = max(1, workers or min(_cores(), _MOST_WORKERS))
        self._big = Lock()

    def prepare(
        self,
        files: Iterable[str],
        *,
        hidden: Mapping[str, tuple[Box, ...]] | None = None,
        progress: Progress | None = None,
    ) -> tuple[dict[str, Picture], list[PictureProblem]]:
        """Make what is missing, and give the pictures and the problems in the order of `files`.

        `files` are paths inside the folder of photos, with forward slashes. A photo whose size
        and time of change are as they were is neither read nor decoded. A photo that cannot be
        used becomes a problem and costs the others nothing. Raises CacheError when the cache
        cannot be written. `hidden` gives the boxes nobody shall see into, by file.
        """
        hidden = hidden or {}
        folder = Folder(self._photos)
        manifest = Manifest.load(self._cache / _MANIFEST)
        pictures: dict[str, Picture | None] = {}
        problems: dict[str, BadPictureError] = {}
        new: dict[str, os.stat_result] = {}
        for file in files:
            pictures[file] = None  # holds the order
            try:
                found = folder.stat(file)
            except BadPictureError as problem:
                problems[file] = problem
                continue
            seen = manifest.seen.get(file)
            if seen and (seen.size, seen.mtime_ns) == (found.st_size, found.st_mtime_ns):
                pictures[file] = self._ready(file, seen.sha256, manifest, hidden.get(file, ()))
            if not pictures[file]:
                new[file] = found
        if new:
            self._prepare_new(folder, new, hidden, manifest, problems, progress)
        for file in new.keys() - problems.keys():
            digest = manifest.seen[file].sha256
            pictures[file] = self._ready(file, digest, manifest, hidden.get(file, ()))
        return (
            {file: picture for file, picture in pictures.items() if picture},
            [problems[file].about(file) for file in pictures if file in problems],
        )

    def path(self, derivative: Derivative) -> Path:
        """Give the file in the cache that holds a derivative which `prepare` has returned."""
        return self._cache / cached_name_of(derivative)

    def _ready(
        self, file: str, digest: str, manifest: Manifest, boxes: tuple[Box, ...]
    ) -> Picture | None:
        shown = _as_shown(digest, boxes)
        known = manifest.known.get(shown)
        if known and self._is_whole(shown, known):
            return self._picture(file, digest, shown, known)
        return None

    def _is_whole(self, shown: str, known: Known) -> bool:
        if self._full_size and not known.full:
            return False
        key = content_key(shown)
        names = [(cached_name(key, made.edge), made) for made in known.made]
        if self._full_size and known.full:
            names.append((cached_name(key, FULL), known.full))
        whole = [is_whole(self._cache / name, made.size) for name, made in names]
        return all(whole)  # every one was asked, and so is known to be used

    def _picture(self, file: str, digest: str, shown: str, known: Known) -> Picture:
        key = content_key(shown)
        return Picture(
            known.width,
            known.height,
            tuple(
                Derivative(derivative_name(file, key, made.edge), made.width, made.height)
                for made in known.made
            ),
            Derivative(derivative_name(file, key, FULL), known.full.width, known.full.height)
            if self._full_size and known.full
            else None,
            known.colour,
            known.taken.within(self._zone) if known.taken else None,
            digest,
        )

    def _prepare_new(
        self,
        folder: Folder,
        new: dict[str, os.stat_result],
        hidden: Mapping[str, tuple[Box, ...]],
        manifest: Manifest,
        problems: dict[str, BadPictureError],
        progress: Progress | None,
    ) -> None:
        with writing(self._cache, "pictures"):
            self._cache.mkdir(parents=True, exist_ok=True)
            self._tidy(folder, manifest)
        pool = ThreadPoolExecutor(self._workers, "pictures")
        waiting: dict[Future[tuple[str, Known]], str] = {
            pool.submit(self._make, folder, file, manifest, hidden.get(file, ())): file
            for file in new
        }
        saved = time.monotonic()
        try:
            for done, future in enumerate(as_completed(waiting), 1):
                file = waiting[future]
                try:
                    digest, known = future.result()
                except BadPictureError as problem:
                    problems[file] = problem
                else:
                    found = new[file]
                    manifest.known[_as_shown(digest, hidden.get(file, ()))] = known
                    manifest.seen[file] = Seen(found.st_size, found.st_mtime_ns, digest)
                if progress:
                    progress(done, len(new))
                if time.monotonic() - saved > _SAVE_EVERY:
                    self._save(manifest)
                    saved = time.monotonic()
        finally:
            pool.shutdown(cancel_futures=True)
            self._save(manifest)

    def _make(
        self, folder: Folder, file: str, manifest: Manifest, boxes: tuple[Box, ...]
    ) -> tuple[str, Known]:
        data = folder.read(file)
        digest = sha256(data).hexdigest()
        shown = _as_shown(digest, boxes)
        known = manifest.known.get(shown)
        if known and self._is_whole(shown, known):  # moved, renamed, or only touched
            return digest, known
        original = open_original(data)
        size, taken = (original.width, original.height), moment(original.exif)
        sizes = edges(*size)
        with self._big if size[0] * size[1] > _BIG else nullcontext():
            rendered = render(original, sizes, boxes)
            full = full_size(original, boxes) if self._full_size else None
            del original  # it may hold all its pixels, and the next one shall not come on top
        key = content_key(shown)
        made = tuple(
            self._write(cached_name(key, edge), edge, one)
            for edge, one in zip(sizes, rendered, strict=True)
        )
        return digest, Known(
            *size,
            taken,
            made,
            rendered[0].colour,
            self._write(cached_name(key, FULL), 0, full) if full else None,
        )

    def _write(self, name: str, edge: int, one: Rendered) -> Made:
        with writing(self._cache, "pictures"):
            write_whole(self._cache / name, one.jpeg, durable=False)
        return Made(edge, one.width, one.height, len(one.jpeg))

    def _save(self, manifest: Manifest) -> None:
        with writing(self._cache, "pictures"):
            manifest.save(self._cache / _MANIFEST)

    def _tidy(self, folder: Folder, manifest: Manifest) -> None:
        """Let go what no build has used for long, whenever the cache is about to grow."""
        left = tidy(self._cache)
        for shown, known in list(manifest.known.items()):
            key = content_key(shown)
            if not any(cached_name(key, made.edge) in left for made in known.made):
                del manifest.known[shown]
        manifest.seen = {f: seen for f, seen in manifest.seen.items() if folder.has(f)}


def _as_shown(digest: str, boxes: tuple[Box, ...]) -> str:
    """Name an original together with what is hidden of it: other boxes make other pictures."""
    return sha256(f"{digest} {boxes}".encode()).hexdigest() if boxes else digest


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
