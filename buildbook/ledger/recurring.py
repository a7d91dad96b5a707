"""What recurs: inspections, expiries and bulletins, each with the day it is due next."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.notices import NoticeLedger
from buildbook.records.book import Book
from buildbook.records.intervals import Interval
from buildbook.records.months import last_day
from buildbook.records.sayings import Saying


@dataclass(frozen=True, slots=True)
class Due:
    """Something to be done by a day."""

    kind: str
    """Mapping of the Book it comes from: `recurring`, `equipment` or `notices`."""
    name: str
    """Its identity there."""
    title: str
    last: date | None
    """When it was done last."""
    due: date | None
    """None where nothing says when."""
    every: Interval | None
    """How often it comes again; None where it comes once."""
    source: str
    """Who asks for it."""

    def is_past(self, on: date) -> bool:
        """Tell whether its day has passed."""
        return self.due is not None and self.due < on


def recurring(book: Book, notices: NoticeLedger) -> tuple[Due, ...]:
    """List what is to be done again or by a day, what is due first first."""
    found = []
    for name, one in book.recurring.items():
        last = max((done.date for done in one.done), default=None)
        due = one.every.after(last) if last else one.due
        found.append(Due("recurring", name, one.title, last, due, one.every, one.source or ""))
    for name, item in book.equipment.items():
        if item.expires and not item.removed:
            title: str = Saying("%(title)s: expires", title=item.title)
            due = last_day(item.expires)
            found.append(Due("equipment", name, title, None, due, None, item.maker or ""))
    for number, row in notices.rows.items():
        if row.due:
            last = row.times[-1].date if row.times else None
            title = f"{number}: {row.notice.title}"
            every, issuer = row.notice.every, row.notice.issuer or ""
            found.append(Due("notices", number, title, last, row.due, every, issuer))
    return tuple(sorted(found, key=lambda d: (d.due is None, d.due or date.max, d.kind, d.name)))
