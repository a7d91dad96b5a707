"""Problems found in a book, as data: a code, a place, plain words, a suggestion."""

from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

Step = str | int
"""One step on the way into a record: a field's name or an index in a list."""


class Severity(StrEnum):
    """How bad a problem is: an error must be mended, a warning should be looked at."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is written: a file, and the way to it inside the file."""

    file: str
    """Path relative to the content folder, with forward slashes."""
    path: tuple[Step, ...] = ()
    """Field names and list indexes from the top of the file."""

    def at(self, *steps: Step) -> "Place":
        """Give the place further inside this one."""
        return Place(self.file, self.path + steps)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, where it is, and what may mend it."""

    code: str
    """Stable name of the kind of problem, such as `unknown-step`."""
    message: str
    """What is wrong, in a sentence without a full stop."""
    place: Place
    severity: Severity = Severity.ERROR
    advice: str = ""
    """What to do about it; may be empty."""
    of_key: bool = False
    """The problem is the field's name itself, not its value."""
    position: tuple[int, int] | None = None
    """Line and column, from 1; worked out from the place when it is not known beforehand."""
    find: str = ""
    """Words inside a longer text that the problem is about: they are pointed at, not its start."""
    skip: int = 0
    """Of `find`: how many earlier showings of the same words in that text are not meant."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem with its position worked out, ready to be shown."""

    code: str
    severity: Severity
    file: str
    line: int
    """From 1."""
    column: int
    """From 1, in characters."""
    message: str
    advice: str
    text: str
    """The offending line as written, without its line end; empty for a picture file."""


def nearest(word: str, known: "Iterable[str]", *, cutoff: float = 0.67) -> str:
    """Return the known word most like `word`, or an empty string when none is close."""
    by_fold = {k.casefold(): k for k in known}
    found = get_close_matches(word.casefold(), by_fold, n=1, cutoff=cutoff)
    return by_fold[found[0]] if found else ""


def did_you_mean(word: str, known: "Iterable[str]", *, name: str = "") -> str:
    """Compose advice from the nearest known word, or else list what is known when that is short.

    `name` is the plural of what is listed ("people", "operations").
    """
    words = list(known)
    if close := nearest(word, words):
        return f"did you mean `{close}`?"
    if name and 0 < len(words) <= 12:  # noqa: PLR2004 - a list that still reads at a glance
        return f"known {name}: {', '.join(words)}"
    if name and not words:
        return f"the book has no {name} yet"
    return ""
