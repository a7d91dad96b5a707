"""Dates as people write them above a note: only what can be read in one way is taken."""

import re
from datetime import date, datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from buildbook.records.dates import FIRST_YEAR, LAST_YEAR, parse_date

_MONTHS = "january february march april may june july august september october november december"
MONTHS = {
    name: n
    for n, month in enumerate(_MONTHS.split(), 1)
    for name in (month, month[:3], *(("sept",) if n == 9 else ()))  # noqa: PLR2004 - September
}
_DAYS = "monday tuesday wednesday thursday friday saturday sunday".split()
WEEKDAYS = {name: n for n, day in enumerate(_DAYS) for name in (day, day[:3])}
WEEKDAYS |= {"tues": 1, "wednes": 2, "thur": 3, "thurs": 3}

_DAY = r"(?:(?P<weekday>[A-Za-z]{3,9})\.?,?\s+)?"
_AT_START = re.compile(
    rf"{_DAY}(?:"
    r"(?P<moment>\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:[Zz]|[+-]\d{2}:\d{2})?)"
    r"|(?P<iso>\d{4}-\d{1,2}-\d{1,2})"
    r"|(?P<day>\d{1,2})(?:\.|st|nd|rd|th)?\s+(?P<month>[A-Za-z]{3,9})\.?,?(?:\s+(?P<year>\d{4}))?"
    r"|(?P<month_2>[A-Za-z]{3,9})\.?\s+(?P<day_2>\d{1,2})(?:st|nd|rd|th)?,?(?:\s+(?P<year_2>\d{4}))?"
    r"|(?P<numbers>\d{1,4}\s*[/.]\s*\d{1,2}\s*[/.]\s*\d{2,4})"
    r")(?![\w/-])",
    re.ASCII,
)


class DayFound(NamedTuple):
    """A date at the start of a text."""

    day: date | None
    """None when it is there and cannot be taken."""
    end: int
    """Offset of what follows it."""
    said: str
    """Why it cannot be taken, in a sentence without a full stop."""


def day_at_start(text: str, zone: ZoneInfo) -> DayFound | None:
    """Find the date a text starts with: `2025-03-08`, `Sat 8 March 2025`, an RFC 3339 timestamp.

    A timestamp is of the day it was in the zone. Dates of numbers in another order, without their
    year, or on another weekday than they say are found and not taken. None when there is no date.
    """
    found = _AT_START.match(text)
    if not found:
        return None
    weekday = found["weekday"]
    if weekday and weekday.casefold() not in WEEKDAYS:
        return None
    month = (found["month"] or found["month_2"] or "").casefold()
    if month and month not in MONTHS:
        return None
    written = text[: found.end()].strip()
    try:
        day = _day(found, month, zone)
    except ValueError as error:
        return DayFound(None, found.end(), str(error))
    if weekday and WEEKDAYS[weekday.casefold()] != day.weekday():
        said = f"`{written}` was a {_DAYS[day.weekday()].capitalize()}"
        return DayFound(None, found.end(), said)
    return DayFound(day, found.end(), "")


def _day(found: re.Match[str], month: str, zone: ZoneInfo) -> date:
    if found["moment"]:
        return _local_day(found["moment"], zone)
    if found["iso"]:
        return parse_date(found["iso"])
    written = found.group().strip()
    if found["numbers"]:
        raise ValueError(f"`{written}` can be read in two ways; write year-month-day")
    year, number = found["year"] or found["year_2"], found["day"] or found["day_2"]
    if not year:
        raise ValueError(f"`{written}` does not say which year")
    if not FIRST_YEAR <= int(year) <= LAST_YEAR:
        raise ValueError(f"`{written}` is in the year {int(year)}")
    try:
        return date(int(year), MONTHS[month], int(number))
    except ValueError:
        raise ValueError(f"`{written}` is not in the calendar") from None


def _local_day(moment: str, zone: ZoneInfo) -> date:
    """Return the day of an RFC 3339 timestamp in a zone; one without an offset is local."""
    # A leap second is part of the minute before it.
    plain = re.sub(r":60(?=[.+\-Zz]|$)", ":59", moment.upper())
    try:
        read = datetime.fromisoformat(plain)
        local = read.astimezone(zone) if read.tzinfo else read
    except (ValueError, OverflowError):
        raise ValueError(f"`{moment}` is not in the calendar") from None
    return parse_date(local.date().isoformat())
