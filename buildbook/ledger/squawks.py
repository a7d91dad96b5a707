"""Squawks laid side by side: how old they are, where they are open, which causes come again."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from buildbook.records.book import Book
from buildbook.records.limits import same_name
from buildbook.records.squawk import Squawk


@dataclass(frozen=True, slots=True)
class SquawkFacts:
    """What is computed of one squawk."""

    number: int
    section: str | None
    """Section of the step it came up in, else of the first step that works on its part."""
    found: date | None
    days: int | None
    """From found to closed, or to the last session of the book; None where one is not known."""
    closed_in: str | None
    """Session of the day it was closed that names it, by slug."""


@dataclass(frozen=True, slots=True)
class SectionCount:
    """The squawks of a section that are not closed."""

    section: str | None
    open: int
    decided: int
    oldest: int | None
    """Days of the oldest of them."""


@dataclass(frozen=True, slots=True)
class Squawks:
    """All squawks, with what is computed of them."""

    of: dict[int, SquawkFacts]
    by_section: tuple[SectionCount, ...]
    """Sections with squawks that are not closed, in the order of the book."""
    causes: tuple[tuple[str, tuple[int, ...]], ...]
    """Causes named by more than one squawk, the most frequent first."""


def squawks(book: Book, as_of: date | None) -> Squawks:
    """Look at all squawks of a book as of a day.

    That is the day of the last session and not today, so that the same book gives the same pages.
    """
    part_sections: dict[str, str] = {}
    for name, step in book.steps.items():
        for part in step.parts:
            part_sections.setdefault(part, name.partition("/")[0])
    closed_in = _closed_in(book)
    facts = {
        number: _facts(book, squawk, part_sections, as_of, closed_in.get(number))
        for number, squawk in sorted(book.squawks.items())
    }
    return Squawks(facts, _by_section(book, facts), _causes(book))


def _facts(
    book: Book,
    squawk: Squawk,
    part_sections: dict[str, str],
    as_of: date | None,
    closed_in: str | None,
) -> SquawkFacts:
    number = squawk.squawk
    found = book.found_on(number)
    until = squawk.closed.date if squawk.closed else as_of
    parts = [*squawk.parts]
    parts += [book.piece_by_label[x].part for x in squawk.pieces if x in book.piece_by_label]
    sections = [s for p in parts if (s := part_sections.get(p))]
    section = squawk.step.partition("/")[0] if squawk.step else next(iter(sections), None)
    return SquawkFacts(
        number,
        section if section in book.sections else None,
        found,
        max(0, (until - found).days) if found and until else None,
        closed_in,
    )


def _closed_in(book: Book) -> dict[int, str]:
    """Find the session of the day each squawk was closed that names it."""
    found: dict[int, str] = {}
    for slug, session in book.sessions.items():
        named = [x if isinstance(x, int) else x.squawk for x in session.squawks]
        named += [r.squawk for w in session.entries for r in w.readings if r.squawk]
        for number in named:
            squawk = book.squawks.get(number)
            if squawk and squawk.closed and squawk.closed.date == session.date:
                found.setdefault(number, slug)
    return found


def _by_section(book: Book, facts: dict[int, SquawkFacts]) -> tuple[SectionCount, ...]:
    waiting: dict[str | None, list[SquawkFacts]] = defaultdict(list)
    for number, fact in facts.items():
        if not book.squawks[number].closed:
            waiting[fact.section].append(fact)
    rows = []
    for section in (*book.sections, None):
        if some := waiting.get(section):
            decided = sum(book.squawks[f.number].disposition is not None for f in some)
            oldest = max((f.days for f in some if f.days is not None), default=None)
            rows.append(SectionCount(section, len(some) - decided, decided, oldest))
    return tuple(rows)


def _causes(book: Book) -> tuple[tuple[str, tuple[int, ...]], ...]:
    named: dict[str, list[int]] = defaultdict(list)
    for number, squawk in sorted(book.squawks.items()):
        if squawk.cause:
            named[same_name(squawk.cause).rstrip(".")].append(number)
    again = [numbers for numbers in named.values() if len(numbers) > 1]
    again.sort(key=lambda numbers: (-len(numbers), numbers))
    return tuple((book.squawks[n[0]].cause or "", tuple(n)) for n in again)
