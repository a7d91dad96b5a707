"""Time cards: moments in UTC, times on the wall, pauses, and clocks that were forgotten.

The changes of the clocks are those of the IANA database, Europe/Copenhagen: on 2025-03-30 from
2:00 to 3:00, on 2025-10-26 from 3:00 back to 2:00 (the last Sundays of March and October at 1:00
UTC, by Directive 2000/84/EC, from memory).
"""

from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from fencroft import make_book, read_clean
from hypothesis import given
from hypothesis import strategies as st

from buildbook.ledger.time import work_minutes
from buildbook.records.clock import span
from buildbook.records.session import Session
from buildbook.writing.draft import draft
from buildbook.writing.timecard import (
    ClockError,
    TimeCard,
    TimeCards,
    digest,
    is_forgotten,
    last_moment,
    moment,
    session_fields,
    was_saved,
)

ZONE = ZoneInfo("Europe/Copenhagen")


def at(text: str) -> datetime:
    """The moment of a local time."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE).astimezone(UTC)


def card(began: str = "2025-03-08 19:30", **more: object) -> TimeCard:
    return TimeCard(("ada",), "fin/skeleton", at(began), **more)  # type: ignore[arg-type]


def fields(one: TimeCard, ended: datetime) -> dict:
    return session_fields(one, ended, ZONE, "ada")


def test_a_session_with_a_pause() -> None:
    one = card().pause(at("2025-03-08 20:00")).resume(at("2025-03-08 20:15"))
    assert one.worked(at("2025-03-08 22:00")) == timedelta(hours=2, minutes=15)
    assert fields(one, at("2025-03-08 22:00")) == {
        "date": "2025-03-08",
        "step": "fin/skeleton",
        "from": "19:30",
        "to": "22:00",
        "break": "15 min",
    }


def test_others_than_the_builder_are_named() -> None:
    one = TimeCard(("ada", "ben"), "fin/skeleton", at("2025-03-08 19:30"), "drill")
    made = fields(one, at("2025-03-08 20:30"))
    assert made["who"] == ["ada", "ben"]
    assert made["operation"] == "drill"
    assert "who" not in fields(card(), at("2025-03-08 20:30"))


def test_a_clock_that_is_paused_ended_then() -> None:
    one = card().pause(at("2025-03-08 21:00"))
    later = at("2025-03-10 08:00")
    assert one.end(later) == at("2025-03-08 21:00")
    assert not is_forgotten(one, later, ZONE)
    assert fields(one, one.end(later))["to"] == "21:00"


@pytest.mark.parametrize(
    ("began", "now", "forgotten"),
    [
        ("2025-03-08 08:00", "2025-03-08 17:59", False),
        ("2025-03-08 08:00", "2025-03-08 18:01", True),
        ("2025-03-08 22:00", "2025-03-08 23:59", False),
        ("2025-03-08 22:00", "2025-03-09 00:01", True),
    ],
)
def test_ten_hours_or_midnight(began: str, now: str, forgotten: bool) -> None:
    assert is_forgotten(card(began), at(now), ZONE) is forgotten


def test_midnight_is_that_of_the_workshop() -> None:
    assert is_forgotten(card("2025-03-08 23:30"), at("2025-03-09 00:30"), ZONE)
    assert not is_forgotten(card("2025-03-08 23:30"), at("2025-03-09 00:30"), ZoneInfo("UTC"))


@pytest.mark.parametrize(
    ("began", "ended", "start", "end", "minutes"),
    [
        # the night in which an hour is left out
        ("2025-03-30 01:30", "2025-03-30 03:30", "01:30", "03:30", 60),
        # the night in which an hour comes twice: in it, times alone would not say which is meant
        ("2025-10-26 01:30", "2025-10-26 03:30", "01:30", "03:30", 180),
        ("2025-10-25 23:30", "2025-10-26 00:30", "23:30", "00:30", 60),
    ],
)
def test_clock_changes(began: str, ended: str, start: str, end: str, minutes: int) -> None:
    made = fields(card(began), at(ended))
    assert (made["from"], made["to"]) == (start, end)
    assert (at(ended) - at(began)).total_seconds() == minutes * 60


@pytest.mark.parametrize(
    ("began", "ended", "start", "end"),
    [
        # 0:30 UTC is 2:30 in summer time, 1:30 UTC is 2:30 again
        ("2025-10-26T00:30+00:00", "2025-10-26T00:50+00:00", "02:30", "02:50"),
        ("2025-10-26T00:30+00:00", "2025-10-26T01:30+00:00", "02:30", "02:30"),
        ("2025-10-26T01:10+00:00", "2025-10-26T01:50+00:00", "02:10+01:00", "02:50+01:00"),
        ("2025-10-26T00:10+00:00", "2025-10-26T01:50+00:00", "02:10+02:00", "02:50+01:00"),
    ],
)
def test_the_hour_that_comes_twice(began: str, ended: str, start: str, end: str) -> None:
    one = TimeCard(("ada",), "fin/skeleton", datetime.fromisoformat(began))
    made = fields(one, datetime.fromisoformat(ended))
    assert (made["from"], made["to"]) == (start, end)


moments = st.one_of(
    st.integers(1_704_067_200, 1_798_675_200),  # 2024 to 2026
    st.integers(1_761_422_400, 1_761_458_400),  # around the end of summer time in Europe, 2025
).map(lambda seconds: datetime.fromtimestamp(seconds, UTC))


@given(
    moments,
    st.integers(60, 23 * 3600),
    st.integers(0, 3600),
    st.sampled_from(
        ["Europe/Copenhagen", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu"]
    ),
)
def test_the_session_says_the_time_that_passed(
    start: datetime, seconds: int, off: int, name: str
) -> None:
    """To the minute, whatever the clocks did meanwhile."""
    zone = ZoneInfo(name)
    end = start + timedelta(seconds=seconds)
    one = TimeCard(("ada",), "fin/skeleton", start)
    if off and off < seconds:
        one = one.pause(start).resume(start + timedelta(seconds=off))
    try:
        made = session_fields(one, end, zone, "ada")
    except ClockError:
        assert one.worked(end) < timedelta(minutes=2)
        return
    session = Session.model_validate(made)
    assert session.start is not None
    assert session.end is not None
    first, last = span(session.date, session.start, session.end, zone)
    assert (first, last) == tuple(m.replace(second=0, microsecond=0) for m in (start, end))
    worked = (last - first).total_seconds() / 60 - session.pause
    assert abs(worked - one.worked(end).total_seconds() / 60) <= 1.5


def test_the_session_passes_the_check_with_the_same_minutes(tmp_path: Path) -> None:
    reading = read_clean(make_book(tmp_path))
    one = card("2025-10-26 00:30").pause(at("2025-10-26 01:00")).resume(at("2025-10-26 01:10"))
    trial = draft(reading, fields(one, at("2025-10-26 04:00")))
    assert trial.new == ()
    (session,) = trial.after.book.sessions.values()
    assert work_minutes(trial.after.book, session) == [4 * 60 + 30 - 10]


def test_less_than_a_minute_is_no_session() -> None:
    with pytest.raises(ClockError, match="less than a minute"):
        fields(card(), at("2025-03-08 19:30") + timedelta(seconds=50))
    paused = card().pause(at("2025-03-08 19:30")).resume(at("2025-03-08 20:00"))
    with pytest.raises(ClockError, match="less than a minute"):
        fields(paused, at("2025-03-08 20:00"))


def test_what_a_clock_cannot_do() -> None:
    paused = card().pause(at("2025-03-08 20:00"))
    with pytest.raises(ClockError, match="paused already"):
        paused.pause(at("2025-03-08 20:10"))
    with pytest.raises(ClockError, match="not paused"):
        card().resume(at("2025-03-08 20:10"))
    for act in (card().pause, paused.resume, card().end):
        with pytest.raises(ClockError, match="stands before"):
            act(at("2025-03-08 19:00"))


def test_times_that_are_told() -> None:
    after, now = at("2025-03-08 19:30"), at("2025-03-09 08:00")
    assert moment("21:40", ZONE, after=after, now=now) == at("2025-03-08 21:40")
    assert moment("0:15", ZONE, after=after, now=now) == at("2025-03-09 00:15")
    assert last_moment("19:30", ZONE, now) == at("2025-03-08 19:30")
    assert last_moment("7:45 am", ZONE, now) == at("2025-03-09 07:45")
    for words, said in (("09:00", "has not been 09:00"), ("noon", "not a time of day")):
        with pytest.raises(ClockError, match=said):
            moment(words, ZONE, after=after, now=now)


def test_a_time_the_clocks_skipped() -> None:
    with pytest.raises(ClockError, match="did not exist"):
        moment("2:30", ZONE, after=at("2025-03-30 00:30"), now=at("2025-03-30 08:00"))
    later = moment("2:30", ZONE, after=at("2025-03-30 12:00"), now=at("2025-03-31 08:00"))
    assert later == at("2025-03-31 02:30")


def test_cards_are_kept_to_the_microsecond(tmp_path: Path) -> None:
    cards = TimeCards(tmp_path / ".buildbook")
    assert cards.read() == ()
    one = card().pause(at("2025-03-08 20:00") + timedelta(microseconds=7))
    other = TimeCard(("ben", "ines"), "fin/close", at("2025-03-08 20:00"), "drill")
    with cards.changing() as running:
        running += [one, other]
    assert cards.read() == (one, other)
    with suppress(ZeroDivisionError), cards.changing() as running:
        running.clear()
        raise ZeroDivisionError
    assert cards.read() == (one, other)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"form": 2, "running": []}',
        '{"form": 1}',
        '{"form": 1, "running": [{}]}',
        (
            '{"form": 1, "running": [{"who": ["a"], "step": "s", "pauses": [], '
            '"began": "2025-03-08T19:30"}]}'
        ),
    ],
)
def test_a_damaged_file_is_told_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "clock.json"
    path.write_text(text)
    with (
        pytest.raises(ClockError, match=r"damaged|another version"),
        TimeCards(tmp_path).changing(),
    ):
        pass
    assert path.read_text() == text


def test_a_session_that_was_saved_is_known_again(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_bytes(b"x")
    saved = card(saved_as="a.yml", digest=digest(b"x"))
    assert was_saved(saved, tmp_path)
    assert not was_saved(card(), tmp_path)
    assert not was_saved(card(saved_as="a.yml", digest=digest(b"y")), tmp_path)
    assert not was_saved(card(saved_as="b.yml", digest=digest(b"x")), tmp_path)
