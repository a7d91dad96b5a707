"""Sessions from elsewhere: what a table or a note says is what the book says afterwards."""

import csv
import string
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from dateutil import parser as dateutil_parser
from fencroft import make_book, read_clean
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.incoming.datednotes import entries_of
from buildbook.incoming.movein import Plan, plan, text_of
from buildbook.incoming.sessionlist import HEADINGS, entries_in, find_columns, parse_map
from buildbook.incoming.sessionwords import SessionWords
from buildbook.incoming.table import NoTableError, read_table
from buildbook.incoming.values import DayOrder, parse_day, parse_length
from buildbook.records.durations import parse_duration
from buildbook.records.read import Reading, read
from buildbook.records.session import Session
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.notes import wrong_with

TODAY = date(2026, 6, 1)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Reading:
    return read_clean(make_book(tmp_path_factory.mktemp("book")))


def rows(reading: Reading, raw: bytes | str, *wanted: str, order: str = "unknown") -> Plan:
    table = read_table(raw if isinstance(raw, bytes) else raw.encode())
    columns = find_columns(table, parse_map(wanted))
    words = SessionWords(reading.book, DayOrder(order))
    return plan(reading, entries_in(table, columns, "log.csv"), words)


def notes(reading: Reading, files: dict[str, str], order: str = "unknown") -> Plan:
    zone, told = reading.book.zone, DayOrder(order)
    entries = [
        entry
        for name, text in files.items()
        for entry in entries_of(text.encode(), name, zone, told, {})
    ]
    return plan(reading, entries, SessionWords(reading.book, told))


def after(reading: Reading, found: Plan) -> Reading:
    """Read the book as it is once the plan is carried out."""
    texts = {b.file: text_of(b, b.file).encode() for b in found.new}
    return read(reading.book.folder, TODAY, instead=texts)


def said(found: Plan) -> list[str]:
    brought = (*found.new, *found.drafts, *found.unfit)
    return [f"{f.line}:{f.column} {f.message}" for b in brought for f in b.findings]


def only(reading: Reading, found: Plan) -> Session:
    assert not found.drafts, said(found)
    [session] = after(reading, found).book.sessions.values()
    return session


# Dates: python-dateutil is the opinion from outside.

DAYS = st.dates(date(1970, 1, 1), date(2060, 12, 31))


@given(DAYS, st.sampled_from("/.-"), st.booleans(), st.booleans())
def test_dates_of_numbers_are_read_as_dateutil_reads_them(
    book, day, mark, padded, day_first
) -> None:
    d, m = (f"{day.day:02}", f"{day.month:02}") if padded else (str(day.day), str(day.month))
    written = mark.join((d, m, str(day.year)) if day_first else (m, d, str(day.year)))
    order = DayOrder.DAY_FIRST if day_first else DayOrder.MONTH_FIRST
    outside = dateutil_parser.parse(written, dayfirst=day_first).date()
    assert parse_day(written, book.book.zone, order) == outside == day
    with pytest.raises(ValueError, match="can be read in two ways"):
        parse_day(written, book.book.zone)


@given(DAYS, st.sampled_from(["%Y-%m-%d", "%Y/%m/%d", "%d %B %Y", "%B %d, %Y", "%a %d %b %Y"]))
def test_other_dates_need_no_order(book, day, form) -> None:
    written = day.strftime(form)
    assert parse_day(written, book.book.zone) == dateutil_parser.parse(written).date() == day


@pytest.mark.parametrize(
    ("written", "year"),
    [("8/3/25", 2025), ("8/3/00", 2000), ("8/3/68", 2068), ("8/3/69", 1969), ("8/3/99", 1999)],
)
def test_two_digits_of_a_year(book, written, year) -> None:
    """POSIX.1-2017, strptime, %y: 69 to 99 are 1969 to 1999, 00 to 68 are 2000 to 2068."""
    assert parse_day(written, book.book.zone, DayOrder.DAY_FIRST) == date(year, 3, 8)


@pytest.mark.parametrize(
    "written", ["", "soon", "45724", "31/2/2025", "2025-02-30", "8 March", "8/3"]
)
def test_what_is_no_date(book, written) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_day(written, book.book.zone, DayOrder.DAY_FIRST)


# Lengths of time.


