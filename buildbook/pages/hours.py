"""The hours page: every way of looking at the time spent, each with its sum."""

from dataclasses import dataclass
from itertools import accumulate

from buildbook.pages import paths
from buildbook.pages.charts import Chart, bars, line
from buildbook.pages.context import Context, HoursView, every_month, show_month
from buildbook.pages.page import Page, SearchEntry


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
            "Hours by section", "Section", hours.by_section, "sections", not_said="no section"
        ),
        context.hours(
            "Hours by operation",
            "Operation",
            hours.by_operation,
            "operations",
            not_said="operation not said",
        ),
        context.hours("Hours by month", "Month", hours.by_month, "months"),
        context.hours("Hours by person", "Person", hours.by_person, "people"),
        context.hours("Hours by step", "Step", hours.by_step, "steps", not_said="no step"),
        context.hours("Hours by part", "Part", hours.by_part, "parts", not_said="no part named"),
    )
    worked = {r.key: r.clock for r in hours.by_month.rows}
    months = every_month(worked)
    short = [f"{show_month(m)[:3]} {m[:4]}" for m in months]
    clock = [worked.get(m, 0) for m in months]
    running = list(accumulate(clock))
    view = HoursPageView(
        hours.clock,
        hours.person,
        tables,
        bars("Clock hours by month", short, clock),
        line("Clock hours, added up", short, [("clock hours", running)]),
    )
    return Page(
        paths.HOURS,
        "Hours",
        "hours.html",
        view,
        [SearchEntry("Hours", "Time by section, step, operation, part, person and month")],
        frozenset(),
        listed=True,
    )
