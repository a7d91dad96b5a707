"""Time: sessions that overlap, days too long, hours that contradict each other."""

from collections import defaultdict
from collections.abc import Generator, Iterator
from datetime import date, datetime

from buildbook.records.book import Book
from buildbook.records.clock import instant, span
from buildbook.records.durations import MINUTES_IN_A_DAY, show_minutes
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.session import Session, Work

LONG_STRETCH = 16 * 60
"""Minutes at one go beyond which a slip of the clock is likelier than the work."""

_Stretch = tuple[datetime, datetime, Place]


def check_hours(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with dates and times."""
    stretches: dict[str, list[_Stretch]] = defaultdict(list)
    days: dict[tuple[str, date], list[tuple[int, Place]]] = defaultdict(list)
    for session in book.sessions.values():
        if session.date > today:
            yield Problem(
                "future-session",
                f"{session.date} is still to come",
                session.place.at("date"),
                advice="mend the date; what is planned belongs in a step or in `next`",
            )
        whole = yield from _minutes(book, session, session, stretches)
        own: list[tuple[Work, int | None]] = []
        for work in session.work:
            minutes = yield from _minutes(book, session, work, stretches)
            own.append((work, minutes))
        yield from _is_timed(session, whole, own)
        yield from _adds_up(book, session, whole, own)
        counted = own if own and all(m is not None for _, m in own) else [(session, whole)]
        for work, minutes in counted:
            place = work.place.at("hours" if work.hours is not None else "from")
            for who in book.who(session, work):
                days[who, session.date].append((minutes or 0, place))
    yield from _overlaps(stretches)
    yield from _long_days(days)


def _minutes(
    book: Book, session: Session, work: Work, stretches: dict[str, list[_Stretch]]
) -> Generator[Problem, None, int | None]:
    """Check the times of one piece of work and return its minutes, None when it has none."""
    if work.start is None or work.end is None:
        return work.hours
    try:
        began, ended = span(session.date, work.start, work.end, book.zone)
    except ValueError as error:
        yield Problem(
            "no-such-time",
            str(error),
            work.place.at(_missing_hour(book, session, work)),
            advice="write the time an hour later, or give `hours`",
        )
        return work.hours
    elapsed = int((ended - began).total_seconds()) // 60
    yield from _fits(work, elapsed)
    # Where the pieces of work say the times more closely, the session's own say nothing new.
    if work is not session or not any(w.start for w in session.work):
        for who in book.who(session, work):
            stretches[who].append((began, ended, work.place.at("from")))
    return work.hours if work.hours is not None else max(0, elapsed - work.pause)


def _missing_hour(book: Book, session: Session, work: Work) -> str:
    assert work.start is not None
    try:
        instant(session.date, work.start, book.zone)
    except ValueError:
        return "from"
    return "to"


def _fits(work: Work, elapsed: int) -> Iterator[Problem]:
    worked = elapsed - work.pause
    said = f"from {work.start} to {work.end} is {show_minutes(worked)} of work"
    if worked <= 0:
        yield Problem(
            "break-too-long",
            f"a break of {show_minutes(work.pause)} leaves nothing of the {show_minutes(elapsed)} "
            f"from {work.start} to {work.end}",
            work.place.at("break"),
            advice="mend the break or the times",
        )
    elif work.hours is not None and work.hours != worked:
        yield Problem(
            "hours-disagree",
            f"{said}, and `hours` says {show_minutes(work.hours)}",
            work.place.at("hours"),
            advice="leave one of the two out, or mend it",
        )
    elif worked > LONG_STRETCH:
        yield Problem(
            "long-session",
            said,
            work.place.at("to"),
            Severity.WARNING,
            advice="was a day or a half of the clock mistaken?",
        )


def _is_timed(
    session: Session, whole: int | None, own: list[tuple[Work, int | None]]
) -> Iterator[Problem]:
    if whole is not None or session.start is not None:
        return
    open_ended = [work for work, minutes in own if minutes is None and work.start is None]
    advice = "add `hours: 2h30`, or `from` and `to`"
    if not own or len(open_ended) == len(own) > 1:
        said = "the session does not say how long it took"
        yield Problem("no-hours", said, session.place, advice=advice)
    else:
        for work in open_ended:
            said = "this piece of work does not say how long it took"
            yield Problem("no-hours", said, work.place, advice=advice)


def _adds_up(
    book: Book, session: Session, whole: int | None, own: list[tuple[Work, int | None]]
) -> Iterator[Problem]:
    """Compare a session's time with that of its pieces of work, person by person.

    Two people may work at two things at once, so only what one person did must fit.
    """
    timed = [(book.who(session, work), minutes) for work, minutes in own if minutes is not None]
    if whole is None or not timed:
        return
    sums: dict[str, int] = defaultdict(int)
    for who, minutes in timed:
        for person in who:
            sums[person] += minutes
    most = max(sums.values())
    all_by_the_same = len(timed) == len(own) and len({who for who, _ in timed}) == 1
    if most > whole or (all_by_the_same and most != whole):
        name, said = ("hours", "`hours` say") if session.hours is not None else ("to", "times say")
        yield Problem(
            "hours-disagree",
            f"the pieces of work add up to {show_minutes(most)}, "
            f"and the session's {said} {show_minutes(whole)}",
            session.place.at(name),
            advice=f"leave the session's `{name}` out, or mend one of them"
            if name == "hours"
            else "mend one of them; time off in between is written as `break`",
        )


def _long_days(days: dict[tuple[str, date], list[tuple[int, Place]]]) -> Iterator[Problem]:
    for (who, day), counted in days.items():
        minutes = sum(m for m, _ in counted)
        if minutes > MINUTES_IN_A_DAY:
            yield Problem(
                "more-than-a-day",
                f"{who} would have worked {show_minutes(minutes)} on {day}",
                counted[-1][1],
                advice="check the hours of every session of that date",
            )


def _overlaps(stretches: dict[str, list[_Stretch]]) -> Iterator[Problem]:
    for who, spans in stretches.items():
        spans.sort(key=lambda s: (s[0], s[1], s[2].file, [str(p) for p in s[2].path]))
        latest: _Stretch | None = None
        for stretch in spans:
            if latest and stretch[0] < latest[1]:
                yield Problem(
                    "overlap",
                    f"{who} was already at work then, in {latest[2].file}",
                    stretch[2],
                    advice="mend the times, or say with `who` that another person worked",
                )
            if latest is None or stretch[1] > latest[1]:
                latest = stretch
