"""How good earlier forecasts would have been: each month's, held against what came of it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import fmean

from buildbook.ledger.forecast import Finish, by_week, forecast, monday
from buildbook.ledger.left import Remaining, left
from buildbook.ledger.pace import PaceLedger, pace
from buildbook.ledger.progress import step_progress
from buildbook.ledger.time import Stint
from buildbook.records.book import Book

RESAMPLES = 100
"""Fewer than for the page's own forecast: here the range is wanted, not its last week."""
MONTHS = 24
"""Ends of months looked at, spread over the record."""


@dataclass(frozen=True, slots=True)
class Foretold:
    """When a section would have been foretold to be finished, and when it was."""

    on: date
    """Only what was recorded up to this day was known."""
    section: str
    finish: Finish
    actual: date
    """When its last step was finished."""

    @property
    def held(self) -> bool:
        """Whether it was finished in the weeks from `early` to `late`."""
        return monday(self.finish.early) <= monday(self.actual) <= monday(self.finish.late)

    @property
    def late_by(self) -> int:
        """Weeks it was finished after the likeliest one; negative when before."""
        return (monday(self.actual) - monday(self.finish.likely)).days // 7


@dataclass(frozen=True, slots=True)
class Backtest:
    """Every forecast of a section that was finished later."""

    rows: tuple[Foretold, ...]

    @property
    def held(self) -> int:
        """Forecasts whose range held; eight in ten are meant to."""
        return sum(row.held for row in self.rows)

    @property
    def sections(self) -> int:
        """Different sections foretold. Forecasts of one section err together."""
        return len({row.section for row in self.rows})

    @property
    def late_by(self) -> float:
        """Mean of weeks late; above 0 the forecasts were too hopeful. 0 without rows."""
        return fmean(row.late_by for row in self.rows) if self.rows else 0.0

    @property
    def off_by(self) -> float:
        """Mean of weeks off, whichever way. 0 without rows."""
        return fmean(abs(row.late_by) for row in self.rows) if self.rows else 0.0


RemainingAt = Callable[[Book, tuple[Stint, ...]], Remaining]
"""Counts the pieces left from a book cut at a day, and its stints."""


def cut(book: Book, day: date) -> Book:
    """Return the book as it was known at the end of a day: without later sessions.

    The plan (sections, steps, estimates, parts) is taken as it stands today.
    """
    sessions = {slug: s for slug, s in book.sessions.items() if s.date <= day}
    return replace(book, sessions=sessions)


def backtest(
    book: Book,
    stints: tuple[Stint, ...],
    remaining_at: RemainingAt | None = None,
    resamples: int = RESAMPLES,
) -> Backtest:
    """Forecast at the end of each month of the record, and compare with what happened.

    Without `remaining_at` the old forecasts go by estimates alone and not by pieces left, which
    are slow to count anew for every month.
    """
    finished = _sections_finished(book)
    rows = []
    for day in _month_ends(book):
        known = tuple(s for s in stints if s.date <= day)
        ahead = {name: when for name, when in finished.items() if when > day}
        if not known or not ahead:
            continue
        then = cut(book, day)
        spent: dict[str, int] = {}
        for stint in known:
            if stint.step:
                spent[stint.step] = spent.get(stint.step, 0) + stint.minutes
        paces: PaceLedger | None = None
        remaining: Remaining = {}
        if remaining_at:
            paces, remaining = pace(known), remaining_at(then, known)
        work = left(step_progress(then, spent), paces, remaining)
        told = forecast(by_week(known), work, day, resamples)
        rows += [
            Foretold(day, name, told.sections[name], when)
            for name, when in ahead.items()
            if name in told.sections
        ]
    return Backtest(tuple(rows))


def _sections_finished(book: Book) -> dict[str, date]:
    """Tell when the last step of each finished section was finished."""
    steps: dict[str, list[date | None]] = {name: [] for name in book.sections}
    for name, step in step_progress(book, {}).items():
        steps[name.partition("/")[0]].append(step.finished)
    found = {}
    for name, days in steps.items():
        known = [day for day in days if day]
        if known and len(known) == len(days):
            found[name] = max(known)
    return found


def _month_ends(book: Book) -> list[date]:
    """List the last days of the months of the record; of a long one, MONTHS of them."""
    days = [session.date for session in book.sessions.values()]
    if not days:
        return []
    ends, day = [], min(days)
    while day < max(days):
        day = (day.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)
        ends.append(day)
        day += timedelta(days=1)
    step = max(1, -(-len(ends) // MONTHS))
    return ends[::step]
