"""How long work took: written in hours or minutes, kept in whole minutes, shown as `2 h 30`."""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad

MINUTES_IN_A_DAY = 24 * 60

_HOURS_MINUTES = re.compile(
    r"(?:(?P<hours>\d{1,6}(?:\.\d{1,6})?)\s*(?:h|hr|hrs|hour|hours)\.?)?"
    r"\s*(?:(?P<minutes>\d{1,6}(?:\.\d{1,6})?)\s*(?:m|min|mins|minute|minutes)?\.?)?",
    re.IGNORECASE | re.ASCII,
)
_ISO = re.compile(
    r"P(?:(?P<w>\d{1,6})W|(?:(?P<d>\d{1,6})D)?(?:T(?:(?P<h>\d{1,6})H)?(?:(?P<m>\d{1,6})M)?)?)",
    re.ASCII,
)


def parse_duration(written: str) -> int:
    """Read a duration and return whole minutes.

    Accepts `2.5` (hours), `2h30`, `2 h 30 min`, `2:30`, `150 min`, and ISO 8601 durations without
    years, months and seconds (`PT2H30M`). Raises ValueError with a sentence for the builder.
    """
    text = written.strip()
    if not text:
        raise ValueError("no duration is written here")
    if re.fullmatch(r"[0-9]+,[0-9]+.*", text):
        raise ValueError(f"`{written}` has a comma; write `{text.replace(',', '.')}` with a point")
    if text.startswith(("-", "\N{MINUS SIGN}")):
        raise ValueError(f"`{written}` is negative; work takes time")
    if text[0] in "Pp":
        return _iso_minutes(text.upper(), written)
    if colon := re.fullmatch(r"([0-9]{1,6}):([0-9]{2})", text):
        return _sum(float(colon[1]), float(colon[2]), written)
    if (two := re.fullmatch(r"([0-9]{1,2})\.([0-5][0-9])", text)) and int(two[2]) % 25:
        decimal = show_minutes(round(float(text) * 60)).replace(" ", "")
        raise ValueError(
            f"`{written}` could be {decimal.replace('min', ' min')} or {two[1]}h{two[2]}"
        )
    if re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,6})?", text):
        return _sum(float(text), 0, written)
    found = _HOURS_MINUTES.fullmatch(text)
    if not found or not (found["hours"] or found["minutes"]):
        raise ValueError(f"`{written}` is not a duration")
    return _sum(float(found["hours"] or 0), float(found["minutes"] or 0), written)


def _sum(hours: float, minutes: float, written: str) -> int:
    if hours and minutes >= 60:  # noqa: PLR2004
        raise ValueError(f"`{written}` has {minutes:g} minutes after the hours; an hour has 60")
    return round(hours * 60 + minutes)


def _iso_minutes(text: str, written: str) -> int:
    found = _ISO.fullmatch(text)
    if not found or not any(found.groups()):
        if re.match(r"P\d+[YM]", text):
            raise ValueError(
                f"`{written}` has years or months, whose length depends on the calendar"
            )
        raise ValueError(f"`{written}` is not a duration")
    weeks, days, hours, minutes = (int(found[g] or 0) for g in "wdhm")
    return ((weeks * 7 + days) * 24 + hours) * 60 + minutes


def show_minutes(minutes: int) -> str:
    """Write minutes as hours and minutes, exactly: `2 h 30`, `45 min`, `3 h`."""
    hours, rest = divmod(abs(minutes), 60)
    sign = "\N{MINUS SIGN}" if minutes < 0 else ""
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours:,} h {rest:02}" if rest else f"{sign}{hours:,} h"


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_duration(value)
    except ValueError as error:
        advice = "write it as `2h30`, `2.5` (hours) or `150 min`"
        raise bad("duration", str(error), advice) from None


Minutes = Annotated[
    int,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": ["string", "number"],
            "pattern": "^[0-9Pp][0-9A-Za-z:. ]*$",
            "minimum": 0,
            "examples": ["2h30", 2.5, "150 min"],
            "x-form": "duration",
        }
    ),
]
"""A duration in whole minutes."""
