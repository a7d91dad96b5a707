"""Lessons found again, and what in a book touches what."""

from dataclasses import replace

import pytest
from small_book import small_book

from buildbook.ledger.lessons import lessons_for_steps
from buildbook.ledger.links import Links, links
from buildbook.records.book import Book
from buildbook.records.lesson import Lesson
from buildbook.records.section import Section
from buildbook.records.squawk import Squawk

STEPS = [
    {"step": "ribs", "title": "Ribs", "parts": "FN-01, FN-02", "operations": "deburr, flute"},
    {"step": "spar", "title": "Spar", "parts": "FN-03", "operations": "drill"},
    {"step": "rest", "title": "Rest"},
]


def a_book(*lessons: dict[str, str], sessions=(), squawks=(), notes=None) -> Book:
    book = small_book({}, sessions, {"FN-01": 2, "FN-02": 1, "FN-03": 1})
    fin = Section.model_validate({"section": "fin", "title": "Fin", "steps": STEPS})
    made = [Lesson.model_validate(x) for x in lessons]
    found = [Squawk.model_validate(x) for x in squawks]
    return replace(
        book,
        sections={"fin": fin},
        lessons={x.lesson: x for x in made}
        | {x.lesson: x for s in book.sessions.values() for x in s.lessons if isinstance(x, Lesson)},
        squawks={x.squawk: x for x in found},
        notes=notes or {},
        photo_files=frozenset({"a.jpg", "b.jpg"}),
    )


@pytest.mark.parametrize(
    ("about", "steps"),
    [
        ({"operations": "deburr"}, ["fin/ribs"]),
        ({"operations": "deburr, drill"}, ["fin/ribs", "fin/spar"]),
        ({"parts": "FN-02"}, ["fin/ribs"]),
        ({"parts": "FN-02, FN-03"}, ["fin/ribs", "fin/spar"]),
        # By this work on that part: both must fit.
        ({"parts": "FN-03", "operations": "deburr"}, []),
        ({"parts": "FN-03", "operations": "drill"}, ["fin/spar"]),
        # What a lesson does not name does not narrow it; naming nothing, it applies nowhere.
        ({}, []),
        ({"steps": "fin/rest"}, ["fin/rest"]),
        ({"steps": "fin/rest", "operations": "drill"}, ["fin/spar", "fin/rest"]),
        ({"tools": "calipers"}, []),
        ({"operations": "rivet"}, []),
    ],
)
def test_lessons_that_apply(about: dict[str, str], steps: list[str]) -> None:
    lessons = lessons_for_steps(a_book({"lesson": "3", "title": "x", **about}))
    assert [name for name, numbers in lessons.items() if numbers == (3,)] == steps
    assert lessons.keys() == {"fin/ribs", "fin/spar", "fin/rest"}


def test_lessons_come_in_order() -> None:
    book = a_book(
        *({"lesson": n, "title": "x", "operations": "drill"} for n in ("12", "3", "7")),
    )
    assert lessons_for_steps(book)["fin/spar"] == (3, 7, 12)


SESSIONS = [
    {
        "date": "2025-03-08",
        "step": "fin/ribs",
        "operation": "deburr",
        "hours": "1h",
        "notes": "Ribs deburred, then a look at FN-03, and fin/spar; see lesson 3.",
        "photos": [
            {"file": "a.jpg", "caption": "The ribs", "who": "ben"},
            {"file": "b.jpg", "caption": "A spar", "parts": "FN-03", "operation": "drill"},
        ],
    },
    {
        "date": "2025-03-09",
        "work": [
            {
                "step": "fin/spar",
                "operation": "drill",
                "parts": "FN-03",
                "hours": "1h",
                "readings": [{"reading": "edge", "values": "6 mm", "piece": "FN-01-02"}],
            },
            {"step": "fin/ribs", "hours": "1h", "notes": "`FN-02` is only code here."},
        ],
        "lessons": [{"lesson": "4", "title": "Think of FN-02 first", "text": "About FN-02."}],
    },
]


@pytest.fixture(scope="module")
def touching() -> Links:
    return links(
        a_book(
            {"lesson": "3", "title": "x", "text": "As on FN-01."},
            sessions=SESSIONS,
            squawks=[{"squawk": "1", "title": "Dent", "pieces": "FN-01-01", "step": "fin/ribs"}],
            notes={"a.md": "# A\n\nFN-01, [x](lesson:3) and `FN-03`.", "b.md": "nothing"},
        )
    )


def test_sessions_of_parts(touching: Links) -> None:
    """By what a session works on, measures and mentions; not by code."""
    assert touching.of("parts", "FN-03").sessions == ["2025-03-08", "2025-03-09"]
    assert touching.of("parts", "FN-01").sessions == ["2025-03-09"]  # through its piece
    assert touching.of("parts", "FN-02").sessions == ["2025-03-09"]  # in the lesson's text


def test_sessions_of_steps_and_sections(touching: Links) -> None:
    assert touching.of("steps", "fin/spar").sessions == ["2025-03-08", "2025-03-09"]
    assert touching.of("sections", "fin").sessions == ["2025-03-08", "2025-03-09"]
    assert touching.of("lessons", 3).sessions == ["2025-03-08"]
    assert touching.of("operations", "drill").sessions == ["2025-03-08", "2025-03-09"]


def test_photos(touching: Links) -> None:
    """A photo shows what it names, and else the one thing its session worked on."""
    assert [s.photo.file for s in touching.shots] == ["a.jpg", "b.jpg"]
    assert [s.number for s in touching.of("parts", "FN-03").shots] == [2]
    assert [s.number for s in touching.of("operations", "deburr").shots] == [1]
    assert [s.number for s in touching.of("operations", "drill").shots] == [2]
    assert [s.number for s in touching.of("steps", "fin/ribs").shots] == [1, 2]
    assert [s.number for s in touching.of("people", "ben").shots] == [1]
    assert touching.shot_of_file["b.jpg"].anchor == "photo-2"


def test_pieces_lead_to_their_part(touching: Links) -> None:
    assert touching.of("pieces", "FN-01-01").squawks == [1]
    assert touching.of("parts", "FN-01").squawks == [1]
    assert touching.of("sections", "fin").squawks == [1]
    (measured,) = touching.of("parts", "FN-01").readings
    assert (measured.session, measured.step, measured.part) == ("2025-03-09", "fin/spar", "FN-01")
    assert touching.of("steps", "fin/spar").readings == [measured]


def test_lessons_know_their_session(touching: Links) -> None:
    assert touching.session_of_lesson == {4: "2025-03-09"}
    assert touching.of("parts", "FN-02").lessons == [4]
    assert touching.of("parts", "FN-01").lessons == [3]


def test_pages_that_mention(touching: Links) -> None:
    assert touching.of("parts", "FN-01").notes == ["a.md"]
    assert touching.of("lessons", 3).notes == ["a.md"]
    assert touching.of("parts", "FN-03").notes == []


def test_steps_of_a_part(touching: Links) -> None:
    assert touching.of("parts", "FN-01").steps == ["fin/ribs"]
    assert touching.of("operations", "flute").steps == ["fin/ribs"]


def test_what_nothing_touches(touching: Links) -> None:
    nothing = touching.of("parts", "FN-99")
    assert (nothing.sessions, nothing.shots, nothing.lessons, nothing.notes) == ([], [], [], [])
