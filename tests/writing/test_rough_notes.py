"""Rough notes: what is recognised is so by exact identity, and nothing that is written is lost."""

from datetime import date
from pathlib import Path

import pytest
from fencroft import make_book, read_clean
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.book import Book
from buildbook.writing.draft import draft
from buildbook.writing.notes import Noted, read_line, read_notes, time_fields
from buildbook.writing.yamltext import CannotWriteError

DAY = date(2025, 3, 8)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return read_clean(make_book(tmp_path_factory.mktemp("book"))).book


def line(text: str, book: Book) -> Noted:
    return read_line(text, book, DAY)


def test_the_line_of_the_first_page(book: Book) -> None:
    note = line("fin/skeleton 2h30 match-drilled the hinge brackets", book)
    assert note.fields == {
        "date": "2025-03-08",
        "step": "fin/skeleton",
        "hours": "2h30",
        "notes": "match-drilled the hinge brackets",
    }
    assert note.said == []


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        (
            "2h30 fin/skeleton drilled",
            {"hours": "2h30", "step": "fin/skeleton", "notes": "drilled"},
        ),
        ("2025-03-01 fin/skeleton 45 min x", {"date": "2025-03-01", "hours": "45 min"}),
        ("fin/skeleton, 2 h 30 min: ribs", {"hours": "2 h 30 min", "notes": "ribs"}),
        ("fin/skeleton 2.5 hours ribs", {"hours": "2.5 hours"}),
        ("fin/skeleton PT2H30M ribs", {"hours": "PT2H30M"}),
        ("fin/skeleton 19:30-22:00 ribs", {"from": "19:30", "to": "22:00", "notes": "ribs"}),
        ("fin/skeleton from 7:30 pm to 10 pm ribs", {"notes": "from 7:30 pm to 10 pm ribs"}),
        (
            "fin/skeleton 19:30 to 22:00, break 15 min, with ben: ribs",
            {"from": "19:30", "to": "22:00", "break": "15 min", "who": ["ada", "ben"]},
        ),
        ("fin/skeleton 2h with ben & ines", {"who": ["ada", "ben", "ines"]}),
        ("fin/skeleton drill 2h ribs", {"operation": "drill", "notes": "ribs"}),
        ("fin/skeleton 2h drill ribs", {"operation": "drill", "notes": "drill ribs"}),
        ("fin/skeleton 2h drilled ribs", {"notes": "drilled ribs"}),
        ("fin/skeleton 2h looked at FN-01", {"parts": "FN-01"}),
        ("fin/skeleton 2h drill FN-02-L 01 to 03", {"parts": "FN-02-L", "pieces": "01 to 03"}),
        ("fin/skeleton 2h drill FN-02-L-05", {"parts": "FN-02-L", "pieces": "05"}),
        ("fin/skeleton 2h drill FN-02-L-02 to 04", {"pieces": "02 to 04"}),
        (
            "fin/skeleton 2h drill FN-02-L 01 to 02 and FN-02-L-05, then FN-01",
            {"parts": ["FN-02-L", "FN-01"], "pieces": {"FN-02-L": ["01 to 02", "05"]}},
        ),
        ("2h on fin/close", {"step": "fin/close", "notes": "on fin/close"}),
    ],
)
def test_what_is_recognised(book: Book, text: str, fields: dict) -> None:
    note = line(text, book)
    assert {name: note.fields.get(name) for name in fields} == fields


@pytest.mark.parametrize(
    ("text", "missing", "said"),
    [
        (
            "fin/skeletn 2h ribs",
            "step",
            "there is no step `fin/skeletn`; did you mean `fin/skeleton`",
        ),
        ("fin skeleton 2h ribs", "step", "no step was found"),
        ("Fin/Skeleton 2h ribs", "step", "no step was found"),
        ("fin/skeleton or fin/close 2h", "hours", "`2h` stands in a sentence"),
        ("we did fin/skeleton and fin/close", "step", "several steps are named"),
        ("fin/skeleton ribs, waited 20 min", "hours", "`20 min` stands in a sentence"),
        ("fin/skeleton 2,5 h ribs", "hours", "has a comma"),
        ("fin/skeleton 2 ribs", "hours", "no hours were found"),
        ("fin/skeleton 9:30 ribs", "hours", "`9:30` stands in a sentence, and may be anything"),
        ("8/3/2025 fin/skeleton 2h ribs", "date", "can be read in two ways"),
        ("fin/skeleton 2h fn-01 ribs", "parts", ""),
        ("fin/skeleton 2h FN-99 ribs", "parts", "there is no such part"),
        ("fin/skeleton 2h RD-01 compared", "parts", "RD-01 is no part of this step"),
        (
            "fin/skeleton 2h FN-02-L 01 to 03 ribs",
            "pieces",
            "not counted as done, as no operation is",
        ),
        ("fin/skeleton 2h drill FN-02-L 05 to 09", "pieces", "has no piece `07`"),
        ("fin/skeleton 2h with zoe ribs", "who", ""),
    ],
)
def test_what_is_not_recognised_is_said_and_kept(
    book: Book, text: str, missing: str, said: str
) -> None:
    note = line(text, book)
    assert missing not in note.fields
    assert said in "\n".join(note.said)


