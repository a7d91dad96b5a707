"""When the record of each session was written, held against the day of the work."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from statistics import median

from buildbook.records.book import Book

SOON = 7
"""Days within which a record is said to be written soon after the work."""


@dataclass(frozen=True, slots=True)
class FileHistory:
    """What the version history says of one file, in days by the workshop's clock."""

    first: date
    later: tuple[date, ...]
    """Each later change, in order."""


@dataclass(frozen=True, slots=True)
class Past:
    """What the version history says of the files of a book, or why it says nothing."""

    files: Mapping[str, FileHistory]
    """By path in the content folder."""
    silent: str = ""
    """Why there is nothing, in a sentence without a full stop; empty where there is a history."""


@dataclass(frozen=True, slots=True)
class Writing:
    """When one session was written down."""

    session: str
    work: date
    first: date | None
    """When its file came into the history; None while it has not."""
    later: tuple[date, ...]
    """Later changes of the file."""

    @property
    def days(self) -> int | None:
        """Days from the work to its record; None while the history has none."""
        return (self.first - self.work).days if self.first else None


@dataclass(frozen=True, slots=True)
class Written:
    """The sessions of a book, and the figures of all together."""

    rows: tuple[Writing, ...]
    """In the order of the sessions."""

    @property
    def known(self) -> tuple[int, ...]:
        """Days of every session that the history has, in order of size.

        A record dated before its session, as of one planned ahead, counts as written at once.
        """
        return tuple(sorted(max(0, row.days) for row in self.rows if row.days is not None))

    @property
    def median(self) -> float | None:
        """Median of the days; None where there are none."""
        return median(self.known) if self.known else None

    @property
    def soon(self) -> int:
        """Sessions written within `SOON` days."""
        return sum(days <= SOON for days in self.known)

    @property
    def amended(self) -> int:
        """Sessions whose file was changed later."""
        return sum(bool(row.later) for row in self.rows)


def written(book: Book, history: Mapping[str, FileHistory]) -> Written:
    """Hold every session against its file's history, by path in the content folder."""
    return Written(tuple(writing(book, slug, history) for slug in book.sessions))


def writing(book: Book, slug: str, history: Mapping[str, FileHistory]) -> Writing:
    """Hold one session against its file's history."""
    session = book.sessions[slug]
    known = history.get(session.place.file)
    first, later = (known.first, known.later) if known else (None, ())
    return Writing(slug, session.date, first, later)
