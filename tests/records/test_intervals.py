"""Intervals and months: calendar arithmetic at the ends of months."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.intervals import Interval, parse_interval
from buildbook.records.months import Month, first_day, last_day, parse_day_or_month

DAYS = st.dates(date(1900, 1, 1), date(2199, 12, 31))


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("90 days", "90 days"),
        ("1 day", "1 day"),
        ("2 Weeks", "2 weeks"),
        ("6months", "6 months"),
        ("1 yr", "1 year"),
        ("12 mo.", "12 months"),
    ],
)
def test_reading(written: str, shown: str) -> None:
    assert str(parse_interval(written)) == shown


@pytest.mark.parametrize(
    "written",
    [
        "",
        "90",
        "days",
        "often",
        "0 days",
        "-3 months",
        "1.5 years",
        "100 h",
        "30 min",
        "601 months",
    ],
)
def test_refusing(written: str) -> None:
    with pytest.raises(ValueError, match="`"):
        parse_interval(written)


@given(DAYS, st.integers(1, 9999))
def test_days_and_weeks_are_counted(day: date, count: int) -> None:
    assert Interval(count, "day").after(day) == day + timedelta(days=count)
    assert Interval(count, "week").after(day) == day + timedelta(weeks=count)


@given(st.dates(date(1900, 1, 1), date(2149, 12, 31)), st.integers(1, 600))
def test_months_keep_the_day_or_take_the_last(day: date, months: int) -> None:
    after = Interval(months, "month").after(day)
    assert (after.year * 12 + after.month) - (day.year * 12 + day.month) == months
    the_last = (after + timedelta(days=1)).day == 1
    assert after.day == day.day or (the_last and after.day < day.day)


@given(st.dates(date(1900, 1, 1), date(2149, 12, 31)), st.integers(1, 50))
def test_a_year_is_twelve_months(day: date, years: int) -> None:
    assert Interval(years, "year").after(day) == Interval(12 * years, "month").after(day)


@given(DAYS, st.sampled_from(("month", "year")), st.integers(1, 50))
def test_nothing_ends_outside_of_the_calendar(day: date, unit: str, count: int) -> None:
    after = Interval(count, unit).after(day)
    assert day < after <= date(2199, 12, 31) or day == date(2199, 12, 31)


@given(st.integers(1900, 2199), st.integers(1, 12))
def test_a_month_runs_from_its_first_day_to_its_last(year: int, number: int) -> None:
    month = Month(year, number)
    assert parse_day_or_month(str(month)) == month
    assert month.first.day == 1
    assert (month.first.year, month.first.month) == (month.last.year, month.last.month)
    assert month.last == date.max or (month.last + timedelta(days=1)).day == 1
    assert (first_day(month), last_day(month)) == (month.first, month.last)


@given(DAYS)
def test_a_day_is_its_own_first_and_last(day: date) -> None:
    assert parse_day_or_month(day.isoformat()) == day
    assert first_day(day) == last_day(day) == day


@pytest.mark.parametrize("written", ["2025-13", "2025-00", "1025-06", "2025", "June 2025", ""])
def test_months_that_are_none(written: str) -> None:
    with pytest.raises(ValueError, match="`"):
        parse_day_or_month(written)
