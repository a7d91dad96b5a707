"""Editions: a Book without what its reader is not to see.

What is left out is taken out of the records themselves, before anything is derived from them: so no
page, total, search entry, feed, chart, export or picture of an edition can know of it.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from buildbook.handover.cutting import Cutter, with_inside
from buildbook.handover.naming import NOBODY, Naming, nobody
from buildbook.handover.renaming import Renaming, renamed_files
from buildbook.handover.shortnames import by_kind, in_tags, renamed
from buildbook.ledger.balance import balance
from buildbook.records.book import Book
from buildbook.records.editions import Held, held
from buildbook.records.frontmatter import whom_for
from buildbook.records.person import Person
from buildbook.records.readers import EDITIONS, FULL
from buildbook.records.record import Record
from buildbook.records.references import references
from buildbook.records.session import Session

__all__ = ["EDITIONS", "FULL", "Cut", "NoSuchEditionError", "cut", "edition", "holds", "title"]

_TITLES = {
    "public": "Public edition",
    "inspector": "Inspector's edition",
    "owner": "Owner's edition",
    FULL: "Full edition",
}
_NOT_RECORDS = frozenset(
    ("edition", "held", "partial", "weight_hidden", "originals", "folder", "doubles", "notes")
)
_PLURALS = {
    "piece of work": "some pieces of work",
    "private field": "some details",
    "squawk not closed": "open squawks",
    "piece entry": "some pieces",
}
R = TypeVar("R")


class NoSuchEditionError(ValueError):
    """There is no edition of that name; the message says so, and which there are."""


@dataclass(frozen=True, slots=True)
class Cut:
    """An edition of a book, and how much was left out for it."""

    book: Book
    left_out: Mapping[str, int]
    """How many of each kind of thing: `session`, `photo`, `private field`, `address` ..."""


def title(name: str) -> str:
    """Say what an edition is called: `Inspector's edition`."""
    return _TITLES[name]


def holds(book: Book, name: str) -> Held:
    """Tell what an edition of a book holds. Raises NoSuchEditionError."""
    if name not in EDITIONS:
        known = ", ".join(EDITIONS)
        raise NoSuchEditionError(f"there is no edition `{name}`; there are {known}")
    file = book.file
    return held(file.editions, name, costs=file.show_costs, full_size=file.full_size_photos)


def edition(book: Book, name: str) -> Book:
    """Return an edition of a book as it was read; the full one is the book itself.

    Raises NoSuchEditionError.
    """
    return cut(book, name).book


def cut(book: Book, name: str) -> Cut:
    """Return an edition of a book, and the number of things left out for it.

    Raises NoSuchEditionError. A book can be cut once: an edition knows nothing of the others.
    """
    held_here = holds(book, name)
    if book.edition != FULL:
        raise ValueError(f"this is the {book.edition} edition of a book already")
    if name == FULL:
        return Cut(book, {})
    return _Edition(book, name, held_here).made()


class _Edition:
    """Makes one edition of one book."""

    def __init__(self, book: Book, name: str, held_here: Held) -> None:
        self.book = book
        self.name = name
        self.held = held_here
        unnamed = [n for n, p in book.people.items() if p.private is True]
        self.naming = Naming(
            book.people, held_here.people, () if held_here.private_notes else unnamed
        )

    def made(self) -> Cut:
        """Cut until nothing is cited any more that is not there, then give things new names."""
        gone: dict[str, frozenset[Any]] = {}
        while True:
            cutter = Cutter(self.book, self.held, self.naming, gone)
            records = self._records(cutter)
            slim = replace(self.book, **records, doubles=())
            now = self._gone(slim, cutter)
            if now == gone:
                break
            gone = now
        left_out = cutter.left_out
        notes = self._notes(left_out)
        slim = replace(
            slim,
            file=self._book_file(slim),
            edition=self.name,
            held=self.held,
            notes=notes,
            **_files(slim),
        )
        done = _with_new_names(self.book, slim, self.naming, gone, frozenset(cutter.words))
        if NOBODY not in done.people and (self.naming.missed or cutter.missed):
            done = replace(done, people={**done.people, NOBODY: nobody()})
        hidden = _empty_weight(self.book) != _empty_weight(done)
        done = replace(done, partial=in_words(left_out), weight_hidden=hidden)
        return Cut(done, dict(left_out))

    def _records(self, cutter: Cutter) -> dict[str, Any]:
        """Cut the records of every field. Sessions first: others are written in them."""
        found: dict[str, Any] = {}
        for name in ("sessions", *(f.name for f in fields(Book) if f.name not in _NOT_RECORDS)):
            value = getattr(self.book, name)
            if isinstance(value, Record):
                found[name] = cutter.cut(value)
            elif isinstance(value, tuple):
                found[name] = tuple(_there(map(cutter.cut, value)))
            elif isinstance(value, Mapping):
                cut_now = {key: cutter.cut(record) for key, record in value.items()}
                found[name] = {key: r for key, r in cut_now.items() if r is not None}
        return found

    def _gone(self, slim: Book, cutter: Cutter) -> dict[str, frozenset[Any]]:
        """Tell what the book had and this edition has not, by the kinds that are cited."""
        found: dict[str, frozenset[Any]] = {}
        for f in fields(Book):
            value = getattr(self.book, f.name)
            if isinstance(value, Mapping) and f.name not in _NOT_RECORDS:
                found[f.name] = frozenset(value) - frozenset(getattr(slim, f.name))
        found["steps"] = frozenset(self.book.steps) - frozenset(slim.steps)
        found["pieces"] = frozenset(self.book.piece_by_label) - frozenset(slim.piece_by_label)
        found["photos"] = found["clips"] = frozenset(cutter.secret_files())
        return {kind: names for kind, names in found.items() if names}

    def _notes(self, left_out: Counter[str]) -> dict[str, str]:
        kept = {
            file: text
            for file, text in self.book.notes.items()
            if whom_for(text).is_in(self.name, private_notes=self.held.private_notes)
        }
        if less := len(self.book.notes) - len(kept):
            left_out["hand-written page"] = less
        return kept

    def _book_file(self, slim: Book) -> Any:
        return slim.file.model_copy(
            update={
                "show_costs": self.held.costs,
                "full_size_photos": self.held.full_size_photos,
                "editions": type(slim.file.editions)(),
            }
        )


def _empty_weight(book: Book) -> tuple[Any, ...] | None:
    """Tell what the empty aircraft weighs, and how many items there are that are not in it."""
    empty = balance(book).empty
    return (empty.now, len(empty.unknown), empty.weighed is None) if empty else None


def _there(records: Iterator[R | None]) -> Iterator[R]:
    return (record for record in records if record is not None)


def _files(book: Book) -> dict[str, Any]:
    """Keep of the pictures and clips those that a record still names."""
    cited: set[Any] = set()
    for record in records_of(book):
        cited |= {r.name for r in references(record) if r.to in ("photos", "clips")}
    return {
        "photo_files": book.photo_files & cited,
        "clip_files": book.clip_files & cited,
        "withheld": book.withheld & cited,
    }


def private_marks(book: Book) -> int:
    """Count the records and fields that are marked private."""
    return sum(
        1 if inner.private is True else len(inner.private_names)
        for record in records_of(book)
        for inner in with_inside(record)
    )


def records_of(book: Book) -> Iterator[Record]:
    """Yield every record of a book that stands in no other one."""
    for f in fields(Book):
        value = getattr(book, f.name)
        if isinstance(value, Record):
            yield value
        elif f.name not in _NOT_RECORDS and isinstance(value, (tuple, Mapping)):
            several = value.values() if isinstance(value, Mapping) else value
            yield from (record for record in several if isinstance(record, Record))


def _with_new_names(
    book: Book,
    slim: Book,
    naming: Naming,
    gone: Mapping[str, frozenset[Any]],
    words: frozenset[str],
) -> Book:
    """Give people, sessions and files the names they have in the edition."""
    files = {} if slim.held.original_photos else renamed_files(slim)
    renaming = Renaming(
        {
            "people": {p: naming.slug(p) for p in book.people},
            "photos": files,
            "clips": files,
        },
        gone,
        naming,
        words,
    )
    short = renamed((r for r in records_of(slim) if not isinstance(r, Person)), renaming.text)
    renaming.know_short(short)
    for kind, names in by_kind(slim, short).items():
        renaming.know(kind, names)
    titled = _titled(slim.sessions, renaming)
    renaming.know("sessions", {old: new.slug for old, new in titled.items()})
    known: dict[int, Record] = {}
    found: dict[str, Any] = {"people": _people(slim, naming, renaming, known)}
    for f in fields(Book):
        value = getattr(slim, f.name)
        if f.name in ("people", *_NOT_RECORDS):
            continue
        if f.name == "sessions":
            again = [
                renaming.record(session, known).model_copy(update={"title": titled[slug].title})
                for slug, session in slim.sessions.items()
            ]
            found["sessions"] = {session.slug: session for session in again}
        elif isinstance(value, Record):
            found[f.name] = renaming.record(value, known)
        elif isinstance(value, tuple):
            found[f.name] = tuple(renaming.record(record, known) for record in value)
        elif isinstance(value, Mapping):
            found[f.name] = {
                renaming.name(f.name, k): renaming.record(record, known)
                for k, record in value.items()
            }
    for name in ("photo_files", "clip_files", "withheld"):
        found[name] = frozenset(files.get(file, file) for file in getattr(slim, name))
    found["notes"] = {
        file: in_tags(renaming.citations(text), short) for file, text in slim.notes.items()
    }
    found["originals"] = {new: old for old, new in files.items() if new != old}
    return replace(slim, **found)


def _people(
    book: Book, naming: Naming, renaming: Renaming, known: dict[int, Record]
) -> dict[str, Person]:
    people = {}
    for person in book.people.values():
        other = renaming.record(person, known)
        if not naming.is_named(person):
            slug, name = naming.person(person)
            # The notes on somebody would say who is meant.
            other = other.model_copy(update={"person": slug, "name": name, "notes": None})
        people[other.person] = other
    return people


def _titled(sessions: Mapping[str, Session], renaming: Renaming) -> dict[str, Session]:
    """Put the titles right, of which the pages' names are made; no two may become alike."""
    taken: set[str] = set()
    found = {}
    for slug, session in sessions.items():
        words = renaming.text(session.title) if session.title else None
        other, number = session.model_copy(update={"title": words}), 1
        while other.slug in taken:
            number += 1
            other = session.model_copy(update={"title": f"{words or ''} ({number})".strip()})
        taken.add(other.slug)
        found[slug] = other
    return found


def in_words(left_out: Mapping[str, int]) -> tuple[str, ...]:
    """Name what is left out, as a page says it."""
    words = [_PLURALS.get(kind, f"some {kind}s") for kind in left_out if kind not in _WHOLE]
    return tuple(sorted(words))


_WHOLE = frozenset(("address", "letter", "serial number", "cost", "hand-written page"))
"""What is missed in no total and no list."""
