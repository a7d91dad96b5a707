"""The book's photos as pictures of the site."""

from collections.abc import Iterator
from dataclasses import dataclass
from logging import Logger, LoggerAdapter
from pathlib import Path

from mkdocs.exceptions import PluginError

from buildbook.media.engine import Box
from buildbook.media.picture import Derivative
from buildbook.media.problems import CacheError
from buildbook.media.store import PictureStore
from buildbook.records.book import Book

FOLDER = "pictures"


@dataclass(frozen=True, slots=True)
class SitePicture:
    """A photo's derivatives under their addresses in the site, from small to large."""

    all: tuple[Derivative, ...]

    @property
    def small(self) -> Derivative:
        """For lists of pictures."""
        return self.all[0]

    @property
    def large(self) -> Derivative:
        """For looking at one picture."""
        return self.all[-1]


class Pictures:
    """The pictures of one build: prepared once, known by the file that records name."""

    def __init__(self, book: Book, cache: Path, log: "Logger | LoggerAdapter[Logger]") -> None:
        store = PictureStore(book.folder / "photos", cache, zone=book.zone)
        try:
            prepared, problems = store.prepare(sorted(_shown(book)), hidden=_hidden(book))
        except CacheError as error:
            raise PluginError(str(error)) from None
        for problem in problems:
            log.error("%s: %s. %s", f"photos/{problem.file}", problem.sentence, problem.advice)
        self._pictures: dict[str, SitePicture] = {}
        self._paths: dict[str, Path] = {}
        for file, picture in prepared.items():
            for derivative in picture.derivatives:
                self._paths[f"{FOLDER}/{derivative.file}"] = store.path(derivative)
            self._pictures[file] = SitePicture(
                tuple(
                    Derivative(f"{FOLDER}/{d.file}", d.width, d.height) for d in picture.derivatives
                )
            )

    def of(self, file: str) -> SitePicture | None:
        """Return the picture of a photo; None for one that could not be prepared."""
        return self._pictures.get(file)

    def files(self) -> Iterator[tuple[str, Path]]:
        """Yield every derivative: its address in the site, and the file to copy."""
        yield from self._paths.items()


def _shown(book: Book) -> set[str]:
    """List the photos that some record shows; a picture no record names is not published."""
    shown = {photo.file for session in book.sessions.values() for photo in session.photos}
    for squawk in book.squawks.values():
        shown |= {squawk.photo or "", squawk.closed.photo or "" if squawk.closed else ""}
    return (shown & book.photo_files) - book.withheld


def _hidden(book: Book) -> dict[str, tuple[Box, ...]]:
    """List the boxes nobody shall see into, by photo: those of every record that shows it."""
    hidden: dict[str, tuple[Box, ...]] = {}
    for session in book.sessions.values():
        for photo in session.photos:
            boxes = tuple((b.left, b.top, b.width, b.height) for b in photo.blur)
            hidden[photo.file] = (*hidden.get(photo.file, ()), *boxes)
    return hidden