@pytest.mark.parametrize(
    ("written", "heading", "minutes"),
    [
        ("2.5", "Hours", 150),
        ("2,5", "Hours", 150),
        ("0,25", "Hours", 15),
        ("2:30", "Hours", 150),
        ("2:30:00", "Hours", 150),
        ("2h30", "Time", 150),
        ("2 h 30 min", "Time", 150),
        ("150", "Duration (min)", 150),
        ("150", "Minutes", 150),
        ("150 min", "Hours", 150),
        ("3", "", 180),
    ],
)
def test_lengths_of_time(written, heading, minutes) -> None:
    fields = parse_length(written, heading)
    assert parse_duration(str(fields["hours"])) == minutes


def test_a_length_may_be_two_times() -> None:
    assert parse_length("19:30-22:00", "Time") == {"from": "19:30", "to": "22:00"}


@pytest.mark.parametrize("written", ["a while", "2.20", "2:75", "-1", "2:30:15", "0x10"])
def test_what_is_no_length_of_time(written) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_length(written, "Hours")


# Whole tables: what is written in is read out.


@dataclass(frozen=True)
class Evening:
    """What a builder's table says of one session."""

    day: date
    step: str
    step_words: str
    hours: str
    minutes: int
    who: tuple[str, ...]
    who_words: str
    text: str
    weather: str


STEPS = {
    "fin/skeleton": (
        "fin/skeleton",
        "Fin Skeleton",
        "FIN / SKELETON",
        " skeleton ",
        "Fin: skeleton",
    ),
    "fin/close": ("fin/close", "Skins on", "skins  ON", "Fin - Skins on"),
    "rudder/spar": ("rudder/spar", "Rudder / Spar", "spar"),
}
PEOPLE = {
    "ada": ("ada", "Ada Fen", "ADA"),
    "ben": ("Ben Fen", "ben"),
    "ines": ("ines", "Ines Marsh"),
}
LETTERS = string.ascii_letters + " .,;:!?'\"()-#*&%@éüñß\n"
TEXT = st.text(LETTERS, min_size=1, max_size=60).filter(lambda t: t.strip())


@st.composite
def evenings(draw: st.DrawFn) -> list[Evening]:
    days = draw(
        st.lists(st.dates(date(2001, 1, 1), date(2026, 5, 1)), min_size=1, max_size=6, unique=True)
    )
    found = []
    for day in days:
        step = draw(st.sampled_from(sorted(STEPS)))
        minutes = draw(st.integers(1, 600))
        clock = f"{minutes // 60}:{minutes % 60:02}"
        written = [clock, f"{clock}:00", f"{minutes} min", f"{minutes // 60}h{minutes % 60:02}"]
        if minutes % 30 == 0:
            written += [f"{minutes / 60:.1f}", f"{minutes / 60:.1f}".replace(".", ",")]
        who = draw(st.lists(st.sampled_from(sorted(PEOPLE)), max_size=3, unique=True))
        named = [draw(st.sampled_from(PEOPLE[one])) for one in who]
        found.append(
            Evening(
                day,
                step,
                draw(st.sampled_from(STEPS[step])),
                draw(st.sampled_from(written)),
                minutes,
                tuple(who),
                draw(st.sampled_from([", ", " & ", " and ", "; ", "\n"])).join(named),
                draw(TEXT),
                draw(st.one_of(st.just(""), TEXT)),
            )
        )
    return found


def table_of(some: Iterable[Evening], form: str, separator: str, encoding: str) -> bytes:
    text = StringIO(newline="")
    writer = csv.writer(text, delimiter=separator)
    writer.writerow(["Date", "Step", "HOURS ", "Who", "Work  done", "Weather"])
    for e in some:
        writer.writerow(
            [e.day.strftime(form), e.step_words, e.hours, e.who_words, e.text, e.weather]
        )
    return text.getvalue().encode(encoding)


