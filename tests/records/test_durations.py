"""Durations as builders write them."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.durations import parse_duration, show_minutes


@pytest.mark.parametrize(
    ("written", "minutes"),
    [
        ("2.5", 150),
        ("2", 120),
        ("0.25", 15),
        ("2h30", 150),
        ("2 h 30", 150),
        ("2h 30min", 150),
        ("2 hours 30 minutes", 150),
        ("2 hrs", 120),
        ("1h", 60),
        ("1.5 h", 90),
        ("2:30", 150),
        ("0:05", 5),
        ("150 min", 150),
        ("90 m", 90),
        ("45 MIN", 45),
        ("  2h30  ", 150),
        ("PT2H30M", 150),
        ("pt45m", 45),
        ("1.333", 80),  # a third of an hour, rounded to the minute
    ],
)
def test_reads(written: str, minutes: int) -> None:
    assert parse_duration(written) == minutes


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "no duration"),
        ("two", "is not a duration"),
        ("2,5", "write `2.5`"),
        ("2,5 h", "write `2.5 h`"),
        ("-1", "negative"),
        ("\N{MINUS SIGN}1", "negative"),
        ("2h75", "75 minutes after the hours"),
        ("2:75", "75 minutes"),
        ("h", "is not a duration"),
        ("min", "is not a duration"),
        ("1e3", "is not a duration"),
        ("9" * 500, "is not a duration"),
        ("P" + "9" * 500 + "W", "is not a duration"),
        ("٣ h", "is not a duration"),
        ("2h 30s", "is not a duration"),
        ("P1Y2M", "depends on the calendar"),
        ("P2M", "depends on the calendar"),
        ("P", "is not a duration"),
        ("PT", "is not a duration"),
    ],
)
def test_refuses_in_words(written: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        parse_duration(written)


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [
        (0, "0 min"),
        (45, "45 min"),
        (60, "1 h"),
        (65, "1 h 05"),
        (150, "2 h 30"),
        (60_000, "1,000 h"),
        (-90, "\N{MINUS SIGN}1 h 30"),
    ],
)
def test_shows(minutes: int, shown: str) -> None:
    assert show_minutes(minutes) == shown


@given(st.integers(0, 59_999))
def test_what_is_shown_reads_back(minutes: int) -> None:
    assert parse_duration(show_minutes(minutes)) == minutes


@given(st.integers(0, 999), st.integers(0, 59))
def test_every_way_of_writing_agrees(hours: int, minutes: int) -> None:
    whole = hours * 60 + minutes
    ways = (
        f"{hours}h{minutes}",
        f"{hours} h {minutes} min",
        f"{hours}:{minutes:02}",
        f"{whole} min",
    )
    assert {parse_duration(way) for way in ways} == {whole}
    assert parse_duration(f"PT{hours}H{minutes}M") == whole


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(ValueError):
        assert parse_duration(text) >= 0
