"""The book's photos as pictures of the site."""

from collections.abc import Iterator
from dataclasses import dataclass
from logging import Logger, LoggerAdapter
from pathlib import Path

from mkdocs.exceptions import PluginError

from buildbook.media.picture import Derivative, published_name
from buildbook.media.problems import CacheError
from buildbook.media.published import hidden, published
from buildbook.media.store import PictureStore
from buildbook.records.book import Book

FOLDER = "pictures"


@dataclass(frozen=True, slots=True)
class SitePicture:
    """A photo's derivatives under their addresses in the site, from small to large."""

    all: tuple[Derivative, ...]
    full: Derivative | None
    """In full size, where the book publishes such."""
    colour: str
    """On average: shown until the picture is loaded."""

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
        store = PictureStore(
            book.folder / "photos", cache, zone=book.zone, full_size=book.file.full_size_photos
        )
        # An edition may know pictures by other names than the folder they are in.
        files = {book.original(file): file for file in sorted(published(book))}
        boxes = {book.original(file): box for file, box in hidden(book).items()}
        try:
            prepared, problems = store.prepare(files, hidden=boxes)
        except CacheError as error:
            raise PluginError(str(error)) from None
        for problem in problems:
            log.error("%s; %s", problem.sentence, problem.advice)
        self._pictures: dict[str, SitePicture] = {}
        self._paths: dict[str, Path] = {}
        for original, picture in prepared.items():
            file = files[original]
            every = (*picture.derivatives, *((picture.full,) if picture.full else ()))
            self._paths |= {in_site(FOLDER, d, file).file: store.path(d) for d in every}
            self._pictures[file] = SitePicture(
                tuple(in_site(FOLDER, d, file) for d in picture.derivatives),
                in_site(FOLDER, picture.full, file) if picture.full else None,
                picture.colour,
            )

    def of(self, file: str) -> SitePicture | None:
        """Return the picture of a photo; None for one that could not be prepared."""
        return self._pictures.get(file)

    def path(self, address: str) -> Path | None:
        """Return the file to copy to an address in the site; None where no picture is."""
        return self._paths.get(address)

    def files(self) -> Iterator[tuple[str, Path]]:
        """Yield every derivative: its address in the site, and the file to copy."""
        yield from self._paths.items()


def in_site(folder: str, made: Derivative, file: str) -> Derivative:
    """Give what was made of `file` its address in the site, from the name the book knows it by."""
    return Derivative(f"{folder}/{published_name(file, made)}", made.width, made.height)
