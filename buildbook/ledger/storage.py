"""Storage: how long pieces lay bare, how damp it was, and when they are to be looked at again.

A piece is bare from the day it was unwrapped to the first operation that protects it; else to the
day it was scrapped, or to the day the last step that uses its part was finished, for then it is
built in. While it is bare it is looked at for corrosion after each interval that the book sets,
counted from the last time. What is seen of the humidity is the mean of the readings that sessions
wrote down in that time: no record of every day.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from buildbook.ledger.air import AirLedger, Humidity
from buildbook.ledger.progress import ProgressLedger
from buildbook.ledger.time import Stint
from buildbook.records.book import Book
from buildbook.records.storage import Storage

SOON = 30
"""Days ahead in which an inspection is told to be coming."""


class Looked(NamedTuple):
    """One inspection."""

    session: str
    date: date


@dataclass(frozen=True, slots=True)
class Bare:
    """Pieces of one part that were unwrapped together and fared alike."""

    part: str
    pieces: tuple[str, ...]
    """Labels."""
    unwrapped: date
    ended: date | None
    """When they were bare no more; None while they are."""
    end: str
    """What ended it: an operation's name, `scrapped`, `built in`, or empty."""
    looked: tuple[Looked, ...]
    """Inspections while bare, in order."""
    humidity: Humidity | None
    """Of the readings in that time."""
    due: date | None
    """Day the next inspection is due; None where no rule asks for one, or it is over."""

    def days(self, on: date) -> int:
        """Count the days they lay bare, up to a day."""
        return ((self.ended or on) - self.unwrapped).days


@dataclass(frozen=True, slots=True)
class StorageLedger:
    """All pieces that were stored bare."""

    rule: Storage | None
    rows: tuple[Bare, ...]
    """By part, in the order of the book."""

    @property
    def bare(self) -> tuple[Bare, ...]:
        """Those that still are."""
        return tuple(row for row in self.rows if row.ended is None)

    def due(self, on: date, within: int = SOON) -> tuple[Bare, ...]:
        """List what is to be looked at by a day or soon after, the first due first."""
        latest = on + timedelta(days=within)
        return tuple(
            sorted(
                (row for row in self.rows if row.due and row.due <= latest),
                key=lambda row: (row.due, row.part),
            )
        )


def storage(
    book: Book,
    stints: Iterable[Stint],
    progress: ProgressLedger,
    air: AirLedger,
    as_of: date | None,
) -> StorageLedger:
    """Follow every unwrapped piece; humidity of those still bare counts up to `as_of`."""
    rule = book.file.storage
    unwrapped = _unwrapped(book)
    if not unwrapped:
        return StorageLedger(rule, ())
    protected, looked = _work_on(book, rule, stints, unwrapped)
    alike: dict[tuple[str, date, date | None, str, tuple[Looked, ...]], list[str]] = {}
    for part, built_in in _built_in(book, progress, unwrapped).items():
        for piece in book.pieces[part]:
            start = unwrapped.get(piece.label)
            if not start:
                continue
            ended, why = _end(protected.get(piece.label), piece.scrapped, built_in)
            if ended and ended < start:  # never bare, as far as the record goes
                continue
            seen = tuple(
                x
                for x in looked.get(piece.label, ())
                if start <= x.date and not (ended and x.date > ended)
            )
            alike.setdefault((part, start, ended, why, seen), []).append(piece.label)
    rows = []
    for (part, start, ended, why, seen), labels in alike.items():
        due = None
        if rule and ended is None:
            due = rule.inspect_bare_parts_every.after(seen[-1].date if seen else start)
        until = ended or as_of
        humidity = air.humidity(start, until) if until else None
        rows.append(Bare(part, tuple(labels), start, ended, why, seen, humidity, due))
    return StorageLedger(rule, tuple(rows))


def _end(
    protected: tuple[date, str] | None, scrapped: date | None, built_in: date | None
) -> tuple[date | None, str]:
    """Tell what ended a bare time, and when: whichever came first."""
    ends = [protected] if protected else []
    ends += [(day, why) for day, why in ((scrapped, "scrapped"), (built_in, "built in")) if day]
    return min(ends, key=lambda end: end[0], default=(None, ""))


def _unwrapped(book: Book) -> dict[str, date]:
    """Tell when each piece was unwrapped, by label: the earliest day that the records give."""
    found = {p.label: p.unwrapped for pieces in book.pieces.values() for p in pieces if p.unwrapped}
    for session in book.sessions.values():
        for work in (session, *session.work):
            for part in work.unwrapped:
                there = book.finders[part].find("all", session.date) if part in book.parts else ()
                for piece in there:
                    earlier = found.get(piece.label, session.date)
                    found[piece.label] = min(earlier, session.date)
    return found


_Ends = dict[str, tuple[date, str]]
_Looks = dict[str, list[Looked]]


def _work_on(
    book: Book, rule: Storage | None, stints: Iterable[Stint], unwrapped: dict[str, date]
) -> tuple[_Ends, _Looks]:
    """Tell what first protected each piece, and when it was looked at, by label.

    Looking at a part without naming its pieces is looking at all of them.
    """
    protected: _Ends = {}
    looked: _Looks = defaultdict(list)
    if not rule:
        return protected, looked
    for stint in stints:
        if stint.operation in rule.protected_by:
            for labels in stint.pieces:
                for label in labels:
                    protected.setdefault(label, (stint.date, stint.operation or ""))
        if stint.operation in rule.inspected_by:
            for part, labels in zip(stint.parts, stint.pieces, strict=True):
                for label in labels or [p.label for p in book.pieces[part]]:
                    if label in unwrapped:
                        looked[label].append(Looked(stint.session, stint.date))
    return protected, looked


def _built_in(
    book: Book, progress: ProgressLedger, unwrapped: dict[str, date]
) -> dict[str, date | None]:
    """Tell when the last step of each part with unwrapped pieces was finished, if all are."""
    with_bare = {book.piece_by_label[label].part for label in unwrapped}
    finished: dict[str, list[date | None]] = {
        number: [] for number in book.parts if number in with_bare
    }
    for name, step in book.steps.items():
        for number in step.parts:
            if number in finished:
                finished[number].append(progress.steps[name].finished)
    return {
        number: max(day for day in days if day) if days and all(days) else None
        for number, days in finished.items()
    }
