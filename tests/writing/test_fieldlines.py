"""Single fields changed in a builder's file: every other byte stays, and says what it said."""

import copy
import difflib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_yamltext import NASTY, texts

from buildbook.records.yamlfile import read_yaml
from buildbook.writing.fieldlines import (
    CannotChangeError,
    parse_way,
    show_way,
    with_entries,
    with_field,
)
from buildbook.writing.yamltext import CannotWriteError, clean

SESSION = """\
# yaml-language-server: $schema=../../.buildbook/schema/sessions.json
date: 2025-11-16   # the day it began
title: "A long evening"

# who was there
who:
  - maren
  - tobias
Hours:   2h30  # counted twice
air: {temperature: 17 °C, humidity: 55 %}
work:
  - step: fin/skeleton
    operation: drill   # number 40
    hours: 1h
    notes: |
      First.

      Second, after a gap.
  # between the two
  - {step: fin/close, hours: 90 min}
notes: >
  A long text
  that goes on.
# before the end
empty:
next: 'Prime it'
"""


def data(raw: bytes) -> Any:
    file = read_yaml("s", raw)
    assert not [p for p in file.problems if p.severity == "error"]
    return file.data


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    diff = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [ln[2:] for ln in diff if ln[:1] == "-"], [ln[2:] for ln in diff if ln[:1] == "+"]


@pytest.mark.parametrize(
    ("way", "value", "gone", "come"),
    [
        ("hours", "2h45", ["Hours:   2h30  # counted twice"], ["Hours:   2h45  # counted twice"]),
        (
            "date",
            "2025-11-15",
            ["date: 2025-11-16   # the day it began"],
            ["date: 2025-11-15   # the day it began"],
        ),
        ("title", "Short", ['title: "A long evening"'], ["title: Short"]),
        ("who", "maren", ["who:", "  - maren", "  - tobias"], ["who: maren"]),
        ("air.humidity", "60 %", None, ["air: {temperature: 17 °C, humidity: 60 %}"]),
        ("work.1.hours", "75 min", ["    hours: 1h"], ["    hours: 75 min"]),
        ("work.1.who", "tobias", [], ["    who: tobias"]),
        ("work.2.hours", "2h", None, ["  - {step: fin/close, hours: 2h}"]),
        ("work.1.notes", "One.", None, ["    notes: One."]),
        (
            "notes",
            "a\nb\n",
            ["notes: >", "  A long text", "  that goes on."],
            ["notes: |", "  a", "  b"],
        ),
        ("empty", "full", ["empty:"], ["empty: full"]),
        ("next", "it's: done", ["next: 'Prime it'"], ['next: "it\'s: done"']),
        ("from", "9:30", [], ['from: "9:30"']),
        ("lots", "primer-1", [], ["lots: primer-1"]),
        ("title", None, ['title: "A long evening"'], []),
        ("notes", None, ["notes: >", "  A long text", "  that goes on."], []),
        ("work.1.notes", None, None, []),
        ("empty", None, ["empty:"], []),
    ],
)
def test_only_the_lines_of_the_field_change(
    way: str, value: str | None, gone: list[str] | None, come: list[str]
) -> None:
    after = with_field(SESSION.encode(), parse_way(way), value).decode()
    lost, new = changed_lines(SESSION, after)
    assert new == come
    if gone is not None:
        assert lost == gone
    assert all(ln in after for ln in SESSION.splitlines() if ln.lstrip().startswith("#"))


def test_a_new_field_stands_where_a_builder_would_write_it() -> None:
    lines = with_field(SESSION.encode(), ("operation",), "drill").decode().splitlines()
    assert lines.index("operation: drill") == lines.index('title: "A long evening"') + 1
    lines = with_field(SESSION.encode(), ("work", 1, "pieces"), "all").decode().splitlines()
    assert lines.index("    pieces: all") == lines.index("    operation: drill   # number 40") + 1


@pytest.mark.parametrize(
    ("way", "value", "said"),
    [
        ("", "x", "names no field"),
        ("work..hours", "x", "names no field"),
        ("work", "x", "comments in it"),
        ("work.1", "x", "an entry of a list"),
        ("work.3.hours", "x", "no entry 3"),
        ("work.0.hours", "x", "no entry 0"),
        ("photos.1.caption", "x", "no `photos` in the record"),
        ("title.1.x", "x", "no entry 1"),
        ("title.x", "x", "no fields in `title`"),
        ("work.2.who", "x", "written in braces"),
        ("work.1.step", None, "first field of its entry"),
        ("hours", None, "a comment stands beside it"),
        ("date", "two\nlines", "a comment stands beside it"),
        ("lots", None, "no `lots` to take away"),
        ("amendments.1.was", "x", "amendments stay as they are"),
    ],
)
def test_what_is_better_done_by_hand_is_said(way: str, value: str | None, said: str) -> None:
    with pytest.raises(CannotChangeError, match=said):
        with_field(SESSION.encode(), parse_way(way), value)


