"""Notices: done before they were issued, superseded the wrong way round, turned down silently.

And steps closed over a notice that was to be done before.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.future import still_to_come
from buildbook.records.notice import Notice
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.stages import turns


def check_notices(book: Book, today: date) -> Iterator[Problem]:
    """Yield what notices, and the sessions that carry them out, contradict each other in."""
    for notice in book.notices.values():
        days = [(notice.issued, notice.place.at("issued"))]
        days += [(done.date, done.place.at("date")) for done in notice.done]
        yield from still_to_come("future-notice", days, today)
        if notice.due and notice.due < notice.issued:
            yield Problem(
                "due-before-issued",
                f"it is due on {notice.due}, before it was issued, {notice.issued}",
                notice.place.at("due"),
                advice="mend one of the two dates",
            )
        for done in notice.done:
            yield from _early(notice, done.date, done.place.at("date"))
        if notice.applies is False:
            yield from _turned_down(notice)
        yield from _order(book, notice)
    yield from _carried_out(book)
    yield from _closed_over(book)


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


def _closed_over(book: Book) -> Iterator[Problem]:
    """Warn of steps that are closed, and of a notice to be done before that was not done by then.

    What was issued after the closing, and what does not apply, is no reproach.
    """
    waited = [n for n in book.notices.values() if n.before and n.applies is not False]
    if not waited:
        return
    of_step = turns(book)
    superseded = {old for notice in book.notices.values() for old in notice.supersedes}
    first = _first_done(book)
    for notice in waited:
        if notice.notice in superseded:
            continue
        for name in dict.fromkeys(notice.before):
            last = next(iter(of_step.get(name, ())[-1:]), None)
            if last is None or not last.finished or notice.issued > last.date:
                continue
            done = first.get(notice.notice)
            if done is None or done > last.date:
                then = f"was done on {done}" if done else "is not done"
                yield Problem(
                    "closed-over-notice",
                    f"{notice.notice} was to be done before this step is closed, and {then}",
                    last.work.place.at("finished"),
                    Severity.WARNING,
                    advice="do it, say in its notice why it does not apply, mend its `before`, or "
                    f"take `finished` away until then ({notice.place.file})",
                )


def _first_done(book: Book) -> dict[str, date]:
    """Tell when each notice was first carried out, as far as anything says so."""
    days: dict[str, list[date]] = defaultdict(list)
    for notice in book.notices.values():
        days[notice.notice] += [done.date for done in notice.done]
    for session in book.sessions.values():
        for work in (session, *session.work):
            for number in work.notices:
                days[number].append(session.date)
    return {number: min(some) for number, some in days.items() if some}


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
