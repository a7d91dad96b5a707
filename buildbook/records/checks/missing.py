"""Pictures and clips that records name and that cannot be shown, and what was perhaps meant."""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from buildbook.records.book import Book
from buildbook.records.clip import CLIP_ENDINGS
from buildbook.records.photo import PHOTOS, PICTURE_ENDINGS
from buildbook.records.problems import Place, Problem, nearest

_MOST_NEAR = 20
"""So many names are held against all files for one spelled like them. It takes a while for each,
and where more are missing it is no slip of the keys."""


@dataclass(frozen=True, slots=True)
class Medium:
    """What a record may show: pictures or clips."""

    one: str
    """What one of them is called."""
    code: str
    """What the codes of its problems begin with."""
    field: str
    """Field of a session it stands in."""
    endings: frozenset[str]

    def files(self, book: Book) -> frozenset[str]:
        """List those that are there."""
        return book.clip_files if self.field == "clips" else book.photo_files


PICTURE = Medium("picture", "photo", "photos", PICTURE_ENDINGS)
CLIP = Medium("clip", "clip", "clips", CLIP_ENDINGS)


def plain(name: str) -> str:
    """Spell what looks alike in one way: accents that are letters of their own, several spaces."""
    return " ".join(unicodedata.normalize("NFC", name).split())


class Missing:
    """Says why files of one medium cannot be shown."""

    def __init__(self, book: Book, medium: Medium) -> None:
        self._book = book
        self._medium = medium
        self._known = medium.files(book)
        self._looks = {plain(file) for file in self._known}
        self._by_stem = {_stem(file): file for file in sorted(self._known, reverse=True)}
        self._searched = 0

    def told(self, file: str, place: Place) -> Iterator[Problem]:
        """Yield what is wrong with a file that a record names."""
        one, code = self._medium.one, self._medium.code
        parts = file.replace("\\", "/").split("/")
        if file.startswith(("/", "\\", "~")) or ".." in parts or ":" in parts[0]:
            yield Problem(
                "outside-content",
                f"`{file}` leads out of the folder `photos/`",
                place,
                advice=f"copy the {one} into `photos/` and name it from there, as `2025/03/spar"
                f"{'.mp4' if self._medium is CLIP else '.jpg'}`",
            )
            return
        path = self._book.folder / PHOTOS / file
        try:
            is_link, is_file = path.is_symlink(), path.is_file()
        except OSError:  # longer than any file's name
            is_link = is_file = False
        if is_link:
            return  # told where the link is
        if is_file:
            yield self._of_another_kind(file, place)
            return
        bare = re.sub(r"^(?:\./)?(?:content/)?photos/", "", file)
        if bare != file and bare in self._known:
            said = f"`{file}` is named from the wrong folder"
            yield Problem(f"{code}-missing", said, place, advice=f"write `{bare}`")
            return
        if plain(file) in self._looks:
            said = (
                f"the name of `{file}` has other accents or spaces on the disk than it looks like"
            )
            advice = "give the file a name of plain letters, and write that name here"
            yield Problem(f"{code}-looks-alike", said, place, advice=advice)
            return
        close = self._near(bare)
        advice = f"did you mean `{close}`?" if close else "copy it there, or mend the name"
        said = f"there is no {one} `{file}` in `{PHOTOS}/`"
        yield Problem(f"{code}-missing", said, place, advice=advice)

    def _of_another_kind(self, file: str, place: Place) -> Problem:
        one = self._medium.one
        other = PICTURE if self._medium is CLIP else CLIP
        said = f"`{file}` is not a kind of {one} that the book can show"
        advice = f"save it as one that ends in {', '.join(sorted(self._medium.endings))}"
        if file in other.files(self._book):
            said = f"`{file}` is a {other.one}, not a {one}"
            advice = f"move its entry to the session's `{other.field}`"
        return Problem(f"not-a-{one}", said, place, advice=advice)

    def _near(self, file: str) -> str:
        """Find a file that was perhaps meant: of that name elsewhere, or spelled like it."""
        if same := self._by_stem.get(_stem(file)):
            return same
        self._searched += 1
        return nearest(file, self._known, cutoff=0.8) if self._searched <= _MOST_NEAR else ""


def _stem(file: str) -> str:
    """Give a file's name without its folder and ending, whatever its capitals."""
    return PurePosixPath(file.replace("\\", "/")).stem.casefold()
