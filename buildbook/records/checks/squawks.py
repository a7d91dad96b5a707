"""Squawks: dates that run backwards, or are still to come."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.future import still_to_come
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.squawk import Squawk


def check_squawks(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with the way squawks are found, decided and closed."""
    for number, squawk in book.squawks.items():
        days = [(squawk.found, squawk.place.at("found"))]
        days += [(d.date, d.place.at("date")) for d in (squawk.disposition, squawk.closed) if d]
        yield from still_to_come("future-squawk", days, today)
        found = book.found_on(number)
        yield from _order(squawk, found)


def _order(squawk: Squawk, found: date | None) -> Iterator[Problem]:
    decided, closed = squawk.disposition, squawk.closed
    if found and decided and decided.date < found:
        place = decided.place.at("date")
        yield _backwards("decided-before-found", "decided", decided.date, "found", found, place)
    if closed:
        place = closed.place.at("date")
        if found and closed.date < found:
            yield _backwards("closed-before-found", "closed", closed.date, "found", found, place)
        elif decided and closed.date < decided.date:
            yield _backwards(
                "closed-before-decided", "closed", closed.date, "decided about", decided.date, place
            )
    advice = decided.advice if decided else None
    if decided and advice and advice.date and advice.date > decided.date:
        yield Problem(
            "advice-after-decision",
            f"the advice is of {advice.date}, after the decision, {decided.date}",
            advice.place.at("date"),
            Severity.WARNING,
            advice="mend one of the two dates",
        )


def _backwards(code: str, what: str, day: date, before: str, other: date, place: Place) -> Problem:
    said = f"the squawk was {what} on {day}, before it was {before}, {other}"
    return Problem(code, said, place, advice="mend one of the two dates")
