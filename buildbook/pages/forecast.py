"""The forecast page: hours left, a range of dates, and how far earlier forecasts were off."""

from dataclasses import dataclass
from datetime import timedelta
from itertools import accumulate

from buildbook.ledger.backtest import Backtest, backtest
from buildbook.ledger.forecast import MIN_WEEKS, Finish, Forecast, by_week
from buildbook.ledger.left import Basis
from buildbook.ledger.progress import Progress
from buildbook.pages import paths
from buildbook.pages.charts import Chart, bars, line, shares
from buildbook.pages.context import Context, every_month
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import (
    mark,
    number,
    say,
    short_date,
    short_month,
    show_date,
    show_minutes,
    show_month,
    translated,
)

_WEEKS_DRAWN = 104
_HOURS = 60
_WORDS = {
    Basis.PIECES: mark("pieces left"),
    Basis.ESTIMATE: mark("estimate"),
    Basis.OPERATION: mark("pieces left, pace of the operation"),
    Basis.NOTHING: mark("not known"),
}


@dataclass(frozen=True, slots=True)
class SectionLeft:
    """A section with work left."""

    section: Link
    progress: Progress
    left: str
    finish: Finish | None


@dataclass(frozen=True, slots=True)
class StepLeftLine:
    """A step with work left."""

    step: Link
    estimate: int
    spent: int
    left: str
    basis: str


@dataclass(frozen=True, slots=True)
class MonthLine:
    """Running totals at the end of a month, in minutes."""

    month: str
    short: str
    """The same in few letters."""
    clock: int
    planned: int
    """What was planned for the steps finished by then."""


@dataclass(frozen=True, slots=True)
class ForetoldLine:
    """What an earlier month's forecast said of a section, and what came of it."""

    on: str
    section: Link
    finish: Finish
    actual: str
    held: bool
    late_by: int
    """Weeks after the likeliest; negative when before."""


@dataclass(frozen=True, slots=True)
class ForecastView:
    """Template `forecast.html`."""

    left: str
    ratio: int
    """Actual over estimated time, in per cent."""
    finished: int
    """Finished steps with an estimate."""
    finish: Finish | None
    why: str
    """Why there is no date, else empty."""
    unknown: tuple[Link, ...]
    weeks: int
    """Weeks looked back on."""
    idle: int
    """Of these, weeks without work."""
    a_week: int
    """Mean clock minutes of these weeks."""
    last_week: str
    """The Sunday the forecast counts from."""
    min_weeks: int
    sections: tuple[SectionLeft, ...]
    steps: tuple[StepLeftLine, ...]
    months: tuple[MonthLine, ...]
    week_rows: tuple[tuple[str, int], ...]
    """Monday and clock minutes of each week looked back on."""
    by_week: Chart | None
    against: Chart | None
    """Hours spent and hours planned for what is finished, added up."""
    by_section: Chart | None
    backtest: Backtest
    foretold: tuple[ForetoldLine, ...]


