"""Storage: wrapping that came off at an impossible time, and corrosion deeper than the metal."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.part import Part
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.squawk import Squawk


def check_storage(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with how bare parts were stored, and with corrosion found."""
    for part in book.parts.values():
        yield from _unwrapped(part, today)
    yield from _protected_early(book)
    for squawk in book.squawks.values():
        yield from _corrosion(book, squawk)


def _unwrapped(part: Part, today: date) -> Iterator[Problem]:
    written = [(part.unwrapped, part.place), *((e.unwrapped, e.place) for e in part.pieces)]
    for day, place in written:
        if day and day > today:
            yield Problem(
                "future-unwrapped",
                f"{day} is still to come",
                place.at("unwrapped"),
                advice="mend the date, or leave it out until then",
            )
    for entry in part.pieces:
        if entry.unwrapped and entry.scrapped and entry.unwrapped > entry.scrapped:
            yield Problem(
                "unwrapped-scrap",
                f"it was unwrapped on {entry.unwrapped}, after it was scrapped, {entry.scrapped}",
                entry.place.at("unwrapped"),
                advice="mend one of the two dates",
            )


def _protected_early(book: Book) -> Iterator[Problem]:
    rule = book.file.storage
    if not rule:
        return
    for slug, session in book.sessions.items():
        for work, named in zip(session.entries, book.named_pieces[slug], strict=True):
            if work.operation not in rule.protected_by or work.knowingly:
                continue
            for label in (x for labels in named.values() for x in labels):
                bare = book.piece_by_label[label].unwrapped
                if bare and bare > session.date:
                    yield Problem(
                        "protected-in-its-wrapping",
                        f"`{work.operation}` was done on {label}, which was unwrapped later, "
                        f"on {bare}",
                        work.place.at("pieces"),
                        Severity.WARNING,
                        advice="mend the date of the session, or `unwrapped` of the part",
                    )
                    break


def _corrosion(book: Book, squawk: Squawk) -> Iterator[Problem]:
    found = squawk.corrosion
    if not found:
        return
    place = found.place
    for name, depth in (("depth", found.depth), ("removed", found.removed)):
        for number in book.parts_of(squawk):
            thickness = book.parts[number].thickness
            if depth and thickness and depth.to("mm") >= thickness.to("mm"):
                yield Problem(
                    "deeper-than-the-metal",
                    f"{depth.written} is the whole of {number}, which is {thickness.written} thick",
                    place.at(name),
                    advice="mend the depth, or the part",
                )
    if squawk.closed and found.removed and found.removed.to("mm") < found.depth.to("mm"):
        yield _left(place, found.depth.written, found.removed.written)


def _left(place: Place, depth: str, removed: str) -> Problem:
    return Problem(
        "corrosion-left",
        f"it was {depth} deep, only {removed} was taken off, and the squawk is closed",
        place.at("removed"),
        Severity.WARNING,
        advice="corrosion that is left goes on under the primer; mend the depth, or reopen it",
    )
