"""Dates of records: ISO 8601 calendar dates and nothing that could be read two ways."""

import re
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad

FIRST_YEAR, LAST_YEAR = 1900, 2199
"""Outside of these a date is a slip of the keys; clock arithmetic stays well inside Python's."""


def parse_date(written: str) -> date:
    """Read `2025-03-08`. Raises ValueError with a sentence."""
    found = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", written.strip())
    if not found:
        raise ValueError(f"`{written}` is not a date")
    year, month, day = (int(n) for n in found.groups())
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(f"`{written}` is in the year {year}")
    try:
        return date(year, month, day)
    except ValueError:
        raise ValueError(f"`{written}` is not in the calendar") from None


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_date(value)
    except ValueError as error:
        raise bad("date", str(error), "write year-month-day, as `2025-03-08`") from None


Date = Annotated[
    date,
    BeforeValidator(_field),
    WithJsonSchema(
        {"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}$"}
    ),
]
