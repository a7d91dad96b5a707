"""Time codes: a place in a clip, as `1:20`."""

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad

_CODE = re.compile(
    r"(?:(?:(?P<h>\d{1,2}):)?(?P<m>\d{1,3}):)?(?P<s>\d{1,5}(?:\.\d{1,3})?)\s*(?:s|sec|seconds?)?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True, order=True)
class TimeCode:
    """How far into a clip, in seconds, counted in thousandths."""

    milliseconds: int

    @property
    def seconds(self) -> float:
        """Seconds from the clip's beginning."""
        return self.milliseconds / 1000

    def __str__(self) -> str:
        """Show as `1:20`, with hours and parts of a second where there are any."""
        whole, thousandths = divmod(self.milliseconds, 1000)
        minutes, seconds = divmod(whole, 60)
        hours, minutes = divmod(minutes, 60)
        shown = f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"
        return f"{shown}.{thousandths:03}".rstrip("0") if thousandths else shown

    @property
    def fragment(self) -> str:
        """What follows a film's address to begin there: Media Fragments URI 1.0 (W3C), 4.2.1."""
        return f"#t={self.seconds:.3f}".rstrip("0").rstrip(".")


def parse_time_code(written: str) -> TimeCode:
    """Read `1:20`, `1:02:03`, `0:07.5` or `80 s`. Raises ValueError with a sentence."""
    found = _CODE.fullmatch(written.strip())
    if not found:
        raise ValueError(f"`{written}` is not a time code")
    hours, minutes, seconds = int(found["h"] or 0), int(found["m"] or 0), float(found["s"])
    if found["m"] and seconds >= 60:  # noqa: PLR2004
        raise ValueError(f"`{written}` has {seconds:g} seconds after the minutes; a minute has 60")
    if found["h"] and minutes >= 60:  # noqa: PLR2004
        raise ValueError(f"`{written}` has {minutes} minutes after the hours; an hour has 60")
    return TimeCode(round(((hours * 60 + minutes) * 60 + seconds) * 1000))


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_time_code(value)
    except ValueError as error:
        raise bad("time-code", str(error), "write minutes and seconds, as `1:20`") from None


Code = Annotated[
    TimeCode,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": ["string", "number"],
            "pattern": r"^([0-9]{1,2}:)?([0-9]{1,3}:)?[0-9]{1,5}(\.[0-9]{1,3})?( ?s[econds]*)?$",
            "minimum": 0,
            "examples": ["1:20", "1:02:03"],
        }
    ),
]
"""A time code, as `1:20`."""
