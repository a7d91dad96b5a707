"""The page of when each session was written down."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.written import SOON, Writing, Written, written
from buildbook.pages import paths
from buildbook.pages.context import Context, show_days
from buildbook.pages.page import Link, Page, SearchEntry

TITLE = "When it was written"


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
    silent = past.silent if past else "the version history was not looked at"
    found = written(context.book, past.files if past and not silent else {})
    view = WrittenView(
        silent,
        "" if silent else _lead(found),
        () if silent else tuple(_line(context, row) for row in found.rows),
        SOON,
    )
    return Page(
        paths.WRITTEN,
        TITLE,
        "written.html",
        view,
        [SearchEntry(TITLE, "How soon after the work each session was written down")],
        frozenset(),
    )


def _lead(found: Written) -> str:
    known = len(found.known)
    if not known or found.median is None:
        return "No session is in the version history yet."
    share = found.soon * 100 // known
    said = (
        f"{found.soon} of {known} sessions ({share} %) were first written down within {SOON} days "
        f"of the work; half of all within {_days(found.median)}, the slowest after "
        f"{show_days(found.known[-1])}. {found.amended} were changed later."
    )
    waiting = len(found.rows) - known
    return f"{said} {waiting} more are not in the history yet." if waiting else said


def _days(median: float) -> str:
    return show_days(int(median)) if median == int(median) else f"{median:g} days"


def _line(context: Context, row: Writing) -> WritingLine:
    days = row.days
    if days is None:
        after = "not in the history yet"
    elif days < 0:
        after = f"{show_days(-days)} before"
    else:
        after = "the same day" if days == 0 else f"{show_days(days)} after"
    return WritingLine(context.session_link(row.session), row.work, row.first, after, row.later)
