"""Citations: every part, step, person, operation ... that a record names must exist."""

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from buildbook.records.book import Book
from buildbook.records.problems import Problem, did_you_mean
from buildbook.records.record import Record
from buildbook.records.references import Reference

_NOUNS = {
    "people": ("person", "people"),
    "operations": ("operation", "operations"),
    "tools": ("tool", "tools"),
    "lots": ("lot", "lots"),
    "parts": ("part", "parts"),
    "steps": ("step", "steps"),
    "lessons": ("lesson", "lessons"),
    "squawks": ("squawk", "squawks"),
    "pieces": ("piece", "pieces"),
    "sections": ("section", "sections"),
    "notices": ("notice", "notices"),
    "equipment": ("equipment", "equipment"),
}

_MOST_ADVISED = 200
"""So many unknown names are held against all known ones for one spelled like them. It takes a while
for each, and where more are unknown it is no slip of the keys."""


def top_records(book: Book) -> Iterator[Record]:
    """Yield every record that stands in a file of its own or in a list of them."""
    if book.file.place.file:  # else it could not be read, and stands in for itself
        yield book.file
    for kind in (
        book.people,
        book.operations,
        book.tools,
        book.lots,
        book.sections,
        book.parts,
        book.sessions,
        book.notices,
        book.tasks,
        book.equipment,
        book.recurring,
    ):
        yield from kind.values()
    for numbered in (book.lessons, book.squawks):
        for record in numbered.values():
            if not record.place.file.startswith("sessions"):  # those are inside their session
                yield record
    yield from book.signoffs
    yield from book.weighings
    if book.balance:
        yield book.balance
    yield from book.costs
    yield from book.doubles


def _advice(name: Any, known: Collection[Any], several: str) -> str:
    if isinstance(name, int):
        return f"the highest number is {max(known)}" if known else f"the book has no {several} yet"
    return did_you_mean(name, known, name=several)


def check_citations(
    book: Book, cited: Iterable[Reference], broken: frozenset[str]
) -> Iterator[Problem]:
    """Yield a problem for every name that no record bears."""
    known: dict[str, Collection[Any]] = {
        kind: getattr(book, kind) for kind in _NOUNS if kind != "pieces"
    }
    known["pieces"] = book.piece_by_label
    # A section that could not be read takes its steps with it, a part its pieces.
    unsure = set(broken)
    unsure |= {"steps"} if "sections" in broken else set()
    unsure |= {"pieces"} if "parts" in broken else set()
    unsure |= {"lessons", "squawks"} if "sessions" in broken else set()
    advices: dict[tuple[str, Any], str] = {}  # one slip is often made in many records
    for to, name, place, _, is_key in cited:
        if to in ("photos", "clips") or name in known[to] or to in unsure:
            continue
        one, several = _NOUNS[to]
        if (to, name) not in advices:
            many = len(advices) >= _MOST_ADVISED
            advices[to, name] = "" if many else _advice(name, known[to], several)
        shown = name if isinstance(name, int) else f"`{name}`"
        yield Problem(
            f"unknown-{one}",
            f"there is no {one} {shown}",
            place,
            advice=advices[to, name],
            of_key=is_key,
            find=str(name),
        )
