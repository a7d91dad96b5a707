"""Names in prose: which words are mentions, which are dead, which are neither."""

from datetime import date
from pathlib import Path

import pytest

from buildbook.records.mentions import Names, names_of, prose_of
from buildbook.records.read import read

BASE = Path(__file__).parent / "base"


@pytest.fixture(scope="module")
def names() -> Names:
    return names_of(read(BASE, date(2026, 1, 1)).book)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Drilled FN-01.", ["FN-01"]),
        ("FN-01, FN-02-L and FN-02-L-03!", ["FN-01", "FN-02-L", "FN-02-L-03"]),
        ("(FN-01)", ["FN-01"]),
        ("as in fin/skeleton, then fin/close.", ["fin/skeleton", "fin/close"]),
        ("see lesson 1 and Lesson 2", [1, 2]),
        ("lessons 1, squawk no. 2", [1, 2]),
        ("lesson\n  1", [1]),
        ("lesson 1.5 is a version", []),
        ("XFN-01 and FN-011 and a-FN-01", []),
        ("a path/FN-01/x", []),
        ("lesson 99", []),
        ("", []),
        ("FN-01" + "." * 100_000, ["FN-01"]),
    ],
)
def test_in_text(names: Names, text: str, found: list[str | int]) -> None:
    mentions = list(names.in_text(text))
    assert [m.name for m in mentions] == found
    for m in mentions:
        assert str(m.name) in text[m.start : m.end]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("`FN-01` and FN-02-L", ["FN-02-L"]),
        ("```\nFN-01\n```\nFN-02-L", ["FN-02-L"]),
        ("``a ` FN-01`` FN-02-L", ["FN-02-L"]),
        ("a lone ` tick\n\nFN-01 and another `\n", ["FN-01"]),
        ("[the spar](part:FN-01)", ["FN-01"]),
        ("[it](https://example.com/FN-01)", []),
        ("https://example.com/FN-01", []),
        ("<span title='FN-01'>FN-02-L</span>", ["FN-02-L"]),
        ("![spar](photo:2025/rear-spar.jpg)", ["2025/rear-spar.jpg"]),
        ("[it](part:FN-99)", []),
    ],
)
def test_in_markdown(names: Names, text: str, found: list[str]) -> None:
    assert [m.name for m in names.in_markdown(text).mentions] == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("FN-99 here", ["FN-99"]),
        ("fin/skelet here", ["fin/skelet"]),
        ("and/or, T3/T4, 1/2, 2025-03-08, AN470AD4-4, wing/rib", []),
        ("lesson 99", ["lesson 99"]),
        ("[x](step:fin/nothing)", ["fin/nothing"]),
        ("[x](person:zoe)", ["zoe"]),
        ("[x](mailto:zoe)", []),
        ("`FN-99`", []),
    ],
)
def test_dead(names: Names, text: str, found: list[str]) -> None:
    assert [text[d.start : d.end] for d in names.in_markdown(text).dead] == found


@pytest.mark.parametrize(
    "piece", ["](", "`", "``` ", "<", "[a](b", "lesson ", "FN-", "a.", "fin/", "[["]
)
def test_a_strange_text_is_searched_in_time_that_grows_with_it(names: Names, piece: str) -> None:
    # 100,000 characters: a search that is quadratic in them would not end within the test run.
    text = piece * (100_000 // len(piece))
    found = names.in_markdown(text)
    for mention in (*found.mentions, *found.dead):
        assert 0 <= mention.start < mention.end <= len(text)


def test_prose_of_finds_every_text_with_its_place() -> None:
    book = read(BASE, date(2026, 1, 1)).book
    session = book.sessions["2025-03-15-six-nose-ribs"]
    assert [(t, p.path) for t, p in prose_of(session)] == [("Prime everything.", ("next",))]
    [(text, place)] = prose_of(book.lessons[1])
    assert (text, place.file, place.path) == (
        "See step fin/skeleton and squawk 1.\n", "lessons.yml", (0, "text")
    )  # fmt: skip
