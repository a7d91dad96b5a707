"""`buildbook next`: what may be worked on now, what is held, and what was learned about it."""

import textwrap
from collections.abc import Iterator
from datetime import date, datetime
from itertools import groupby
from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.names import names
from buildbook.cli.words import many, there_is_no
from buildbook.ledger.ahead import StepAhead, WorkAhead, ahead, in_runs
from buildbook.ledger.due import Due, due
from buildbook.ledger.ledger import derive
from buildbook.ledger.progress import StepState
from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.durations import show_minutes

_WIDTH = 80
_MOST = 4
"""Lessons shown of each step where not all of its section is asked for."""


@click.command("next")
@click.option(
    "--section",
    metavar="SECTION",
    shell_complete=names("sections"),
    help="Show every unfinished step of one section.",
)
@content_option
def next_(section: str | None, content: Path) -> None:
    """Show what comes next: pieces along their routes, what is held, lessons that apply.

    Steps that are begun are shown, and the first one of each section that is not.
    """
    book = read_book(content).book
    if section is not None and section not in book.sections:
        raise CannotRunError(there_is_no("section", section, book.sections, "sections"))
    ledger = derive(book)
    today = datetime.now(book.zone).date()
    steps = ahead(ledger, book, section)
    what = f"of {section} is" if section else "of the book is"
    lines = [f"every step {what} finished"]
    if steps:
        lines = list(_lines(book, steps, today, whole=section is not None))
    if section is None:
        lines += _due(due(ledger, book, today))
    click.echo("\n".join(lines))


def _due(found: tuple[Due, ...]) -> Iterator[str]:
    """Say what is due of the whole book: notices, bare parts, lots."""
    if found:
        yield ""
        yield "Due"
    for one in found:
        when = f"since {one.by}" if one.overdue else f"by {one.by}" if one.by else "soon"
        yield from _wrapped(f"  {one.what:<8}", f"{one.said} ({when})")


def _lines(book: Book, steps: tuple[StepAhead, ...], today: date, *, whole: bool) -> Iterator[str]:
    for i, (section, some) in enumerate(groupby(steps, lambda s: s.step.partition("/")[0])):
        yield from ([""] if i else [])
        yield book.sections[section].title
        of_section = list(some)
        later = [s for s in of_section if s.state is StepState.AHEAD][1:]
        shown = of_section if whole else [s for s in of_section if s not in later]
        for step in shown:
            yield from _step(book, step, today, whole=whole)
        if more := len(of_section) - len(shown):
            yield f"  and {many(more, 'more step')} ahead"


def _step(book: Book, step: StepAhead, today: date, *, whole: bool) -> Iterator[str]:
    hours = show_minutes(step.clock) if step.clock else ""
    planned = f"{show_minutes(step.estimate)} planned" if step.estimate else ""
    facts = ", ".join(filter(None, (step.state, hours, planned)))
    yield from _wrapped("  ", f"{step.step}: {book.steps[step.step].title} ({facts})")
    yield from _work(book, step)
    if tools := "; ".join(_tools(book, step.step, today)):
        yield from _wrapped("    tools   ", tools)
    for number in step.squawks:
        squawk = book.squawks[number]
        yield from _wrapped("    squawk  ", f"{number}, {squawk.state}: {squawk.title}")
    shown = step.lessons if whole else step.lessons[-_MOST:]
    for number in shown:
        yield from _wrapped("    lesson  ", f"{number}: {book.lessons[number].title}")
    if len(shown) < len(step.lessons):
        yield f"    lesson  and {len(step.lessons) - len(shown)} more (--section shows all)"
    for lack in step.lacks:
        if lack.what not in ("work", "pieces", "squawk"):  # told above
            yield from _wrapped("    lacks   ", lack.said)


def _tools(book: Book, step: str, today: date) -> Iterator[str]:
    """Name what the step needs, whose it is, and what is past its calibration today."""
    for tool in (book.tools[name] for name in book.steps[step].tools if name in book.tools):
        owner = f" ({tool.owner})" if tool.owner else ""
        past = f", calibration was due on {tool.due_on(today)}" if tool.past_due(today) else ""
        yield f"{tool.title}{owner}{past}"


def _work(book: Book, step: StepAhead) -> Iterator[str]:
    """Say what may be worked on, an operation a line, and what is held."""
    for operation, some in groupby(step.work, lambda t: t.operation):
        ready = "; ".join(_pieces(book, one) for one in some if one.ready)
        if ready:
            yield from _wrapped("    next    ", f"{operation}: {ready}")
    if any(t.waiting for t in step.work) and not any(t.ready for t in step.work):
        yield "    next    nothing yet: other operations on its pieces come first"
    for one in step.work:
        for mark, squawks in one.held:
            said = f"{one.operation}: {one.part} {mark}, by squawk {', '.join(map(str, squawks))}"
            yield from _wrapped("    held    ", said)


def _pieces(book: Book, work: WorkAhead) -> str:
    pieces = [p for p in book.pieces[work.part] if p.fitted]
    if len(work.ready) < len(pieces):
        return f"{work.part} {', '.join(in_runs(work.ready))}"
    return work.part if len(pieces) == 1 else f"{work.part} all {len(pieces)}"


def _wrapped(start: str, text: str) -> list[str]:
    return textwrap.wrap(
        printable(text),
        _WIDTH,
        initial_indent=start,
        subsequent_indent=" " * max(len(start), 6),
        break_on_hyphens=False,
    )
