"""How often the forecast's ranges hold: the demo book, and made-up builders.

Run `python bench/backtest.py [books]`. For every kind of builder that many books (20) are made,
each month of each is forecast knowing only the sessions up to then, and every section finished
later is held against what was foretold. The ranges are meant to hold eight times in ten. The
learning curves of the made-up books are fitted too, since there the true slope is known.
"""

import statistics
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from books import Builder, Plan, generate

from buildbook.ledger.backtest import Backtest, backtest
from buildbook.ledger.forecast import by_week, finish_weeks, forecast, monday
from buildbook.ledger.hours import hours
from buildbook.ledger.left import Remaining, left
from buildbook.ledger.pace import pace
from buildbook.ledger.progress import progress
from buildbook.ledger.routes import routes
from buildbook.ledger.time import Stint, stints
from buildbook.records.book import Book
from buildbook.records.read import read

BUILDERS = {
    "as planned, even weeks": Builder(ratio=1.0, week_spread=0.2, idle=0.03, spell=0.0),
    "15 % over, some idle weeks": Builder(),
    "60 % over": Builder(ratio=1.6),
    "patchy, long idle spells": Builder(idle=0.3, spell=0.05),
    "slowing by a fifth a year": Builder(drift=0.8),
    "wild estimates": Builder(ratio_spread=0.6),
}


def remaining_at(book: Book, rows: tuple[Stint, ...]) -> Remaining:
    return routes(book, rows, progress(book, hours(book, rows))).remaining


def report(name: str, tests: Iterable[Backtest]) -> None:
    rows = [row for test in tests for row in test.rows]
    held = sum(row.held for row in rows) / len(rows)
    early = sum(monday(row.actual) < monday(row.finish.early) for row in rows) / len(rows)
    late = statistics.fmean(row.late_by for row in rows)
    off = statistics.fmean(abs(row.late_by) for row in rows)
    wide = statistics.fmean((row.finish.late - row.finish.early).days / 7 for row in rows)
    print(
        f"{name:32} {len(rows):6} {held:8.0%} {early:8.0%} {late:9.1f} {off:9.1f} {wide:9.1f}",
        flush=True,
    )


def coverage(books: int) -> None:
    print(
        f"{'':32} {'told':>6} {'held':>8} {'earlier':>8} {'late by':>9} {'off by':>9} {'width':>9}"
    )
    demo = read(Path(__file__).parents[1] / "content").book
    rows = stints(demo)
    report("demo book", [backtest(demo, rows)])
    report("demo book, pieces left as well", [backtest(demo, rows, remaining_at)])
    for name, builder in BUILDERS.items():
        made = (generate(seed, builder) for seed in range(books))
        report(name, [backtest(book, stints(book)) for book in made])
    print("late by, off by, width of the range: weeks, on average")


def curves(books: int) -> None:
    for slope in (0.75, 0.85, 0.95):
        found = []
        for seed in range(books):
            book = generate(seed, Builder(slope=slope), Plan(sections=2, ribs=60))
            curve = pace(stints(book)).by_operation["flute"].curve
            if curve:
                found.append(curve.slope)
        shown = f"{statistics.fmean(found):.3f} +- {statistics.pstdev(found):.3f}" if found else "-"
        print(f"true slope {slope:.2f}: fitted in {len(found)} of {books} books, {shown}")


def speed() -> None:
    plan = Plan(sections=14, steps=12, step_hours=(6, 50), ribs=400)
    book = generate(1, plan=plan)
    rows = stints(book)
    some = tuple(s for s in rows if s.date <= rows[len(rows) // 2].date)
    for name, part in (("whole", rows), ("half done", some)):
        spent = hours(book, part)
        cut_steps = progress(book, spent).steps
        if part is some:  # what was finished later is not finished yet
            known = {s.session for s in part}
            sessions = {k: v for k, v in book.sessions.items() if k in known}
            then = Book(book.file, sections=book.sections, sessions=sessions)
            cut_steps = progress(then, spent).steps
        finish_weeks.cache_clear()
        began = time.process_time()
        paces = pace(part)
        told = forecast(by_week(part), left(cut_steps, paces))
        took = time.process_time() - began
        sessions_known = len({s.session for s in part})
        print(f"{name}: {sessions_known} sessions, {took * 1000:.0f} ms, {told.finish or told.why}")
    finish_weeks.cache_clear()
    for name in ("backtest", "backtest again"):
        began = time.process_time()
        found = backtest(book, rows)
        print(f"{name}: {len(found.rows)} forecasts, {(time.process_time() - began) * 1000:.0f} ms")


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    coverage(count)
    curves(count)
    speed()
