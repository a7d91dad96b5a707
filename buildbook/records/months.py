"""Months: dates that a label gives without the day."""

import calendar
import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.dates import FIRST_YEAR, LAST_YEAR, parse_date
from buildbook.records.names import bad


@dataclass(frozen=True, slots=True)
class Month:
    """A month of a year."""

    year: int
    month: int

    def __str__(self) -> str:
        """Write it as `2025-06`."""
        return f"{self.year:04}-{self.month:02}"

    @property
    def first(self) -> date:
        """Its first day."""
        return date(self.year, self.month, 1)

    @property
    def last(self) -> date:
        """Its last day."""
        return date(self.year, self.month, calendar.monthrange(self.year, self.month)[1])


DayOrMonth = date | Month


def first_day(when: DayOrMonth) -> date:
    """Return the day, or the first of the month."""
    return when.first if isinstance(when, Month) else when


def last_day(when: DayOrMonth) -> date:
    """Return the day, or the last of the month: what expires in a month is good to its end."""
    return when.last if isinstance(when, Month) else when


def parse_day_or_month(written: str) -> DayOrMonth:
    """Read `2025-06-10` or `2025-06`. Raises ValueError with a sentence."""
    found = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})", written.strip())
    if not found:
        return parse_date(written)
    year, month = int(found[1]), int(found[2])
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(f"`{written}` is in the year {year}")
    if not 1 <= month <= 12:  # noqa: PLR2004
        raise ValueError(f"`{written}` is not in the calendar")
    return Month(year, month)


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_day_or_month(value)
    except ValueError as error:
        advice = "write year-month-day, as `2025-06-10`, or only year-month, as `2025-06`"
        raise bad("date", str(error), advice) from None


LabelDate = Annotated[
    DayOrMonth,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": ["string"],  # a bare number would be a year
            "pattern": "^[0-9]{4}-[0-9]{1,2}(-[0-9]{1,2})?$",
            "examples": ["2025-06-10", "2025-06"],
        }
    ),
]
"""The type of a field for a date as a label gives it."""
