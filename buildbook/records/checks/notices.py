"""Notices: done before they were issued, superseded the wrong way round, turned down silently."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.notice import Notice
from buildbook.records.problems import Place, Problem, Severity


def check_notices(book: Book, today: date) -> Iterator[Problem]:
    """Yield what notices, and the sessions that carry them out, contradict each other in."""
    for notice in book.notices.values():
        if notice.issued > today:
            yield _to_come(notice.issued, notice.place.at("issued"))
        if notice.due and notice.due < notice.issued:
            yield Problem(
                "due-before-issued",
                f"it is due on {notice.due}, before it was issued, {notice.issued}",
                notice.place.at("due"),
                advice="mend one of the two dates",
            )
        for done in notice.done:
            if done.date > today:
                yield _to_come(done.date, done.place.at("date"))
            yield from _early(notice, done.date, done.place.at("date"))
        if notice.applies is False:
            yield from _turned_down(notice)
        yield from _order(book, notice)
    yield from _carried_out(book)


def _turned_down(notice: Notice) -> Iterator[Problem]:
    if not notice.why:
        yield Problem(
            "no-reason",
            f"{notice.notice} is said not to apply, without a reason",
            notice.place.at("applies"),
            Severity.WARNING,
            advice="add `why:`, an inspector will ask",
        )
    if notice.done:
        yield _needless(notice, notice.place.at("done"))


def _carried_out(book: Book) -> Iterator[Problem]:
    for session in book.sessions.values():
        for work in (session, *session.work):
            for i, number in enumerate(work.notices):
                if cited := book.notices.get(number):
                    place = work.place.at("notices", i)
                    yield from _early(cited, session.date, place)
                    if cited.applies is False:
                        yield _needless(cited, place)


def _to_come(day: date, place: Place) -> Problem:
    return Problem("future-notice", f"{day} is still to come", place, advice="mend the date")


def _early(notice: Notice, day: date, place: Place) -> Iterator[Problem]:
    if day < notice.issued:
        yield Problem(
            "done-before-issued",
            f"{notice.notice} was done on {day}, before it was issued, {notice.issued}",
            place,
            advice="mend one of the two dates, or the number of the notice",
        )


def _needless(notice: Notice, place: Place) -> Problem:
    return Problem(
        "done-though-not-applicable",
        f"{notice.notice} was done, and is said not to apply",
        place,
        Severity.WARNING,
        advice="mend `applies`, or the number of the notice",
    )


def _order(book: Book, notice: Notice) -> Iterator[Problem]:
    for i, number in enumerate(notice.supersedes):
        earlier = book.notices.get(number)
        if earlier is notice or (earlier and earlier.issued > notice.issued):
            itself = earlier is notice
            yield Problem(
                "supersedes-later",
                f"{notice.notice} cannot take the place of itself"
                if itself
                else f"{number} was issued later than {notice.notice}, which takes its place",
                notice.place.at("supersedes", i),
                advice="name the earlier notice" if itself else "exchange the two, or mend a date",
            )
