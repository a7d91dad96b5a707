"""Notices: which are open, which were done and when, and when a recurring one is due again."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from buildbook.records.book import Book
from buildbook.records.notice import Notice

SOON = 30
"""Days ahead in which a recurring notice is told to be coming."""


class NoticeState(StrEnum):
    """What is to become of a notice."""

    UNDECIDED = "to be decided"
    """Nobody has said whether it applies."""
    OPEN = "open"
    DONE = "done"
    RECURRING = "done, comes again"
    NOT_APPLICABLE = "does not apply"
    SUPERSEDED = "superseded"


@dataclass(frozen=True, slots=True)
class Time:
    """One time it was done."""

    date: date
    session: str | None
    """Session that says so; None where only the notice does."""
    by: str | None
    notes: str


@dataclass(frozen=True, slots=True)
class NoticeRow:
    """A notice, and what became of it."""

    notice: Notice
    state: NoticeState
    times: tuple[Time, ...]
    """Each time it was done, in order."""
    due: date | None
    """Day by which it is to be done, or done again; None where nothing says one."""
    superseded_by: str | None

    def is_open(self, on: date, within: int = SOON) -> bool:
        """Tell whether something is to be done about it: for a recurring one, soon after `on`."""
        if self.state is NoticeState.RECURRING:
            return self.due is not None and self.due <= on + timedelta(days=within)
        return self.state in (NoticeState.UNDECIDED, NoticeState.OPEN)

    def is_overdue(self, on: date) -> bool:
        """Tell whether its day has passed."""
        return self.is_open(on) and self.due is not None and self.due < on


@dataclass(frozen=True, slots=True)
class NoticeLedger:
    """All notices, and what they touch."""

    rows: dict[str, NoticeRow]
    of_section: dict[str, tuple[str, ...]]
    """Those that touch a section, one of its steps or a part of these."""
    of_step: dict[str, tuple[str, ...]]
    """Those that touch a step or one of its parts, or are to be done before it is closed."""
    of_part: dict[str, tuple[str, ...]]
    of_session: dict[str, tuple[str, ...]]
    """Those that a session carried out."""
    before: dict[str, tuple[str, ...]]
    """Those that are to be done before a step is closed, done or not."""

    def in_the_way(self, step: str) -> tuple[NoticeRow, ...]:
        """List those that keep a step from being closed: never done, and not turned down."""
        rows = (self.rows[number] for number in self.before.get(step, ()))
        return tuple(r for r in rows if r.state in (NoticeState.UNDECIDED, NoticeState.OPEN))

    def open(self, on: date, within: int = SOON) -> tuple[NoticeRow, ...]:
        """List what is to be done, what is due first first; without a day last."""
        found = (row for row in self.rows.values() if row.is_open(on, within))
        return tuple(
            sorted(found, key=lambda r: (r.due is None, r.due or r.notice.issued, r.notice.notice))
        )


def notices(book: Book) -> NoticeLedger:
    """Work out where every notice stands."""
    cited: dict[str, dict[date, str]] = defaultdict(dict)
    of_session: dict[str, tuple[str, ...]] = {}
    for slug, session in book.sessions.items():
        numbers = dict.fromkeys(n for w in (session, *session.work) for n in w.notices)
        known = tuple(n for n in numbers if n in book.notices)
        if known:
            of_session[slug] = known
        for number in known:
            cited[number].setdefault(session.date, slug)
    superseded = {
        old: notice.notice
        for notice in book.notices.values()
        for old in notice.supersedes
        if old != notice.notice
    }
    rows = {
        number: _row(book, notice, cited[number], superseded.get(number))
        for number, notice in book.notices.items()
    }
    before: dict[str, list[str]] = defaultdict(list)
    for notice in book.notices.values():
        for name in dict.fromkeys(notice.before):
            before[name].append(notice.notice)
    return NoticeLedger(rows, *_touched(book), of_session, _frozen(before))


def _row(book: Book, notice: Notice, cited: dict[date, str], newer: str | None) -> NoticeRow:
    times = [
        Time(done.date, cited.get(done.date), done.by, done.notes or "") for done in notice.done
    ]
    told = {time.date for time in times}
    times += [
        Time(day, slug, book.sessions[slug].who[0] if book.sessions[slug].who else None, "")
        for day, slug in cited.items()
        if day not in told
    ]
    times.sort(key=lambda time: time.date)
    state, due = _state(notice, times, newer)
    return NoticeRow(notice, state, tuple(times), due, newer)


def _state(notice: Notice, times: list[Time], newer: str | None) -> tuple[NoticeState, date | None]:
    if notice.applies is False:
        return NoticeState.NOT_APPLICABLE, None
    if newer:
        return NoticeState.SUPERSEDED, None
    if times:
        if notice.every:
            return NoticeState.RECURRING, notice.every.after(times[-1].date)
        return NoticeState.DONE, None
    if notice.applies is None:
        return NoticeState.UNDECIDED, notice.due
    return NoticeState.OPEN, notice.due


_Touched = dict[str, tuple[str, ...]]


def _touched(book: Book) -> tuple[_Touched, _Touched, _Touched]:
    """Tell which notices touch each section, step and part."""
    steps_of: dict[str, list[str]] = defaultdict(list)
    for name, step in book.steps.items():
        for number in step.parts:
            steps_of[number].append(name)
    sections: dict[str, list[str]] = defaultdict(list)
    steps: dict[str, list[str]] = defaultdict(list)
    parts: dict[str, list[str]] = defaultdict(list)
    for notice in book.notices.values():
        through_parts = (name for number in notice.parts for name in steps_of[number])
        touched = dict.fromkeys((*notice.steps, *notice.before, *through_parts))
        for name in touched:
            steps[name].append(notice.notice)
        for name in dict.fromkeys((*notice.sections, *(s.partition("/")[0] for s in touched))):
            sections[name].append(notice.notice)
        for number in dict.fromkeys(notice.parts):
            parts[number].append(notice.notice)
    return _frozen(sections), _frozen(steps), _frozen(parts)


def _frozen(found: dict[str, list[str]]) -> _Touched:
    return {key: tuple(numbers) for key, numbers in found.items()}
