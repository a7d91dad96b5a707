"""Air: for every piece of work that needs it, whether the air was inside what is asked for."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from typing import NamedTuple

from buildbook.records.air import Air
from buildbook.records.book import Book
from buildbook.records.session import Session, Work


@dataclass(frozen=True, slots=True)
class WorkAir:
    """The air of one piece of work whose operation needs it."""

    session: str
    index: int
    """Place among the session's pieces of work, from 0."""
    date: date
    operation: str
    air: Air | None
    """None where it was not written down."""
    faults: tuple[str, ...]
    """What was outside, in words."""
    knowingly: str
    """The builder's reason, where it is meant."""


class Humidity(NamedTuple):
    """Mean relative humidity of a stretch of days: of the readings taken, no more than that."""

    mean: float
    """Per cent."""
    readings: int


@dataclass(frozen=True, slots=True)
class AirLedger:
    """All readings of the air."""

    of_session: dict[str, tuple[WorkAir, ...]]
    of_operation: dict[str, tuple[WorkAir, ...]]
    days: tuple[date, ...]
    """Day of each reading, in order."""
    sums: tuple[float, ...]
    """Running sum of their relative humidity in per cent, from 0."""

    def humidity(self, first: date, last: date) -> Humidity | None:
        """Return the mean of the readings from one day to another; None where there are none."""
        start, end = bisect_left(self.days, first), bisect_right(self.days, last)
        if end <= start:
            return None
        return Humidity((self.sums[end] - self.sums[start]) / (end - start), end - start)


def air(book: Book) -> AirLedger:
    """Lay the air of all sessions beside what their operations ask for."""
    of_operation: dict[str, list[WorkAir]] = defaultdict(list)
    of_session = {}
    readings: list[tuple[date, float]] = []
    for slug, session in book.sessions.items():
        rows = [
            row
            for i, work in enumerate(session.entries)
            if (row := _row(book, slug, session, i, work))
        ]
        if rows:
            of_session[slug] = tuple(rows)
        for row in rows:
            of_operation[row.operation].append(row)
        works = (session, *session.work)
        readings += [(session.date, w.air.humidity.to("percent")) for w in works if w.air]
    return AirLedger(
        of_session,
        {name: tuple(rows) for name, rows in of_operation.items()},
        tuple(day for day, _ in readings),
        tuple(accumulate((share for _, share in readings), initial=0.0)),
    )


def _row(book: Book, slug: str, session: Session, index: int, work: Work) -> WorkAir | None:
    operation = book.operations.get(work.operation or "")
    if not operation or not operation.needs_air:
        return None
    measured = work.air or session.air
    faults: tuple[str, ...] = ()
    if measured and operation.conditions:
        faults = operation.conditions.faults(measured, book.file.units.temperature)
    return WorkAir(
        slug, index, session.date, operation.operation, measured, faults, work.knowingly or ""
    )
