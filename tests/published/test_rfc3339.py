"""Timestamps above notes, by the examples of RFC 3339, section 5.8.

Read in a quotation of that section (`swift-standards/swift-rfc-3339`, `RFC_3339.swift`). The RFC
gives 1996-12-20T00:39:57Z as the UTC of its second example (from memory), and the leap second at
the end of 1990 in two zones.
"""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from buildbook.writing.days import day_at_start

UTC, LOS_ANGELES = ZoneInfo("UTC"), ZoneInfo("America/Los_Angeles")


@pytest.mark.parametrize(
    ("written", "zone", "day"),
    [
        ("1985-04-12T23:20:50.52Z", UTC, date(1985, 4, 12)),
        ("1996-12-19T16:39:57-08:00", LOS_ANGELES, date(1996, 12, 19)),
        ("1996-12-19T16:39:57-08:00", UTC, date(1996, 12, 20)),
        ("1990-12-31T23:59:60Z", UTC, date(1990, 12, 31)),
        ("1990-12-31T15:59:60-08:00", LOS_ANGELES, date(1990, 12, 31)),
        ("1990-12-31T15:59:60-08:00", UTC, date(1990, 12, 31)),
        ("1937-01-01T12:00:27.87+00:20", UTC, date(1937, 1, 1)),
    ],
)
def test_examples(written: str, zone: ZoneInfo, day: date) -> None:
    for text in (written, f"{written.lower()} drilled the ribs"):
        found = day_at_start(text, zone)
        assert found is not None
        assert (found.day, found.end) == (day, len(written))


@pytest.mark.parametrize(
    "written",
    # Section 5.7: days of February, hours and minutes have their limits.
    [
        "1999-02-29",
        "2000-02-30",
        "1999-02-29T12:00:00Z",
        "1985-04-12T24:00:00Z",
        "1985-04-12T23:60:00Z",
    ],
)
def test_what_is_not_in_the_calendar_is_no_day(written: str) -> None:
    found = day_at_start(written, UTC)
    assert found is not None
    assert found.day is None
    assert "not in the calendar" in found.said


def test_leap_years() -> None:
    """Appendix C: 2000 is a leap year and 1900 is none."""
    assert day_at_start("2000-02-29", UTC).day == date(2000, 2, 29)  # type: ignore[union-attr]
    assert day_at_start("1900-02-29", UTC).day is None  # type: ignore[union-attr]
