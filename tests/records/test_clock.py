"""Times of day and the time between them, away from the days the clocks change."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.clock import ClockTime, instant, parse_clock, span

COPENHAGEN = ZoneInfo("Europe/Copenhagen")
DAY = date(2025, 3, 8)


@pytest.mark.parametrize(
    ("written", "hour", "minute"),
    [
        ("9:30", 9, 30),
        ("09:30", 9, 30),
        ("21.15", 21, 15),
        ("9:30 pm", 21, 30),
        ("9:30PM", 21, 30),
        ("9:30 p.m.", 21, 30),
        ("12:05 am", 0, 5),
        ("12:05 pm", 12, 5),
        ("0:00", 0, 0),
        ("23:59:59", 23, 59),
    ],
)
def test_reads(written: str, hour: int, minute: int) -> None:
    assert parse_clock(written) == ClockTime(hour, minute)


@pytest.mark.parametrize(
    ("written", "offset"), [("02:30+01:00", 60), ("2:30 -03:30", -210), ("2:30Z", 0)]
)
def test_reads_an_offset(written: str, offset: int) -> None:
    assert parse_clock(written) == ClockTime(2, 30, offset)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "9",
        "930",
        "25:00",
        "9:60",
        "9:5",
        "13:00 pm",
        "0:30 am",
        "9:30 xm",
        "2:30+99:00",
        "٩:٣٠",
        "9h30",
    ],
)
def test_refuses(written: str) -> None:
    with pytest.raises(ValueError, match="is not a time of day"):
        parse_clock(written)


def test_says_how_midnight_is_written() -> None:
    with pytest.raises(ValueError, match="midnight is `0:00`"):
        parse_clock("24:00")


def test_an_end_before_the_start_is_on_the_next_day() -> None:
    began, ended = span(DAY, ClockTime(22, 30), ClockTime(1, 15), COPENHAGEN)
    assert began == datetime(2025, 3, 8, 21, 30, tzinfo=UTC)
    assert ended == datetime(2025, 3, 9, 0, 15, tzinfo=UTC)


def test_the_same_time_is_a_whole_day_later() -> None:
    began, ended = span(DAY, ClockTime(8, 0), ClockTime(8, 0), COPENHAGEN)
    assert (ended - began).total_seconds() == 24 * 3600


def test_an_offset_says_which_moment_is_meant() -> None:
    assert instant(DAY, ClockTime(8, 0, 0), COPENHAGEN) == datetime(2025, 3, 8, 8, tzinfo=UTC)


@given(
    st.dates(date(1900, 1, 1), date(2199, 12, 31)),
    st.integers(0, 23),
    st.integers(0, 59),
    st.integers(0, 23),
    st.integers(0, 59),
    st.sampled_from(["Europe/Copenhagen", "America/New_York", "Australia/Lord_Howe", "UTC"]),
)
def test_a_span_is_never_longer_than_a_day_and_a_clock_change(
    day: date, h1: int, m1: int, h2: int, m2: int, zone: str
) -> None:
    try:
        began, ended = span(day, ClockTime(h1, m1), ClockTime(h2, m2), ZoneInfo(zone))
    except ValueError as error:
        assert "the clocks went forward over it" in str(error)  # noqa: PT017
    else:
        assert 0 < (ended - began).total_seconds() <= 25 * 3600


def test_shows() -> None:
    assert str(ClockTime(7, 5)) == "07:05"
