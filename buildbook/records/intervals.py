"""Intervals by the calendar: how long something keeps, how often something comes round again."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.dates import LAST_YEAR
from buildbook.records.names import bad

_WRITTEN = re.compile(
    r"([0-9]{1,4})\s*(days?|d|weeks?|w|months?|mo|years?|yrs?|y)\.?", re.IGNORECASE
)
_MONTHS = {"m": 1, "y": 12}
_DAYS = {"d": 1, "w": 7}
LONGEST = 600
"""Months."""
_UNITS = {"d": "day", "w": "week", "m": "month", "y": "year"}


@dataclass(frozen=True, slots=True)
class Interval:
    """A number of days, weeks, months or years."""

    count: int
    """At least 1."""
    unit: str
    """`day`, `week`, `month` or `year`."""

    def __str__(self) -> str:
        """Write it as `90 days`."""
        return f"{self.count} {self.unit}{'' if self.count == 1 else 's'}"

    def after(self, start: date) -> date:
        """Return the day so long after `start`; months that are too short end on their last day."""
        first = self.unit[0]
        if days := _DAYS.get(first):
            return start + timedelta(days=self.count * days)
        # Loaded when it is needed: few commands do.
        from buildbook.reference.answers import RefusedError  # noqa: PLC0415
        from buildbook.reference.shelflife import add_months  # noqa: PLC0415

        try:
            return add_months(start, self.count * _MONTHS[first])
        except RefusedError:  # past the last year a date may be in
            return date(LAST_YEAR, 12, 31)


def parse_interval(written: str) -> Interval:
    """Read `90 days`, `2 weeks`, `6 months`, `1 year`. Raises ValueError with a sentence."""
    text = written.strip()
    if text.startswith(("-", "\N{MINUS SIGN}")):
        raise ValueError(f"`{written}` is negative")
    found = _WRITTEN.fullmatch(text)
    if not found:
        raise ValueError(f"`{written}` is not a number of days, weeks, months or years")
    if not int(found[1]):
        raise ValueError(f"`{written}` is no time at all")
    unit = found[2][0].lower()
    if int(found[1]) * _MONTHS.get(unit, 0) > LONGEST:
        raise ValueError(f"`{written}` is longer than {LONGEST // 12} years")
    return Interval(int(found[1]), _UNITS[unit])


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_interval(value)
    except ValueError as error:
        raise bad("interval", str(error), "write it as `90 days` or `12 months`") from None


Every = Annotated[
    Interval,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": ["string"],  # a bare number would lack its unit
            "pattern": "^ *[0-9]{1,4} *[A-Za-z]+",
            "examples": ["90 days", "12 months"],
        }
    ),
]
"""The type of a field that holds an interval."""
