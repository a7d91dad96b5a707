"""The page of when each session was written down."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.written import SOON, Writing, Written, writing, written
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import mark, number, say, say_n, show_days, translated

TITLE = mark("When it was written")


@dataclass(frozen=True, slots=True)
class WritingLine:
    """A session, and when its record came into the version history."""

    session: Link
    work: date
    first: date | None
    after: str
    """How long after the work, in words."""
    later: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class WrittenView:
    """Template `written.html`."""

    silent: str
    """Why it cannot be shown; empty where it can."""
    lead: str
    lines: tuple[WritingLine, ...]
    within: int
    """Days that count as soon."""


def written_page(context: Context) -> Page:
    """Lay out when each session was written, or say why that cannot be shown."""
    past = context.past
    silent = translated(past.silent) if past else say("the version history was not looked at")
    found = written(context.book, past.files if past and not silent else {})
    view = WrittenView(
        silent,
        "" if silent else _lead(found),
        () if silent else tuple(_line(context, row) for row in found.rows),
        SOON,
    )
    return Page(
        paths.WRITTEN,
        say(TITLE),
        "written.html",
        view,
        [SearchEntry(say(TITLE), say("How soon after the work each session was written down"))],
        frozenset(),
    )


def session_written(context: Context, slug: str) -> WritingLine | None:
    """Lay out when one session was written; nothing where no history tells."""
    past = context.past
    if past is None or past.silent:
        return None
    return _line(context, writing(context.book, slug, past.files))


def _lead(found: Written) -> str:
    known = len(found.known)
    if not known or found.median is None:
        return say("No session is in the version history yet.")
    share = found.soon * 100 // known
    said = say_n(
        "%(soon)s of %(known)s sessions (%(share)s %%) were first written down within %(days)s "
        "days of the work; half of all within %(half)s, the slowest after %(slowest)s. %(n)s was "
        "changed later.",
        "%(soon)s of %(known)s sessions (%(share)s %%) were first written down within %(days)s "
        "days of the work; half of all within %(half)s, the slowest after %(slowest)s. %(n)s were "
        "changed later.",
        found.amended,
        soon=found.soon,
        known=known,
        share=share,
        days=SOON,
        half=_days(found.median),
        slowest=show_days(found.known[-1]),
    )
    waiting = len(found.rows) - known
    if not waiting:
        return said
    more = say_n(
        "%(n)s more is not in the history yet.", "%(n)s more are not in the history yet.", waiting
    )
    return f"{said} {more}"


def _days(median: float) -> str:
    return (
        show_days(int(median))
        if median == int(median)
        else say("%(days)s days", days=number(f"{median:g}"))
    )


def _line(context: Context, row: Writing) -> WritingLine:
    days = row.days
    if days is None:
        after = say("not in the history yet")
    elif days < 0:
        after = say("%(days)s before", days=show_days(-days))
    else:
        after = say("the same day") if days == 0 else say("%(days)s after", days=show_days(days))
    return WritingLine(context.session_link(row.session), row.work, row.first, after, row.later)
