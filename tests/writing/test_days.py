"""Dates above notes: one way of reading, or none."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from buildbook.writing.days import day_at_start

ZONE = ZoneInfo("Europe/Copenhagen")


@pytest.mark.parametrize(
    "text",
    [
        "2025-03-08",
        "2025-3-8 drilled",
        "8 March 2025",
        "8. Mar 2025: ribs",
        "8th March 2025",
        "March 8, 2025",
        "Mar 8th 2025, ribs",
        "Saturday, 8 March 2025",
        "Sat 2025-03-08",
        "SAT 8 MARCH 2025",
        "2025-03-08T19:30",
        "2025-03-07T23:30:00Z",
    ],
)
def test_dates_that_are_taken(text: str) -> None:
    found = day_at_start(text, ZONE)
    assert found is not None
    assert found.day == date(2025, 3, 8)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8/3/2025", "can be read in two ways"),
        ("03/08/25 ribs", "can be read in two ways"),
        ("8.3.2025", "can be read in two ways"),
        ("8 March ribs", "does not say which year"),
        ("March 8", "does not say which year"),
        ("Sunday 8 March 2025", "was a Saturday"),
        ("31 June 2025", "not in the calendar"),
        ("8 March 0025", "in the year 25"),
    ],
)
def test_dates_that_are_seen_and_not_taken(text: str, said: str) -> None:
    found = day_at_start(text, ZONE)
    assert found is not None
    assert found.day is None
    assert said in found.said


@pytest.mark.parametrize(
    "text",
    [
        "",
        "drilled on 2025-03-08",
        "16 ribs",
        "3/32 rivets",
        "may 2 ribs be bent",
        "2025",
        "8 marts 2025",
        "2025-03-08x",
        "2025-03-081",
    ],
)
def test_texts_without_a_date_at_their_start(text: str) -> None:
    assert day_at_start(text, ZONE) is None
