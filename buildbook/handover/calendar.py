"""What recurs, as a calendar file: iCalendar, RFC 5545 (September 2009), the same each time.

A day that comes round by months is told with a recurrence rule, so that the file still serves who
has it when the records are no longer kept.
"""

import hashlib
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from buildbook.ledger.recurring import Due
from buildbook.pages.words import compact_date, say, show_interval, speaking, translated
from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.intervals import Interval

_FIRST_SHORT_DAY = 29
"""Not every month has days from this on."""
_FOLD = 75
"""Octets in a line at most, without its end (section 3.1)."""


def calendar_of(book: Book, dues: Iterable[Due], as_of: date | None) -> str:
    """Write a calendar of what has a day, one entry a thing, with the line ends the RFC asks for.

    `as_of` is the day of the last session; it stamps the entries, so that the same book makes the
    same file.
    """
    stamp = as_of or date(1970, 1, 1)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//buildbook//recurring//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{_text(book.file.title)}",
        f"X-WR-CALNAME:{_text(book.file.title)}",
    ]
    with speaking(book.file.language):
        for due in dues:
            if due.due:
                lines += _event(book, due, due.due, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _event(book: Book, due: Due, day: date, stamp: date) -> Iterator[str]:
    key = f"{book.file.aircraft.model}\n{book.file.aircraft.serial}\n{due.kind}\n{due.name}"
    yield "BEGIN:VEVENT"
    yield f"UID:{hashlib.sha256(key.encode()).hexdigest()[:32]}@buildbook.invalid"
    yield f"DTSTAMP:{stamp:%Y%m%d}T000000Z"
    yield f"DTSTART;VALUE=DATE:{day:%Y%m%d}"
    yield f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}"
    yield f"SUMMARY:{_text(translated(due.title))}"
    said = [
        say("Every %(every)s, counted from the day it is done.", every=show_interval(due.every))
        if due.every
        else "",
        say("Last done %(day)s.", day=compact_date(due.last)) if due.last else "",
        say("Asked for by: %(source)s.", source=due.source) if due.source else "",
        say(
            "From the builder's records; the maker's and the authority's current papers come first."
        ),
    ]
    yield f"DESCRIPTION:{_text(' '.join(filter(None, said)))}"
    if due.every:
        yield f"RRULE:{_rule(due.every, day)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _rule(every: Interval, first: date) -> str:
    """Write a recurrence rule (section 3.3.10).

    A month without the day would be passed over: there the last day it has is meant.
    """
    if every.unit in ("day", "week"):
        return f"FREQ={'DAILY' if every.unit == 'day' else 'WEEKLY'};INTERVAL={every.count}"
    months = every.count * (12 if every.unit == "year" else 1)
    rule = f"FREQ=MONTHLY;INTERVAL={months}"
    if first.day >= _FIRST_SHORT_DAY:
        days = ",".join(str(d) for d in range(28, first.day + 1))
        rule += f";BYMONTHDAY={days};BYSETPOS=-1"
    return rule


def _text(value: str) -> str:
    """Write a text (section 3.3.11); control characters, which no text may have, become spaces."""
    plain = printable(" ".join(value.split()))
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")


def _folded(line: str) -> Iterator[str]:
    """Break a line after at most 75 octets; a line that goes on begins with a space."""
    room, start, size = _FOLD, 0, 0
    for i, char in enumerate(line):
        octets = len(char.encode("utf-8", "replace"))
        if size + octets > room:
            yield f"{' ' if start else ''}{line[start:i]}"
            start, size, room = i, 0, _FOLD - 1
        size += octets
    yield f"{' ' if start else ''}{line[start:]}"
