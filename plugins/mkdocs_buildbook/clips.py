"""The book's clips as films of the site."""

from collections.abc import Iterator
from dataclasses import dataclass
from logging import Logger, LoggerAdapter
from pathlib import Path

from mkdocs.exceptions import PluginError

from buildbook.media.clipstore import ClipStore
from buildbook.media.picture import Derivative
from buildbook.media.problems import CacheError
from buildbook.media.wishes import wishes
from buildbook.records.book import Book
from buildbook.records.timecode import TimeCode
from mkdocs_buildbook.pictures import in_site

FOLDER = "clips"


@dataclass(frozen=True, slots=True)
class SiteClip:
    """What is published of a clip, under its addresses in the site."""

    film: Derivative
    glimpse: Derivative
    """The silent preview."""
    posters: tuple[Derivative, ...]
    """From small to large."""
    length: str
    """How long it is, as `1:20`."""


class Clips:
    """The clips of one build: prepared once, known by the file that records name."""

    def __init__(self, book: Book, cache: Path, log: "Logger | LoggerAdapter[Logger]") -> None:
        def tell(file: str, done: int, of: int) -> None:
            log.info("Preparing clip %d of %d: %s", done + 1, of, file)

        store = ClipStore(book.folder / "photos", cache)
        asked = wishes(book)
        # An edition may know clips by other names than the folder they are in.
        files = {book.original(file): file for file in asked}
        try:
            prepared, problems = store.prepare(
                {book.original(file): wish for file, wish in asked.items()}, progress=tell
            )
        except CacheError as error:
            raise PluginError(str(error)) from None
        for problem in problems:
            log.error("%s; %s", problem.sentence, problem.advice)
        self._clips: dict[str, SiteClip] = {}
        self._paths: dict[str, Path] = {}
        for original, clip in prepared.items():
            file = files[original]
            for made in (clip.film, clip.preview, *clip.posters):
                self._paths[in_site(FOLDER, made, file).file] = store.path(made)
            self._clips[file] = SiteClip(
                in_site(FOLDER, clip.film, file),
                in_site(FOLDER, clip.preview, file),
                tuple(in_site(FOLDER, poster, file) for poster in clip.posters),
                str(TimeCode(round(clip.seconds) * 1000)),
            )

    def of(self, file: str) -> SiteClip | None:
        """Return what is published of a clip; None for one that could not be prepared."""
        return self._clips.get(file)

    def path(self, address: str) -> Path | None:
        """Return the file to copy to an address in the site; None where none of a clip is."""
        return self._paths.get(address)

    def files(self) -> Iterator[tuple[str, Path]]:
        """Yield every file: its address in the site, and the file to copy."""
        yield from self._paths.items()
