"""Hours by section, step, operation, part, person and month: every total is the sum of its rows."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from buildbook.ledger.time import Stint
from buildbook.records.book import Book

NOT_SAID = ""
"""Key of the row for time whose step, operation or part is not said."""


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Time spent on one thing."""

    key: str
    """Identity of the thing, or NOT_SAID."""
    clock: int
    """Minutes by the clock."""
    person: int
    """Minutes counted for each person."""
    sessions: int
    """Sessions in which it was worked on."""


@dataclass(frozen=True, slots=True)
class HoursTable:
    """Rows of time, and their sums."""

    rows: tuple[HoursRow, ...]

    @property
    def clock(self) -> int:
        """Minutes by the clock in all rows."""
        return sum(r.clock for r in self.rows)

    @property
    def person(self) -> int:
        """Person-minutes in all rows."""
        return sum(r.person for r in self.rows)

    def row(self, key: str) -> HoursRow:
        """Return the row of a key; an empty one where no time was spent."""
        return next((r for r in self.rows if r.key == key), HoursRow(key, 0, 0, 0))


@dataclass(frozen=True, slots=True)
class Hours:
    """The book's time, looked at in every way that pages show."""

    by_section: HoursTable
    by_step: HoursTable
    by_operation: HoursTable
    by_part: HoursTable
    by_month: HoursTable
    by_person: HoursTable
    """Here clock minutes are each person's own, so that both columns are the same."""
    by_session: dict[str, tuple[int, int]]
    """Clock and person minutes of each session."""
    of_step: dict[str, HoursRow]
    of_section: dict[str, HoursRow]
    of_part: dict[str, HoursRow]
    of_operation: dict[str, HoursRow]

    @property
    def clock(self) -> int:
        """Minutes by the clock in the whole book."""
        return self.by_month.clock

    @property
    def person(self) -> int:
        """Person-minutes in the whole book."""
        return self.by_month.person


def hours(book: Book, stints: tuple[Stint, ...]) -> Hours:
    """Add up the time of all stints."""
    by_session: dict[str, tuple[int, int]] = dict.fromkeys(book.sessions, (0, 0))
    for s in stints:
        clock, person = by_session[s.session]
        by_session[s.session] = (clock + s.minutes, person + s.person_minutes)
    by_section = _table(stints, lambda s: [(s.section or NOT_SAID, s.minutes)], book.sections)
    by_step = _table(stints, lambda s: [(s.step or NOT_SAID, s.minutes)], book.steps)
    by_operation = _table(stints, lambda s: [(s.operation or NOT_SAID, s.minutes)], book.operations)
    by_part = _table(
        stints,
        lambda s: list(zip(s.parts, s.part_minutes, strict=True)) or [(NOT_SAID, s.minutes)],
        book.parts,
    )
    by_month = _table(stints, lambda s: [(f"{s.date:%Y-%m}", s.minutes)], ())
    by_person = _people(book, stints)
    return Hours(
        by_section=by_section,
        by_step=by_step,
        by_operation=by_operation,
        by_part=by_part,
        by_month=by_month,
        by_person=by_person,
        by_session=by_session,
        of_step={r.key: r for r in by_step.rows},
        of_section={r.key: r for r in by_section.rows},
        of_part={r.key: r for r in by_part.rows},
        of_operation={r.key: r for r in by_operation.rows},
    )


def _table(
    stints: Iterable[Stint],
    keys: Callable[[Stint], list[tuple[str, int]]],
    order: Iterable[str],
) -> HoursTable:
    """Add up stints under the keys given for each; rows in `order`, then by key, NOT_SAID last."""
    clock: dict[str, int] = defaultdict(int)
    person: dict[str, int] = defaultdict(int)
    sessions: dict[str, set[str]] = defaultdict(set)
    for stint in stints:
        for key, minutes in keys(stint):
            clock[key] += minutes
            person[key] += minutes * len(stint.who)
            sessions[key].add(stint.session)
    known = [key for key in order if key in clock]
    rest = sorted(clock.keys() - set(known) - {NOT_SAID})
    last = [NOT_SAID] if NOT_SAID in clock else []
    return HoursTable(
        tuple(HoursRow(k, clock[k], person[k], len(sessions[k])) for k in (*known, *rest, *last))
    )


def _people(book: Book, stints: Iterable[Stint]) -> HoursTable:
    minutes: dict[str, int] = defaultdict(int)
    sessions: dict[str, set[str]] = defaultdict(set)
    for stint in stints:
        for who in stint.who:
            minutes[who] += stint.minutes
            sessions[who].add(stint.session)
    known = [who for who in book.people if who in minutes]
    names = [*known, *sorted(minutes.keys() - set(known))]
    return HoursTable(tuple(HoursRow(w, minutes[w], minutes[w], len(sessions[w])) for w in names))