@pytest.mark.parametrize(
    "raw",
    [
        b"date: 2025-11-16\nhours: [\n",
        b"- a\n- b\n",
        b"just text",
        b"",
        b"a: 1\r\nb: 2\nc: 3\n",
        b"\xff",
    ],
)
def test_files_with_problems_are_left_alone(raw: bytes) -> None:
    with pytest.raises(CannotChangeError):
        with_field(raw, ("hours",), "2h")


def test_line_ends_and_marks_of_other_systems_are_kept() -> None:
    raw = b"\xef\xbb\xbf" + SESSION.replace("\n", "\r\n").encode()
    after = with_field(raw, ("notes",), "one\ntwo\n")
    assert after.startswith(b"\xef\xbb\xbf")
    assert b"\n" not in after.replace(b"\r\n", b"")
    assert data(after)["notes"] == "one\ntwo\n"


@pytest.mark.parametrize("text", [t for t in NASTY if t])
def test_nasty_values(text: str) -> None:
    raw = SESSION.encode()
    for way in (("next",), ("work", 1, "notes"), ("lots",)):
        after = data(with_field(raw, way, text))
        place = after["work"][0] if way[0] == "work" else after
        assert place[way[-1]] == text


WAYS = [
    "hours",
    "title",
    "who",
    "notes",
    "next",
    "empty",
    "lots",
    "work.1.notes",
    "work.1.hours",
    "work.2.hours",
    "air.temperature",
    "work.1.tools",
]


@given(st.lists(st.tuples(st.sampled_from(WAYS), st.one_of(st.none(), texts)), max_size=5))
def test_any_changes_say_what_they_should_and_keep_the_comments(
    changes: list[tuple[str, str | None]],
) -> None:
    raw, wanted = SESSION.encode(), data(SESSION.encode())
    for words, value in changes:
        way = parse_way(words)
        try:
            raw = with_field(raw, way, value)
        except CannotChangeError:
            continue
        here = wanted
        for step in way[:-1]:
            here = here[step - 1] if isinstance(step, int) else here[step]
        key = "Hours" if way == ("hours",) else way[-1]
        if value is None:
            del here[key]
        else:
            here[key] = value
    assert data(raw) == wanted
    for comment in ("# the day it began", "# who was there", "# between the two", "# number 40"):
        assert comment.encode() in raw


ENTRY = {"date": "2025-11-17", "field": "hours", "was": "2h\nor 3", "why": "it: was"}


def test_entries_are_added_at_the_end() -> None:
    once = with_entries(SESSION.encode(), "amendments", [ENTRY])
    assert once.startswith(SESSION.encode())
    twice = with_entries(once + b"# the last line\n", "amendments", [ENTRY, ENTRY])
    assert twice.startswith(once)
    assert twice.endswith(b"# the last line\n")
    assert data(twice)["amendments"] == [ENTRY] * 3


@pytest.mark.parametrize(
    ("end", "works"),
    [
        ("amendments:\n", True),
        ("amendments: []\n", True),
        ("amendments:\n- date: 2025-11-01\n  field: who\n", True),
        ("amendments:\n    - date: 2025-11-01\n      field: who\n", True),
        ("amendments: [{date: 2025-11-01, field: who}]\n", False),
        ("amendments: {date: 2025-11-01, field: who}\n", False),
        ("amendments:\n  - date: 2025-11-01\n    field: who", True),
    ],
)
def test_entries_in_all_layouts(end: str, works: bool) -> None:
    raw = (SESSION + end).encode()
    if not works:
        with pytest.raises(CannotChangeError):
            with_entries(raw, "amendments", [ENTRY])
        return
    before = data(raw).get("amendments") or []
    after = data(with_entries(raw, "amendments", [ENTRY]))
    assert after == {**data(raw), "amendments": [*copy.deepcopy(before), ENTRY]}


def test_ways_are_shown_in_words() -> None:
    assert show_way(parse_way("Work.2.Used_Up")) == "work 2 used up"


def test_hidden_characters_are_refused() -> None:
    with pytest.raises(CannotWriteError):
        with_field(SESSION.encode(), ("notes",), "a\0b")
    assert clean("plain") == "plain"