def plain(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


@settings(max_examples=60)
@given(
    evenings(),
    st.sampled_from(["%Y-%m-%d", "%d.%m.%Y", "%m/%d/%Y"]),
    st.sampled_from(",;\t"),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
)
def test_what_rows_said_is_what_the_book_says(book, some, form, separator, encoding) -> None:
    order = {"%d.%m.%Y": "day-first", "%m/%d/%Y": "month-first"}.get(form, "unknown")
    raw = table_of(some, form, separator, encoding)
    found = rows(book, raw, order=order)
    assert said(found) == []
    done = after(book, found)
    assert not done.problems
    by_day = {session.date: session for session in done.book.sessions.values()}
    assert len(by_day) == len(done.book.sessions) == len(some)
    for evening in some:
        session = by_day[evening.day]
        assert (session.step, session.hours, session.who) == (
            evening.step,
            evening.minutes,
            evening.who,
        )
        text = plain(session.notes or "")
        assert text.startswith(plain(evening.text))
        words = text.removeprefix(plain(evening.text)).split()
        assert words == (f"- Weather: {evening.weather}".split() if evening.weather.strip() else [])


RFC_4180 = (
    # Section 2, rules 5 to 7: quoted fields, line breaks in them, quotation marks doubled; rule 2:
    # the last line may lack its end.
    "date,step,hours,notes\r\n"
    '"2025-03-08","fin/skeleton","2","He said ""flush"", and\r\nwent, home"\r\n'
    '2025-03-09,fin/close,1,"a,b"'
)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
def test_quoting_of_rfc_4180(book, separator, encoding) -> None:
    raw = RFC_4180.replace(",", "\0", 3).replace(",", separator).replace("\0", separator)
    inside = separator.strip() or "\t"
    done = after(book, rows(book, raw.encode(encoding)))
    first, second = done.book.sessions.values()
    assert first.notes.split() == f'He said "flush"{separator} and went{separator} home'.split()
    assert first.notes.count("\n") == 2
    assert second.notes == f"a{inside}b"


# How columns are found.


@pytest.mark.parametrize("field", [f for f in HEADINGS if f != "date"])
def test_each_heading_stands_for_its_field(field) -> None:
    for word in HEADINGS[field]:
        heading = f"  {word.upper().replace(' ', '  ')} "
        table = read_table(f"DATE,{heading},x\n2025-03-08,1,2\n".encode())
        assert find_columns(table, {}).fields == ("date", field, None)


def test_headings_may_stand_below_others(book) -> None:
    found = rows(book, "The log of F-1\n\nDate,Step,Hours\n2025-03-08,fin/close,1\n")
    assert only(book, found).step == "fin/close"


def test_a_column_may_be_left_out_or_named(book) -> None:
    text = "Datum;Schritt;Std;Bemerkung;Summe\n2025-03-08;fin/close;1,5;Genietet;9\n"
    maps = ("Datum=date", "schritt = Step", "Std=hours", "bemerkung=notes", "Summe=")
    session = only(book, rows(book, text, *maps))
    assert (session.hours, session.notes) == (90, "Genietet")


@pytest.mark.parametrize(
    ("maps", "told"),
    [
        (("Datum",), "write the heading and the field"),
        (("=date",), "write the heading and the field"),
        (("Datum=dat",), "there is no field `dat`; did you mean `date`?"),
        (("Tag=date",), "no column is headed `Tag`"),
        (("Datum=date", "Std=date"), "two columns are to be the `date`"),
        ((), "no column holds the date"),
    ],
)
def test_a_map_that_is_wrong(book, maps, told) -> None:
    with pytest.raises(NoTableError, match=told):
        rows(book, "Datum;Std\n2025-03-08;1\n", *maps)


# What is not understood is told where it stands, and kept.

HEAD = "Date,Section,Step,Hours,Who,Parts,Photos,From,To,Break,Notes\n"


@pytest.mark.parametrize(
    ("row", "told", "kept"),
    [
        ("2025-03-08,,fin/close,1,Zoe,,,,,,x", "2:25 who: there is no person `Zoe`", "- Who: Zoe"),
        ("2025-03-08,,fin/close,1,,FN-1,,,,,x", "there is no part `FN-1`; did you mean", "FN-1"),
        ("2025-03-08,,fin/close,1,,RD-01,,,,,x", "RD-01 is no part of fin/close", "- Parts: RD-01"),
        ("2025-03-08,,fin/close,1,,,a.jpg,,,,x", "there is no picture `a.jpg`", "- Photos: a.jpg"),
        ("2025-03-08,,fin/close,1,,,,19:30,,,x", "from: there is no `to`", "- From: 19:30"),
        ("2025-03-08,,fin/close,1,,,,25:00,26:00,,x", "`25:00` is not a time of day", "26:00"),
        ("2025-03-08,,fin/close,1,,,,,,15 min,x", "break: there is no `from`", "- Break: 15 min"),
        (
            "2025-03-08,,fin/close,1,,,,19:00,22:00,,x",
            "hours: from 19:00 to 22:00 is 3 h",
            "- Hours: 1",
        ),
        ("2025-03-08,,fin/close,0,,,,19:00,22:00,,x", "no time at all is given", "- Hours: 0"),
    ],
)
def test_a_cell_not_understood_stays_in_the_notes(book, row, told, kept) -> None:
    found = rows(book, HEAD + row + "\n")
    assert any(told in one for one in said(found)), said(found)
    session = only(book, found)
    assert session.step == "fin/close"
    assert session.notes.startswith("x\n\n- ")
    assert kept in session.notes
    assert not after(book, found).errors


@pytest.mark.parametrize(
    ("row", "told", "kept"),
    [
        ("8.3.2025,,fin/close,1,,,,,,,x", "2:1 `8.3.2025` can be read in two ways", "8.3.2025"),
        ("soon,,fin/close,1,,,,,,,x", "`soon` is not a date", "- Date: soon"),
        (",,fin/close,1,,,,,,,x", "it does not say its date", "x"),
        ("2025-03-08,Wing,Ribs,1,,,,,,,x", "there is no step `Wing / Ribs`", "- Section: Wing"),
        ("2025-03-08,Fin,,1,,,,,,,x", "may be fin/skeleton, fin/close", "- Section: Fin"),
        ("2025-03-08,,,1,,,,,,,x", "it does not say its step", "x"),
        ("2025-03-08,,fin/close,,,,,,,,x", "it does not say its hours", "x"),
        (
            "2025-03-08,,fin/close,a while,,,,,,,x",
            "`a while` is not a duration",
            "- Hours: a while",
        ),
        ("2025-03-08,,fin/close,99,,,,,,,x", "do not fit into one day", "- Hours: 99"),
        ("2199-03-08,,fin/close,1,,,,,,,x", "is still to come", "x"),
        ("2025-03-08,,fin/close,1,,,,,,,see lesson 77", "there is no lesson 77", "see lesson 77"),
        (",,,,,,,,,,x", "it does not say its date, step and hours", "x"),
    ],
)
def test_a_row_that_is_no_session_becomes_a_draft(book, row, told, kept) -> None:
    found = rows(book, HEAD + row + "\n")
    assert any(told in one for one in said(found)), said(found)
    assert found.new == []
    assert kept in text_of(found.drafts[0], "sessions/draft.yml")


def test_hidden_characters_are_told(book) -> None:
    found = rows(book, HEAD + "2025-03-08,,fin/close,1,,,,,,,a\x07b\n")
    assert "U+0007" in said(found)[0]
    assert (found.new, found.drafts, len(found.unfit)) == ([], [], 1)


def test_the_place_is_that_of_the_cell(book) -> None:
    """Rows before it have several lines, and the words stand in it twice."""
    text = 'Date,Notes,Step,Hours,Who\n2025-03-08,"a\nb\nc",fin/close,1,\n'
    text += '2025-03-09,"Zoe\ncame",fin/close,1,Zoe\n'
    assert said(rows(book, text)) == [
        "6:19 who: there is no person `Zoe`; it stays in the notes",
    ]


# The same thing twice.


def test_the_same_row_twice_is_one_session(book) -> None:
    text = "Date,Step,Hours\n2025-03-08,fin/close,1\n2025-03-08, fin/close ,1\n"
    text += "2025-03-08,fin/close,2\n"
    found = rows(book, text)
    assert [b.entry.line for b in found.new] == [2, 4]
    [(second, first)] = found.twice
    assert (second.line, first.line) == (3, 2)
    sessions = after(book, found).book.sessions
    assert list(sessions) == ["2025-03-08", "2025-03-08-skins-on"]


def test_a_session_written_by_hand_is_recognised(tmp_path) -> None:
    hand = "date: 2025-03-08\ntitle: Evening\nstep: fin/close\nhours: 1\nnotes: Riveted.\n"
    reading = read_clean(make_book(tmp_path, {"sessions/a.yml": hand}))
    text = (
        "Date,Step,Hours,Notes\n2025-03-08,fin/close,1,Riveted.\n2025-03-08,fin/close,1,Primed.\n"
    )
    found = rows(reading, text)
    assert [(entry.line, Path(file).name) for entry, file in found.known] == [(2, "a.yml")]
    assert [b.file for b in found.new] == ["sessions/2025-03-08.yml"]
    assert not after(reading, found).errors


def test_many_of_one_day_get_numbers(book) -> None:
    text = "Date,Title,Step,Hours\n" + "".join(
        f"2025-03-08,{'Very long title ' * 6},fin/close,0:{n:02}\n" for n in range(1, 15)
    )
    found = rows(book, text)
    done = after(book, found)
    assert len(done.book.sessions) == 14
    assert not done.errors
    assert len({b.file.casefold() for b in found.new}) == 14


def test_a_folder_for_each_year_is_kept_to(tmp_path) -> None:
    there = {"sessions/2024/a.yml": "date: 2024-03-08\nstep: fin/close\nhours: 1\n"}
    reading = read_clean(make_book(tmp_path, there))
    found = rows(reading, "Date,Step,Hours\n2025-03-08,fin/close,1\n")
    assert [b.file for b in found.new] == ["sessions/2025/2025-03-08.yml"]


def test_hours_that_make_another_session_wrong_are_not_written(tmp_path) -> None:
    there = {"sessions/a.yml": "date: 2025-03-08\nstep: fin/close\nfrom: 20:00\nto: 22:00\n"}
    reading = read_clean(make_book(tmp_path, there))
    found = rows(reading, "Date,Step,From,To\n2025-03-08,fin/close,19:00,21:00\n")
    assert found.new == []
    assert "already at work then" in said(found)[0]


# Dated notes.

SKELETON = """\
---
hours: 2.5
who: [Ada, Ben Fen]
mood: good
---
# Nose ribs

Deburred FN-01.

next: drill it
"""


def test_a_note_with_a_head(book) -> None:
    session = only(book, notes(book, {"2025-03-08 fin skeleton.md": SKELETON}))
    assert (session.date, session.step, session.hours) == (date(2025, 3, 8), "fin/skeleton", 150)
    assert (session.who, session.title, session.parts) == (("ada", "ben"), "Nose ribs", ("FN-01",))
    assert session.notes == "Deburred FN-01.\n\n- mood: good\n"
    assert session.next == "drill it"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("2025-03-08.md", "fin/close 1h30 Riveted.\n"),
        ("20250308_evening.md", "fin/close 1h30\nRiveted.\n"),
        ("2025_03_08 skins on.txt", "1h30 Riveted."),
        ("evening.md", "2025-03-08 fin/close 1h30: Riveted."),
        ("evening.md", "# Sat 8 March 2025\nfin/close, 1h30\n\nRiveted.\n"),
        (
            "evening.md",
            "\ufeff---\r\ndate: 2025-03-08\r\nstep: Skins on\r\nhours: 1:30\r\n---\r\nRiveted.\r\n",
        ),
        ("2025-03-08.md", "---\ndate: 2025-03-08\n---\n2025-03-08 fin/close 1h30\nRiveted.\n"),
        ("8.3.2025 skins on.md", "1h30 Riveted."),
        ("evening.md", "8.3.2025 fin/close 1h30\nRiveted."),
    ],
)
def test_where_a_note_says_its_day(book, name, text) -> None:
    session = only(book, notes(book, {name: text}, "day-first"))
    assert (session.date, session.step, session.hours) == (date(2025, 3, 8), "fin/close", 90)
    assert "Riveted." in session.notes


