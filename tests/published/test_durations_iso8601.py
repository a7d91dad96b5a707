"""Durations in the form of ISO 8601-1:2019, 5.5.2: `P`, weeks or days, `T`, hours and minutes.

By the standard a week is 7 days (3.1.2.13), a day 24 hours and an hour 60 minutes; a month and a
year have no fixed length.
"""

import pytest

from buildbook.records.durations import parse_duration


@pytest.mark.parametrize(
    ("written", "seconds"),
    [
        ("PT1H30M", 5_400),
        ("PT90M", 5_400),
        ("P1DT2H", 93_600),
        ("P1W", 604_800),
        ("PT0M", 0),
        ("P1D", 86_400),
    ],
)
def test_fixed_lengths(written: str, seconds: int) -> None:
    assert parse_duration(written) * 60 == seconds


@pytest.mark.parametrize("written", ["P1Y2M", "P1Y", "P2M"])
def test_lengths_that_depend_on_the_calendar_are_refused(written: str) -> None:
    with pytest.raises(ValueError, match="depends on the calendar"):
        parse_duration(written)
