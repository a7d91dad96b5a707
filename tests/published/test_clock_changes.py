"""Time passed over clock changes, against the tz database (2026f).

The expected hours were computed from the transitions that the tz database lists for each zone, and
are what a stop watch would have shown.
"""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from buildbook.records.clock import ClockTime, instant, parse_clock, span


@pytest.mark.parametrize(
    ("zone", "day", "start", "end", "minutes"),
    [
        ("Europe/Berlin", "2026-03-29", "01:30", "03:30", 60),
        ("Europe/Berlin", "2026-10-25", "01:30", "03:30", 180),
        ("Europe/Berlin", "2026-10-25", "02:30", "02:30", 60),  # first to second showing
        ("Europe/Berlin", "2026-10-25", "02:30+02:00", "02:30+01:00", 60),
        ("America/New_York", "2026-03-08", "01:30", "03:30", 60),
        ("America/New_York", "2026-11-01", "00:30", "02:30", 180),
        ("Australia/Lord_Howe", "2026-04-05", "01:00", "03:00", 150),
        ("America/Phoenix", "2026-03-08", "01:30", "03:30", 120),
    ],
)
def test_elapsed(zone: str, day: str, start: str, end: str, minutes: int) -> None:
    began, ended = span(
        date.fromisoformat(day), parse_clock(start), parse_clock(end), ZoneInfo(zone)
    )
    assert (ended - began).total_seconds() == minutes * 60


def test_a_time_that_the_clock_skipped_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="02:30 did not exist on 2026-03-29 in Europe/Berlin"):
        instant(date(2026, 3, 29), ClockTime(2, 30), ZoneInfo("Europe/Berlin"))


def test_of_two_showings_the_first_is_meant_unless_said() -> None:
    day, zone = date(2026, 10, 25), ZoneInfo("Europe/Berlin")
    first, second = (instant(day, ClockTime(2, 30), zone, later=later) for later in (False, True))
    assert (second - first).total_seconds() == 3600
    assert instant(day, ClockTime(2, 30, 60), zone) == second
