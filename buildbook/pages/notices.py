"""The page of notices, and the lines about them on other pages."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.ledger.notices import NoticeRow, NoticeState
from buildbook.pages import paths
from buildbook.pages.context import Context, once
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.words import mark, say, show_date, show_interval, translated


@dataclass(frozen=True, slots=True)
class NoticeLine:
    """A notice in a list."""

    link: Link
    title: Markup
    issued: date
    state: str
    due: date | None
    """Day it is due, or due again."""
    overdue: bool
    """As of the last session."""
    last: date | None
    """When it was last done."""


@dataclass(frozen=True, slots=True)
class DoneView:
    """One time a notice was done."""

    date: date
    session: Link | None
    by: Link | None
    notes: Markup


@dataclass(frozen=True, slots=True)
class NoticeView:
    """A notice with everything about it."""

    line: NoticeLine
    number: str
    anchor: str
    issuer: str
    every: str
    """How often, in words; empty where it is once."""
    sections: tuple[Link, ...]
    steps: tuple[Link, ...]
    parts: tuple[Link, ...]
    before: tuple[Link, ...]
    """Steps that it must be done before the closing of."""
    why: Markup
    supersedes: tuple[Link, ...]
    superseded_by: Link | None
    done: tuple[DoneView, ...]
    notes: Markup


@dataclass(frozen=True, slots=True)
class NoticesView:
    """Template `notices.html`."""

    as_of: str
    """Day of the last session; empty where there is none."""
    groups: tuple[tuple[str, str, tuple[NoticeView, ...]], ...]
    """Anchor, heading, and the notices under it."""


_OPEN = ("to-do", mark("To be decided or done"))
_GROUPS = (
    (NoticeState.RECURRING, "recurring", mark("Done, and coming again")),
    (NoticeState.DONE, "done", mark("Done")),
    (NoticeState.NOT_APPLICABLE, "not-applicable", mark("Not for this aircraft")),
    (NoticeState.SUPERSEDED, "superseded", mark("Superseded")),
)


@once
def notice_line(context: Context, number: str) -> NoticeLine:
    """Make the view of a notice in a list."""
    row = context.ledger.notices.rows[number]
    return NoticeLine(
        Link(number, paths.notice(number)),
        context.prose.inline(row.notice.title),
        row.notice.issued,
        translated(row.state.value),
        row.due,
        row.is_overdue(_as_of(context)),
        row.times[-1].date if row.times else None,
    )


def open_notices(context: Context) -> tuple[NoticeLine, ...]:
    """List what is to be done, as of the last session."""
    rows = context.ledger.notices.open(_as_of(context))
    return tuple(notice_line(context, row.notice.notice) for row in rows)


def notice_lines(context: Context, numbers: Iterable[str]) -> tuple[NoticeLine, ...]:
    """Make the views of some notices in a list."""
    return tuple(notice_line(context, number) for number in numbers)


def _as_of(context: Context) -> date:
    """Return the day of the last session; before the first one, that of the last notice."""
    issued = (notice.issued for notice in context.book.notices.values())
    return context.ledger.as_of or max(issued, default=date.min)


def notices_page(context: Context) -> Page:
    """Lay out the page of all notices, what is to be done first."""
    ledger, as_of = context.ledger.notices, _as_of(context)
    to_do = ledger.open(as_of)
    numbers = {row.notice.notice for row in to_do}
    rest = [row for number, row in ledger.rows.items() if number not in numbers]
    found = [(*_OPEN, list(to_do))]
    found += [
        (anchor, heading, [row for row in rest if row.state is state])
        for state, anchor, heading in _GROUPS
    ]
    groups = tuple(
        (anchor, say(heading), tuple(_view(context, row) for row in rows))
        for anchor, heading, rows in found
        if rows
    )
    entries = [SearchEntry(say("Notices"), say("Bulletins and changes issued after the plans"))]
    entries += [
        SearchEntry(
            f"{view.number}: {plain_text(view.line.title)}",
            f"{view.issuer} {plain_text(view.why)} {plain_text(view.notes)}",
            view.anchor,
        )
        for _, _, views in groups
        for view in views
    ]
    return Page(
        paths.NOTICES,
        say("Notices"),
        "notices.html",
        NoticesView(show_date(context.ledger.as_of), groups),
        entries,
        frozenset(),
        listed=True,
    )


def _view(context: Context, row: NoticeRow) -> NoticeView:
    notice, book = row.notice, context.book
    return NoticeView(
        line=notice_line(context, notice.notice),
        number=notice.notice,
        anchor=paths.notice(notice.notice).partition("#")[2],
        issuer=notice.issuer or "",
        every=say("every %(every)s", every=show_interval(notice.every)) if notice.every else "",
        sections=tuple(context.section_link(s) for s in notice.sections if s in book.sections),
        steps=_steps(context, notice.steps),
        parts=tuple(context.part_link(p) for p in notice.parts if p in book.parts),
        before=_steps(context, notice.before),
        why=context.prose.inline(notice.why),
        supersedes=tuple(context.notice_link(n) for n in notice.supersedes if n in book.notices),
        superseded_by=context.notice_link(row.superseded_by) if row.superseded_by else None,
        done=tuple(
            DoneView(
                time.date,
                context.session_link(time.session) if time.session else None,
                context.person_link(time.by) if time.by else None,
                context.prose.inline(time.notes),
            )
            for time in row.times
        ),
        notes=context.prose.html(notice.notes),
    )


def _steps(context: Context, names: Iterable[str]) -> tuple[Link, ...]:
    known = (name for name in names if name in context.book.steps)
    return tuple(Link(context.step_in_section(name), paths.step(name)) for name in known)