def test_several_notes_in_one_file(book) -> None:
    text = (
        "Bought rivets.\n\n2025-03-08 fin/close 1h\nPrimed.\n\n9 March 2025 rudder/spar 2h Cut.\n"
    )
    found = notes(book, {"diary.md": text})
    assert [b.entry.line for b in found.new] == [3, 6]
    assert [b.fields["notes"] for b in found.drafts] == ["Bought rivets."]


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("2025-03-08.md", "---\ndate: 2025-03-09\nhours: 1\n---\nfin/close", "do not agree"),
        ("a.md", "7/4/2025 fin/close 1h x", "can be read in two ways"),
        ("a.md", "no date in it, fin/close 1h", "it does not say its date"),
        ("a.md", "---\nbad: [\n---\n", "cannot be read"),
        ("2025-03-08.md", "---\nwho: zoe\n---\nfin/close 1h", "there is no person `zoe`"),
        ("2025-03-08.md", "fin/close 1h saw FN-99", "looks like a part number"),
    ],
)
def test_notes_not_understood_are_told(book, name, text, told) -> None:
    assert any(told in one for one in said(notes(book, {name: text})))


words = st.lists(
    st.sampled_from(
        [
            *("2025-03-08", "8/3/2025", "fin/skeleton", "fin/close", "2h30", "19:30 to 22:00"),
            *(
                "FN-01",
                "FN-02-L-03",
                "drill",
                "with ben",
                "lesson 1",
                "lesson 9",
                "next: x",
                "hours: 2",
            ),
            *("who: zoe", "Weather:", "cold", "# head", "- dash", "---", "\n", "\n\n", "\n---\n"),
        ]
    ),
    max_size=14,
).map(" ".join)


