"""Working days by year, as tables: a row a month, a column a day."""

from calendar import monthrange
from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.pages.words import month_name, say, say_n, show_date, show_minutes

SATURDAY = 5
_LEVELS = (60, 150, 270)
"""Minutes from which a day is drawn darker."""


@dataclass(frozen=True, slots=True)
class DayCell:
    """A day of a month."""

    weekend: bool
    words: str
    """Hours to the nearest whole one, `½` for half an hour; empty for a day without work."""
    label: str
    """The same for who cannot see where it stands: `4 October 2024: 2h30`."""
    level: int
    """How much was done, 0 to 4."""
    link: Link | None
    """The day's first session."""


@dataclass(frozen=True, slots=True)
class MonthRow:
    """A month of the calendar; days it has not are None."""

    name: str
    days: tuple[DayCell | None, ...]
    worked: int
    minutes: int


@dataclass(frozen=True, slots=True)
class YearView:
    """A year of the calendar."""

    year: int
    months: tuple[MonthRow, ...]
    worked: int
    minutes: int
    words: str
    """The year in a sentence."""


DAYS = tuple(range(1, 32))


def years(context: Context) -> tuple[YearView, ...]:
    """Lay out the calendar of every year from the first session to the last, months likewise."""
    by_day: dict[date, list[str]] = defaultdict(list)
    for slug, session in context.book.sessions.items():
        by_day[session.date].append(slug)
    if not by_day:
        return ()
    first, last = min(by_day), max(by_day)
    found = []
    for year in range(first.year, last.year + 1):
        begin = first.month if year == first.year else 1
        end = last.month if year == last.year else 12
        months = tuple(_month(context, year, month, by_day) for month in range(begin, end + 1))
        found.append(_year(year, months))
    return tuple(found)


def _year(year: int, months: tuple[MonthRow, ...]) -> YearView:
    worked, minutes = sum(m.worked for m in months), sum(m.minutes for m in months)
    days = say_n("1 day", "%(days)s days", worked, days=worked)
    words = say(
        "%(year)s: work on %(days)s, %(minutes)s by the clock.",
        year=year,
        days=days,
        minutes=show_minutes(minutes),
    )
    if worked and len(months) > 1:
        most = max(months, key=lambda m: m.minutes)
        words += say(
            " Most in %(name)s, %(minutes)s.", name=most.name, minutes=show_minutes(most.minutes)
        )
        if idle := [m.name for m in months if not m.worked]:
            words += say(" None in %(idle)s.", idle=", ".join(idle))
    return YearView(year, months, worked, minutes, words)


def _month(context: Context, year: int, month: int, by_day: dict[date, list[str]]) -> MonthRow:
    _, length = monthrange(year, month)
    days: list[DayCell | None] = [
        _day(context, date(year, month, n), by_day.get(date(year, month, n), []))
        for n in range(1, length + 1)
    ]
    days += [None] * (len(DAYS) - length)
    slugs = [s for n in range(1, length + 1) for s in by_day.get(date(year, month, n), ())]
    minutes = sum(context.ledger.hours.by_session[slug][0] for slug in slugs)
    worked = sum(day is not None and day.link is not None for day in days)
    return MonthRow(month_name(month), tuple(days), worked, minutes)


def _day(context: Context, day: date, slugs: list[str]) -> DayCell:
    weekend = day.weekday() >= SATURDAY
    if not slugs:
        return DayCell(weekend, "", "", 0, None)
    minutes = sum(context.ledger.hours.by_session[slug][0] for slug in slugs)
    several = say(" in %(sessions)s sessions", sessions=len(slugs)) if len(slugs) > 1 else ""
    told = f"{show_minutes(minutes)}{several}" if minutes else say("time not told")
    return DayCell(
        weekend,
        _hours(minutes),
        f"{show_date(day)}: {told}",
        1 + sum(minutes >= level for level in _LEVELS),
        Link(_hours(minutes), paths.session(slugs[0])),
    )


def _hours(minutes: int) -> str:
    """Say hours shortly: to the nearest one, `½` below three quarters, a dot for none told."""
    if not minutes:
        return "·"
    return "½" if minutes < 45 else str((minutes + 30) // 60)  # noqa: PLR2004
