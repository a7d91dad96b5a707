"""What is due: notices, bare parts to be looked at, lots that expire, in words and by day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from buildbook.ledger.ahead import in_runs
from buildbook.ledger.ledger import Ledger
from buildbook.ledger.notices import NoticeState
from buildbook.records.book import Book


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that is to be done by a day."""

    what: str
    """Kind: `notice`, `inspect` or `lot`."""
    said: str
    """In words, without a full stop."""
    by: date | None
    """None where nothing says a day."""
    overdue: bool


def due(ledger: Ledger, book: Book, on: date) -> tuple[Due, ...]:
    """List what is due on a day or soon after it: the earliest first, without a day last."""
    found = [*_notices(ledger, on), *_bare(ledger, book, on), *_lots(ledger, book, on)]
    return tuple(sorted(found, key=lambda one: (one.by is None, one.by or date.max)))


def _notices(ledger: Ledger, on: date) -> Iterator[Due]:
    for row in ledger.notices.open(on):
        verb = "decide" if row.state is NoticeState.UNDECIDED else "do"
        said = f"{verb} {row.notice.notice}: {row.notice.title}"
        yield Due("notice", said, row.due, row.is_overdue(on))


def _bare(ledger: Ledger, book: Book, on: date) -> Iterator[Due]:
    for row in ledger.storage.due(on):
        marks = [book.piece_by_label[label].mark for label in row.pieces]
        every = len(marks) == sum(p.fitted for p in book.pieces[row.part])
        pieces = "" if every else f" {', '.join(in_runs(marks))}"
        said = f"look at {row.part}{pieces} for corrosion, bare for {row.days(on)} days"
        yield Due("inspect", said, row.due, row.due is not None and row.due < on)


def _lots(ledger: Ledger, book: Book, on: date) -> Iterator[Due]:
    for trace in ledger.lots.expiring(on):
        last = trace.usable_until
        assert last is not None
        past = last < on
        said = f"{trace.lot} {'expired' if past else 'expires'}: {book.lots[trace.lot].title}"
        yield Due("lot", said, last, past)