@settings(max_examples=150)
@given(st.sampled_from(["2025-03-08 fin close", "2025-03-08", "evening"]), words)
def test_no_word_of_a_note_is_lost(book, name, text) -> None:
    found = notes(book, {f"{name}.md": text})
    assert not after(book, found).errors
    kept = " ".join(text_of(b, "sessions/x.yml") for b in (*found.new, *found.drafts))
    for word in text.replace(":", " ").split():
        if word.strip("#*-") and word not in ("to", "with", "next", "who", "hours"):
            there = word in kept or wrong_with("date", word, book.book) == ""
            assert there, (text, kept)


CELLS = st.sampled_from(
    [
        *(
            "",
            "2025-03-08",
            "2025-03-09",
            "8/3/2025",
            "9999-01-01",
            "fin/skeleton",
            "Skins on",
            "Fin",
        ),
        *("1", "2,5", "2:30", "25:00", "19:30", "22:00", "0", "99", "-1", "a while", "15 min"),
        *("ada", "Ben Fen & ines", "Zoe", "FN-01", "FN-01, RD-01", "FN-02-L", "FN-99", "01 to 03"),
        *(
            "drill",
            "Deburr",
            "weld",
            "a.jpg",
            "lesson 1",
            "lesson 9",
            "squawk 2",
            "17 °C, 55 %",
            "yes",
        ),
        *(
            "[x](part:FN-77)",
            "a: b\nc: d",
            "- x\n- y",
            "#x",
            "```\nopen",
            "\t",
            "' \"",
            "{a: b}",
            "x",
        ),
    ]
)