NOTES = """\
Sat 8 March 2025
fin/skeleton
19:30 to 22:15
break 15 min

Deburred FN-01. It took longer than I thought,
and the file is blunt.

  - buy files

next: drill FN-01
who: ada and ben
operation: deburr

2025-03-09 rudder/spar 1h30 Looked at the plans.
Weather: cold.
"""


def test_dated_notes_become_drafts(book: Book) -> None:
    first, second = read_notes(NOTES, book)
    assert first.fields == {
        "date": "2025-03-08",
        "step": "fin/skeleton",
        "operation": "deburr",
        "parts": "FN-01",
        "who": "ada and ben",
        "from": "19:30",
        "to": "22:15",
        "break": "15 min",
        "notes": "Deburred FN-01. It took longer than I thought,\nand the file is blunt.\n\n"
        "  - buy files\n",
        "next": "drill FN-01",
    }
    assert first.said == []
    assert second.fields == {
        "date": "2025-03-09",
        "step": "rudder/spar",
        "hours": "1h30",
        "notes": "Looked at the plans.\nWeather: cold.\n",
    }


def test_what_is_made_of_notes_passes_the_check(tmp_path: Path) -> None:
    reading = read_clean(make_book(tmp_path))
    others: dict[str, bytes] = {}
    for note in read_notes(NOTES, reading.book):
        trial = draft(reading, note.fields, others)
        assert trial.new == ()
        others[trial.file] = trial.raw
        reading = trial.after
    assert list(reading.book.sessions) == ["2025-03-08", "2025-03-09"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("step: fin/skeletn", "there is no `fin/skeletn`; did you mean `fin/skeleton`?"),
        ("who: zoe", "there is no `zoe`"),
        ("parts: FN-99", "there is no `FN-99`"),
        ("hours: a while", "`a while` is not a duration"),
        ("air: damp", "is not a temperature with a humidity"),
        ("to: noon", "`noon` is not a time of day"),
    ],
)
def test_a_named_field_that_is_wrong_stays_in_the_notes(book: Book, given: str, said: str) -> None:
    (note,) = read_notes(f"2025-03-08\nDrilled.\n{given}\n", book)
    assert note.fields["notes"] == f"Drilled.\n{given}\n"
    assert any(given in s and said in s for s in note.said)


def test_lines_that_only_begin_like_times_stay_whole(book: Book) -> None:
    (note,) = read_notes("2025-03-08 fin/close\n2h30 went by in no time\n", book)
    assert note.fields["notes"] == "2h30 went by in no time"
    assert "hours" not in note.fields


def test_what_stands_before_the_first_date_is_a_note_without_one(book: Book) -> None:
    first, second = read_notes("bought rivets\n\n2025-03-08 fin/close 2h\nDrilled.\n", book)
    assert first.fields == {"notes": "bought rivets"}
    assert "no date was found" in first.said[0]
    assert second.fields["date"] == "2025-03-08"


def test_a_date_that_is_not_clear_begins_a_note_of_its_own(book: Book) -> None:
    first, second = read_notes(
        "2025-03-08 fin/close 2h Drilled.\n9/3/2025 fin/close 1h More.\n", book
    )
    assert first.fields["notes"] == "Drilled."
    assert "date" not in second.fields
    assert second.fields["notes"] == "9/3/2025 fin/close 1h More."


def test_hidden_characters_are_refused(book: Book) -> None:
    with pytest.raises(CannotWriteError):
        read_notes("2025-03-08\0", book)


words = st.sampled_from(
    [
        *(
            "2025-03-08",
            "8/3/2025",
            "fin/skeleton",
            "fin/close",
            "2h30",
            "19:30 to 22:00",
            "20 min",
        ),
        *("FN-01", "FN-02-L-03", "01 to 03", "drill", "with ben", "lesson 1", "lesson 9"),
        *(
            "next: x",
            "who: ben",
            "hours: 2",
            "a sentence.",
            "- dash",
            "# head",
            ":",
            ",",
            "\n",
            "\n\n",
        ),
    ]
)


@given(st.lists(words, max_size=14))
def test_no_word_is_lost(book: Book, some: list[str]) -> None:
    """Every word is in the notes, in a field, or was recognised."""
    text = " ".join(some)
    notes = read_notes(text, book)
    kept = "\n".join(
        f"{n.fields.get('notes', '')} {' '.join(word for pair in n.taken for word in pair)}"
        for n in notes
    )
    for word in text.replace(":", " ").replace(",", " ").split():
        if word.strip("#*-"):
            assert word in kept


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("2h30", {"hours": "2h30"}),
        ("2.5", {"hours": "2.5"}),
        ("19:30 to 22:00", {"from": "19:30", "to": "22:00"}),
        ("9:30 am - 11.15", {"from": "9:30 am", "to": "11.15"}),
        ("19:30-22:00, break 15 min", {"from": "19:30", "to": "22:00", "break": "15 min"}),
    ],
)
def test_answers_to_how_long(text: str, fields: dict[str, str]) -> None:
    assert time_fields(text) == fields


@pytest.mark.parametrize(
    "text", ["", "a while", "2,5", "-2", "19:30 to", "19:30 to 22:00 ish", "25:00 to 26:00"]
)
def test_answers_that_say_no_time(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        time_fields(text)
