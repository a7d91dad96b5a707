"""The hours page: every way of looking at the time spent, each with its sum."""

from dataclasses import dataclass
from itertools import accumulate

from buildbook.pages import paths
from buildbook.pages.charts import Chart, bars, line
from buildbook.pages.context import Context, every_month
from buildbook.pages.page import Page, SearchEntry
from buildbook.pages.views import HoursView
from buildbook.pages.words import say, short_month


@dataclass(frozen=True, slots=True)
class HoursPageView:
    """Template `hours.html`."""

    clock: int
    person: int
    tables: tuple[HoursView, ...]
    by_month: Chart | None
    running: Chart | None


def hours_page(context: Context) -> Page:
    """Lay out the hours page."""
    hours = context.ledger.hours
    tables = (
        context.hours(
            say("Hours by section"),
            say("Section"),
            hours.by_section,
            "sections",
            not_said=say("no section"),
        ),
        context.hours(
            say("Hours by operation"),
            say("Operation"),
            hours.by_operation,
            "operations",
            not_said=say("operation not said"),
        ),
        context.hours(say("Hours by month"), say("Month"), hours.by_month, "months"),
        context.hours(say("Hours by person"), say("Person"), hours.by_person, "people"),
        context.hours(
            say("Hours by step"), say("Step"), hours.by_step, "steps", not_said=say("no step")
        ),
        context.hours(
            say("Hours by part"), say("Part"), hours.by_part, "parts", not_said=say("no part named")
        ),
    )
    worked = {r.key: r.clock for r in hours.by_month.rows}
    months = every_month(worked)
    short = [short_month(m) for m in months]
    clock = [worked.get(m, 0) for m in months]
    running = list(accumulate(clock))
    view = HoursPageView(
        hours.clock,
        hours.person,
        tables,
        bars(say("Clock hours by month"), short, clock),
        line(say("Clock hours, added up"), short, [(say("clock hours"), running)]),
    )
    return Page(
        paths.HOURS,
        say("Hours"),
        "hours.html",
        view,
        [
            SearchEntry(
                say("Hours"), say("Time by section, step, operation, part, person and month")
            )
        ],
        frozenset(),
        listed=True,
    )