@settings(max_examples=150)
@given(st.lists(st.lists(CELLS, min_size=19, max_size=19), min_size=1, max_size=5), st.booleans())
def test_whatever_a_table_says_the_book_takes_it_and_no_word_is_lost(book, some, day_first) -> None:
    text = StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(HEADINGS)
    writer.writerows([["2025-03-08", *row[1:]] if day_first else row for row in some])
    found = rows(book, text.getvalue(), order="day-first" if day_first else "unknown")
    assert not after(book, found).errors
    assert not found.unfit
    brought = [*found.new, *found.drafts]
    assert len(brought) + len(found.twice) == len(
        [row for row in some if day_first or any(cell.strip() for cell in row)]
    )
    for one in brought:
        written = text_of(one, "sessions/x.yml")
        data = read_yaml("x.yml", written.encode())
        assert not data.problems
        kept = str(data.data).replace("\\n", "\n")
        for cell in one.entry.cells:
            names = {
                "8/3/2025": "2025-03-08", "Skins on": "fin/close", "Fin": "fin/", "2,5": "2.5",
                "Ben Fen & ines": "ben", "Deburr": "deburr",
            }  # fmt: skip
            for line in cell.words.splitlines():
                shown = (line.strip(), names.get(line, line), line.replace("'", "\\'"))
                assert any(words in kept or words in written for words in shown), (cell, written)


def test_a_long_table_is_read_once(book, monkeypatch) -> None:
    """However many rows there are, the book is read as often as for one."""
    counts = []

    def counting(*words, **options):
        counts.append(len(options["instead"]))
        return read(*words, **options)

    monkeypatch.setattr("buildbook.incoming.movein.read", counting)
    for many in (1, 60):
        text = "Date,Step,Hours\n" + "".join(
            f"2025-0{n // 28 + 1}-{n % 28 + 1:02},fin/close,1\n" for n in range(many)
        )
        assert len(rows(book, text).new) == many
    assert counts == [1, 60]