def forecast_page(context: Context) -> Page:
    """Lay out the forecast page."""
    book, ledger = context.book, context.ledger
    told = ledger.forecast
    left = told.left
    months = _months(context)
    short = [m.short for m in months]
    tested = backtest(book, ledger.stints)
    view = ForecastView(
        left=about(left.minutes),
        ratio=round(left.ratio * 100),
        finished=len(left.ratios),
        finish=told.finish,
        why=translated(told.why or ""),
        unknown=tuple(Link(context.step_in_section(n), paths.step(n)) for n in left.unknown),
        weeks=len(told.weeks),
        idle=sum(not minutes for minutes in told.weeks),
        a_week=round(sum(told.weeks) / len(told.weeks)) if told.weeks else 0,
        last_week=show_date(told.last_week + timedelta(days=6)) if told.weeks else "",
        min_weeks=MIN_WEEKS,
        sections=tuple(
            SectionLeft(
                context.section_link(name),
                ledger.progress.sections[name],
                about(minutes) if minutes else say("not known"),
                told.sections.get(name),
            )
            for name, minutes in left.of_section.items()
        ),
        steps=tuple(
            StepLeftLine(
                Link(context.step_in_section(name), paths.step(name)),
                step.estimate,
                step.spent,
                about(step.minutes) if step.minutes else "",
                say(_WORDS[step.basis]),
            )
            for name, step in left.steps.items()
        ),
        months=months,
        week_rows=tuple(
            (show_date(told.last_week - timedelta(weeks=n)), minutes)
            for n, minutes in enumerate(reversed(told.weeks))
        ),
        by_week=_weeks_chart(context),
        against=line(
            say("Hours spent, and hours planned for the steps finished"),
            short,
            [
                (say("clock hours spent"), [m.clock for m in months]),
                (say("hours planned for the steps finished"), [m.planned for m in months]),
            ],
        ),
        by_section=shares(
            say("Finished share of each section, by planned hours"),
            [section.title for section in book.sections.values()],
            [ledger.progress.sections[name].share for name in book.sections],
        ),
        backtest=tested,
        foretold=tuple(
            ForetoldLine(
                show_date(row.on),
                context.section_link(row.section),
                row.finish,
                show_date(row.actual),
                row.held,
                row.late_by,
            )
            for row in tested.rows
        ),
    )
    said = finish_words(told) or say("No date: %(why)s.", why=translated(told.why or ""))
    return Page(
        paths.FORECAST,
        say("Forecast"),
        "forecast.html",
        view,
        [SearchEntry(say("Forecast"), say("Hours left and finish date. %(said)s", said=said))],
        frozenset(),
        listed=True,
        description=said,
    )


def about(minutes: int) -> str:
    """Say a time no more exactly than it is known: `70 h`, `2 h 30`, `25 min`."""
    if minutes >= 10 * _HOURS:
        return number(f"{round(minutes / _HOURS):,} h")
    step = 30 if minutes >= _HOURS else 5
    return show_minutes(max(5, round(minutes / step) * step))


def left_words(context: Context, name: str) -> str:
    """Say how much a step or a section still wants; empty where nothing is left or known."""
    left = context.ledger.forecast.left
    minutes = left.steps[name].minutes if name in left.steps else left.of_section.get(name, 0)
    return say("about %(minutes)s left", minutes=about(minutes)) if minutes else ""


def finish_words(told: Forecast) -> str:
    """Say the range of dates in one sentence; empty where there is none."""
    if told.finish is None:
        return ""
    finish = told.finish
    return say(
        "At the pace of the last %(weeks)s weeks the steps in this book would be "
        "finished between %(early)s and %(late)s, most likely around %(likely)s, "
        "counted from the last week with a session.",
        weeks=len(told.weeks),
        early=show_date(finish.early),
        late=show_date(finish.late),
        likely=show_date(finish.likely),
    )


def _months(context: Context) -> tuple[MonthLine, ...]:
    progress = context.ledger.progress
    clock = {row.key: row.clock for row in context.ledger.hours.by_month.rows}
    planned = dict.fromkeys(clock, 0)
    for step in progress.steps.values():
        if step.finished:
            month = f"{step.finished:%Y-%m}"
            planned[month] = planned.get(month, 0) + (step.estimate or 0)
    months = every_month(planned)
    totals = zip(
        accumulate(clock.get(m, 0) for m in months),
        accumulate(planned.get(m, 0) for m in months),
        strict=True,
    )
    return tuple(
        MonthLine(show_month(m), short_month(m), *two)
        for m, two in zip(months, totals, strict=True)
    )


def _weeks_chart(context: Context) -> Chart | None:
    weeks = list(by_week(context.ledger.stints).items())[-_WEEKS_DRAWN:]
    labels = [short_date(w) for w, _ in weeks]
    caption = say("Clock hours by week, each from its Monday")
    return bars(caption, labels, [m for _, m in weeks], every=max(1, -(-len(weeks) // 13)))
