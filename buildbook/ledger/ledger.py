"""The Ledger: everything computed from a Book, in one place for the pages to read."""

from dataclasses import dataclass

from buildbook.ledger.forecast import Forecast, by_week, forecast
from buildbook.ledger.hours import Hours, hours
from buildbook.ledger.left import left
from buildbook.ledger.lessons import lessons_for_steps
from buildbook.ledger.links import Links, links
from buildbook.ledger.pace import PaceLedger, pace
from buildbook.ledger.progress import ProgressLedger, progress
from buildbook.ledger.routes import Routes, routes
from buildbook.ledger.time import Stint, stints
from buildbook.records.book import Book
from buildbook.records.signoff import SignOff


@dataclass(frozen=True, slots=True, repr=False)
class Ledger:
    """What a book adds up to."""

    stints: tuple[Stint, ...]
    stints_of_step: dict[str, tuple[Stint, ...]]
    hours: Hours
    progress: ProgressLedger
    routes: Routes
    pace: PaceLedger
    forecast: Forecast
    links: Links
    lessons_of_step: dict[str, tuple[int, ...]]
    signoffs_of_step: dict[str, tuple[SignOff, ...]]


def derive(book: Book) -> Ledger:
    """Compute everything that is shown from the records."""
    rows = stints(book)
    of_step: dict[str, list[Stint]] = {name: [] for name in book.steps}
    for stint in rows:
        if stint.step:
            of_step[stint.step].append(stint)
    signed: dict[str, list[SignOff]] = {name: [] for name in book.steps}
    for signoff in book.signoffs:
        if signoff.step in signed:
            signed[signoff.step].append(signoff)
    totals = hours(book, rows)
    steps = progress(book, totals)
    sheets = routes(book, rows, steps)
    set_up = {name: op.set_up for name, op in book.operations.items() if op.set_up}
    paces = pace(rows, set_up)
    return Ledger(
        stints=rows,
        stints_of_step={name: tuple(some) for name, some in of_step.items()},
        hours=totals,
        progress=steps,
        routes=sheets,
        pace=paces,
        forecast=forecast(by_week(rows), left(steps.steps, paces, sheets.remaining)),
        links=links(book),
        lessons_of_step=lessons_for_steps(book),
        signoffs_of_step={name: tuple(some) for name, some in signed.items()},
    )
