"""Dates and lengths of time as tables and notes from elsewhere hold them."""

import re
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from buildbook.records.dates import parse_date
from buildbook.writing.days import day_at_start
from buildbook.writing.notes import time_fields
from buildbook.writing.yamltext import Plain

_YEARS_OF_TWO_DIGITS = 69
"""From this on, two digits are a year of the 1900s (POSIX.1-2017, strptime, `%y`)."""


class DayOrder(StrEnum):
    """In which order dates of numbers are written, when they do not begin with the year."""

    UNKNOWN = "unknown"
    DAY_FIRST = "day-first"
    MONTH_FIRST = "month-first"


def parse_day(words: str, zone: ZoneInfo, order: DayOrder = DayOrder.UNKNOWN) -> date:
    """Read a date: ISO 8601, one with the month's name, or of numbers in an order that was told.

    Raises ValueError with a sentence.
    """
    text = words.strip()
    if year_first := re.fullmatch(
        r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?)?", text, re.ASCII
    ):
        return parse_date(f"{year_first[1]}-{year_first[3]}-{year_first[4]}")
    if numbers := re.fullmatch(
        r"(\d{1,2})\s*([-/.])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})(?:[ T]00:00(?::00)?)?",
        text,
        re.ASCII,
    ):
        if order is DayOrder.UNKNOWN:
            raise ValueError(f"`{text}` can be read in two ways")
        first, second, year = numbers[1], numbers[3], numbers[4]
        day, month = (first, second) if order is DayOrder.DAY_FIRST else (second, first)
        if len(year) == 2:  # noqa: PLR2004
            year = f"{19 if int(year) >= _YEARS_OF_TWO_DIGITS else 20}{year}"
        try:
            return parse_date(f"{year}-{month}-{day}")
        except ValueError:
            raise ValueError(f"`{text}` is not in the calendar, read {order}") from None
    found = day_at_start(text, zone)
    if found is None or text[found.end :].strip():
        raise ValueError(f"`{text}` is not a date")
    if found.day is None:
        raise ValueError(found.said)
    return found.day


def parse_length(words: str, heading: str) -> dict[str, Plain]:
    """Read how long work took: `2.5`, `2,5`, `2:30`, `2h30`, `19:30 to 22:00`; return fields.

    A bare number is in minutes where the heading says so. Raises ValueError with a sentence.
    """
    text = re.sub(r"(?<=\d),(?=\d)", ".", words.strip())
    if clock := re.fullmatch(r"(\d{1,3}:[0-5]\d):00", text, re.ASCII):
        text = clock[1]
    in_minutes = re.search(r"\bmin(ute)?s?\b", heading.casefold())
    if in_minutes and re.fullmatch(r"\d+(\.\d+)?", text, re.ASCII):
        text += " min"
    return time_fields(text)
