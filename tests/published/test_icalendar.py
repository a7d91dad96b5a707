"""Calendar files against RFC 5545, the icalendar package, and dateutil's recurrence rules."""

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest
from click.testing import CliRunner
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st
from sites import BASE

from buildbook.cli.calendar import calendar
from buildbook.handover.calendar import calendar_of
from buildbook.ledger.ledger import derive
from buildbook.ledger.recurring import Due
from buildbook.records.book import Book
from buildbook.records.intervals import Interval, parse_interval
from buildbook.records.read import read
from buildbook.reference.shelflife import add_months

AS_OF = date(2025, 11, 15)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    folder = tmp_path_factory.mktemp("book")
    for name, text in BASE.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    return read(folder).book


def due(title: str = "Look", on: str = "2026-04-30", every: Interval | None = None) -> Due:
    return Due("recurring", "look", title, None, date.fromisoformat(on), every, "")


def events(text: str) -> list[Any]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def test_it_is_a_calendar(book: Book) -> None:
    text = calendar_of(book, [due(), due(on="2027-01-01")], AS_OF)
    read_back = icalendar.Calendar.from_ical(text)
    assert read_back["VERSION"] == "2.0"
    assert read_back["PRODID"]
    assert read_back.errors == []
    for event in events(text):
        assert event.errors == []
        assert event["UID"]
        assert event.decoded("DTSTAMP").date() == AS_OF
        assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(days=1)
    assert [e.decoded("DTSTART") for e in events(text)] == [date(2026, 4, 30), date(2027, 1, 1)]


def test_the_same_each_time_and_an_identity_each(book: Book) -> None:
    others = [due(), Due("equipment", "look", "Look", None, AS_OF, None, "")]
    text = calendar_of(book, others, AS_OF)
    assert calendar_of(book, others, AS_OF) == text
    first, second = (event["UID"] for event in events(text))
    assert first != second
    [moved] = events(calendar_of(book, [due(on="2031-01-01")], date(2026, 1, 1)))
    assert moved["UID"] == first


@given(st.text(max_size=400))
def test_any_title_comes_back(book: Book, title: str) -> None:
    """Sections 3.1 and 3.3.11: lines of 75 octets at most, commas and the like marked."""
    text = calendar_of(book, [due(title)], AS_OF)
    for line in text.split("\r\n"):
        assert len(line.encode("utf-8", "replace")) <= 75
        assert "\n" not in line
    [event] = events(text.encode("utf-8", "replace").decode())
    plain = "".join(c if c.isprintable() else " " for c in " ".join(title.split()))
    wanted = plain.encode("utf-8", "replace").decode()
    # The package takes `\\n` back into a line end even after a marked backslash.
    if "\\" not in wanted:
        assert str(event["SUMMARY"]) == wanted.strip() or str(event["SUMMARY"]) == wanted


@pytest.mark.parametrize(
    ("every", "first", "expected"),
    [
        ("12 months", "2026-04-30", ["2026-04-30", "2027-04-30", "2028-04-30"]),
        ("1 year", "2028-02-29", ["2028-02-29", "2029-02-28", "2030-02-28", "2031-02-28"]),
        ("6 months", "2025-08-31", ["2025-08-31", "2026-02-28", "2026-08-31", "2027-02-28"]),
        ("1 month", "2026-01-30", ["2026-01-30", "2026-02-28", "2026-03-30", "2026-04-30"]),
        ("90 days", "2026-01-01", ["2026-01-01", "2026-04-01", "2026-06-30"]),
        ("2 weeks", "2026-01-01", ["2026-01-01", "2026-01-15"]),
    ],
)
def test_days_that_come_round(book: Book, every: str, first: str, expected: list[str]) -> None:
    [event] = events(calendar_of(book, [due(on=first, every=parse_interval(every))], AS_OF))
    assert days_of(event, len(expected)) == list(map(date.fromisoformat, expected))


def days_of(event: Any, count: int) -> list[date]:
    start = datetime.combine(event.decoded("DTSTART"), datetime.min.time())
    rule = rrulestr(event["RRULE"].to_ical().decode(), dtstart=start)
    return [found.date() for _, found in zip(range(count), rule, strict=False)]


@given(st.dates(date(2025, 1, 1), date(2035, 12, 31)), st.integers(1, 60))
def test_months_are_counted_as_everywhere_else(book: Book, first: date, months: int) -> None:
    every = Interval(months, "month")
    [event] = events(calendar_of(book, [due(on=str(first), every=every)], AS_OF))
    later = [add_months(first, months * n) for n in range(1, 5)]
    assert days_of(event, 5) == [first, *later]


# The command.


def test_the_command(tmp_path: Path) -> None:
    files = {
        **BASE,
        "recurring.yml": "- {recurring: a, title: Look inside, every: 1 year, done: 2025-04-01}\n"
        "- {recurring: b, title: Some day, every: 1 year}\n",
        "equipment.yml": "- {equipment: beacon, title: Beacon, expires: 2031-06}\n"
        "- {equipment: gone, title: Gone, installed: 2025-01-01, removed: 2025-02-01, "
        "expires: 2031-06}\n",
        "notices.yml": "- {notice: SB-1, title: Edges, issued: 2025-02-01, every: 6 months, "
        "applies: yes, done: 2025-02-20}\n"
        "- {notice: SB-2, title: Never, issued: 2025-02-01, applies: no, why: Other serials.}\n",
    }
    for name, text in files.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    to = tmp_path / "recurring.ics"
    words = ["--to", str(to), "--content", str(tmp_path / "content")]
    done = CliRunner().invoke(calendar, words)
    assert done.exit_code == 0, done.output
    found = {str(e["SUMMARY"]): e.decoded("DTSTART") for e in events(to.read_bytes().decode())}
    assert found == {
        "SB-1: Edges": date(2025, 8, 20),
        "Look inside": date(2026, 4, 1),
        "Beacon: expires": date(2031, 6, 30),
    }
    assert "1 left out: nothing says when it is due" in done.output
    again = CliRunner().invoke(calendar, words)
    assert (again.exit_code, "--force" in again.output) == (2, True)


def test_the_command_without_anything(tmp_path: Path) -> None:
    for name, text in BASE.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    done = CliRunner().invoke(calendar, ["--content", str(tmp_path)])
    assert (done.exit_code, "recurring.yml" in done.output) == (2, True)


def test_the_demo_has_one(demo_site: Any) -> None:
    text = (demo_site.folder / "assets" / "buildbook" / "recurring.ics").read_bytes().decode()
    book = read(Path(__file__).parents[2] / "content").book
    assert len(events(text)) == sum(due.due is not None for due in derive(book).recurring)
