"""Times of day in the book's time zone, and the time that passed between two of them."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad

_TIME = re.compile(
    r"(?P<h>\d{1,2})[:.](?P<m>[0-5]\d)(?::[0-5]\d)?\s*(?P<half>[ap]\.?m\.?)?"
    r"\s*(?P<offset>[+-](?:0\d|1[0-4]):[0-5]\d|Z)?",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True, slots=True)
class ClockTime:
    """What a clock on the wall showed."""

    hour: int
    minute: int
    offset: int | None = None
    """Minutes ahead of UTC, given only to tell the two 02:30 of an autumn night apart."""

    def __str__(self) -> str:
        """Show as `09:30`."""
        return f"{self.hour:02}:{self.minute:02}"


def parse_clock(written: str) -> ClockTime:
    """Read `9:30`, `21.15`, `9:30 pm` or `02:30+01:00`. Raises ValueError with a sentence."""
    found = _TIME.fullmatch(written.strip())
    if not found:
        raise ValueError(f"`{written}` is not a time of day")
    hour, minute = int(found["h"]), int(found["m"])
    if half := found["half"]:
        if not 1 <= hour <= 12:  # noqa: PLR2004
            raise ValueError(f"`{written}` is not a time of day")
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    if hour == 24 and minute == 0:  # noqa: PLR2004
        raise ValueError(f"`{written}` is not a time of day; midnight is `0:00`")
    if hour > 23:  # noqa: PLR2004
        raise ValueError(f"`{written}` is not a time of day")
    offset = None
    if text := found["offset"]:
        offset = 0
        if text not in "Zz":
            offset = (int(text[1:3]) * 60 + int(text[4:6])) * (-1 if text[0] == "-" else 1)
    return ClockTime(hour, minute, offset)


def instant(day: date, clock: ClockTime, zone: ZoneInfo, *, later: bool = False) -> datetime:
    """Return the moment in UTC when the clock showed this time.

    Raises ValueError with a sentence when the clock was put forward over that time. Where it
    showed the time twice and no offset tells them apart, the first is meant, or with `later`
    the second.
    """
    naive = datetime(day.year, day.month, day.day, clock.hour, clock.minute)  # noqa: DTZ001 - a wall time
    if clock.offset is not None:
        return naive.replace(tzinfo=timezone(timedelta(minutes=clock.offset))).astimezone(UTC)
    there = naive.replace(tzinfo=zone, fold=int(later)).astimezone(UTC)
    if there.astimezone(zone).replace(tzinfo=None) != naive:
        raise ValueError(
            f"{clock} did not exist on {day} in {zone.key}: the clocks went forward over it"
        )
    return there


def span(day: date, start: ClockTime, end: ClockTime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return when a stretch of work began and ended, in UTC.

    An end that is not after the start on the clock is on the next day, unless it is the second
    showing of an hour that the clocks repeated. Subtracting wall times would be wrong by an hour
    on the days the clocks change, so the difference is taken in UTC.
    """
    began = instant(day, start, zone)
    ended = instant(day, end, zone)
    if ended <= began:
        again = instant(day, end, zone, later=True)
        ended = again if again > began else instant(day + timedelta(days=1), end, zone)
    return began, ended


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_clock(value)
    except ValueError as error:
        raise bad("clock", str(error), "write it as `19:30`") from None


TimeOfDay = Annotated[
    ClockTime,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": "^[0-9]{1,2}[:.][0-5][0-9]",
            "examples": ["19:30", "9:30 pm"],
            "x-form": "time",
        }
    ),
]
