"""Reading YAML: every value is the text that was written, and what is broken is told alone."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.positions import line_and_column, locate, words_pattern
from buildbook.records.yamlfile import MAX_BYTES, MAX_TOLD, read_text, read_yaml


def data(text: str) -> object:
    file = read_yaml("x.yml", text.encode())
    assert not file.problems
    return file.data


@pytest.mark.parametrize(
    "written",
    ["9:30", "no", "yes", "on", "010", "0o10", "0x1F", "1e3", "~", "null", ".inf", ".nan", "=",
     "1_000", "2025-03-08", "190:20:30", "true", "-0", "<"],
)  # fmt: skip
def test_plain_values_stay_text(written: str) -> None:
    assert data(f"a: {written}\n") == {"a": written}
    assert data(f"- {written}\n") == [written]


def test_a_field_left_empty_is_none_and_quoted_emptiness_is_text() -> None:
    assert data("a:\nb: ''\nc: \"\"\n") == {"a": None, "b": "", "c": ""}
    assert data("- \n- a\n") == [None, "a"]
    assert data("") is None
    assert data("# nothing\n") is None


def test_texts_of_several_lines() -> None:
    assert data("a: |\n  One\n  two\n") == {"a": "One\ntwo\n"}
    assert data("a: >\n  One\n  two\n") == {"a": "One two\n"}
    assert data("a: One\n  two\n") == {"a": "One two"}


def test_byte_order_mark_and_line_ends() -> None:
    file = read_yaml("x.yml", b"\xef\xbb\xbfa: |\r\n  One\r\n  two\r\nb: c\r")
    assert file.data == {"a": "One\ntwo\n", "b": "c"}
    assert file.text == "a: |\n  One\n  two\nb: c\n"


def test_damage_does_not_cost_the_rest() -> None:
    file = read_yaml("x.yml", b"a: \xf8\nb: c\x07d\ne: f\n")
    assert file.data == {"a": "\ufffd", "b": "c d", "e": "f"}
    assert [(p.code, p.position) for p in file.problems] == [
        ("not-utf-8", (1, 4)), ("control-character", (2, 5))
    ]  # fmt: skip


def test_damage_is_told_so_often_and_no_more() -> None:
    assert len(read_yaml("x.yml", b"a\x07\n" * 10_000).problems) == MAX_TOLD
    assert len(read_yaml("x.yml", b"a: 1\n" * 10_000).problems) == MAX_TOLD


def test_broken_entries_are_left_out_alone() -> None:
    file = read_yaml("x.yml", b"- a: 1\n- b: [\n- c: 'x\n- d: 4\n")
    assert file.torn
    assert file.data == [{"a": "1"}, {"d": "4"}]
    assert [p.position and p.position[0] for p in file.problems] == [2, 3]
    assert file.readable.count("\n") == file.text.count("\n")


def test_the_first_of_two_equal_fields_is_kept() -> None:
    file = read_yaml("x.yml", b"a: 1\na: {b: [c]}\na: 3\nd: 4\n")
    assert file.data == {"a": "1", "d": "4"}
    assert not file.torn
    assert [p.position for p in file.problems] == [(2, 1), (3, 1)]


def test_a_file_that_is_too_large() -> None:
    [problem] = read_yaml("x.yml", b"a" * (MAX_BYTES + 1)).problems
    assert problem.code == "file-too-large"
    assert not read_yaml("x.yml", b"a" * MAX_BYTES).problems


@pytest.mark.parametrize(
    "piece", ["[", "{", "- ", "? ", "a: ", "&a ", "*a ", "!t ", "'", '"', "|\n", "\t", ": ", "[*a,"]
)
def test_a_strange_file_is_read_in_time_that_grows_with_it(piece: str) -> None:
    read_yaml("x.yml", (piece * (200_000 // len(piece))).encode())
    read_yaml("x.yml", (f"{piece}\n" * (100_000 // len(piece))).encode())


@pytest.mark.skipif(sys.platform != "linux", reason="only there is memory limited by the system")
@pytest.mark.parametrize("piece", ["[", "{", "'", '"', "? ", ": ", "[*a,"])
def test_a_strange_file_is_read_in_little_memory(piece: str) -> None:
    """Tens of thousands of broken entries keep no parser alive: they took gigabytes."""
    program = (
        "import resource, sys\n"
        "from buildbook.records.yamlfile import read_yaml\n"
        "resource.setrlimit(resource.RLIMIT_DATA, (400_000_000,) * 2)\n"
        "read_yaml('x.yml', (sys.argv[1] * (50_000 // len(sys.argv[1]))).encode())\n"
    )
    subprocess.run([sys.executable, "-c", program, f"{piece}\n"], check=True)


@given(st.binary(max_size=200))
def test_any_bytes_are_read(raw: bytes) -> None:
    file = read_yaml("x.yml", raw)
    lines = file.text.split("\n")
    for problem in file.problems:
        assert problem.position is not None
        line, column = problem.position
        assert 1 <= line <= len(lines)
        assert 1 <= column <= len(lines[line - 1]) + 1


@given(st.text(alphabet=":-[]{}'\"|>&*!?#\n\t ,ab<%@`=~", max_size=60))
def test_any_signs_are_read(text: str) -> None:
    file = read_yaml("x.yml", text.encode())
    lines = file.text.split("\n")
    for problem in file.problems:
        assert problem.position is not None
        line, column = problem.position
        assert 1 <= line <= len(lines)
        assert 1 <= column <= len(lines[line - 1]) + 1


def test_pages_are_read_whatever_their_bytes() -> None:
    assert read_text("x.md", b"\xef\xbb\xbf# One\r\n") == ("# One\n", ())
    text, [problem] = read_text("x.md", b"K\xf8benhavn")
    assert text == "K\ufffdbenhavn"
    assert problem.position == (1, 2)


TEXT = """\
work:
  - step: fin/skeleton
    parts: FN-01, FN-02
    pieces: {FN-01: [all]}
Who: "ada,  ben"
notes: |
  See FN-01 and
  FN-01-L, then
  FN-01 again.
"""


@pytest.mark.parametrize(
    ("path", "options", "where"),
    [
        ((), {}, (1, 1)),
        (("work",), {}, (2, 3)),
        (("work",), {"of_key": True}, (1, 1)),
        (("work", 0), {}, (2, 5)),
        (("work", 0, "step"), {}, (2, 11)),
        (("work", 0, "parts"), {"of_key": True}, (3, 5)),
        (("work", 0, "parts", 1), {"find": "FN-02"}, (3, 19)),
        (("work", 0, "pieces", "FN-01"), {"of_key": True, "find": "FN-01"}, (4, 14)),
        (("work", 0, "pieces", "FN-01", 0), {}, (4, 22)),
        (("who", 1), {"find": "ben"}, (5, 13)),
        (("notes",), {"find": "FN-01"}, (7, 7)),
        (("notes",), {"find": "FN-01", "skip": 1}, (9, 3)),
        (("notes",), {"find": "FN-01-L"}, (8, 3)),
        (("notes",), {"find": "and FN-01-L"}, (7, 13)),
        (("notes",), {"find": "nowhere"}, (6, 8)),
        (("nothing", 3, "deep"), {}, (1, 1)),
        (("work", 7), {}, (2, 3)),
    ],
)
def test_locate(
    path: tuple[str | int, ...], options: dict[str, object], where: tuple[int, int]
) -> None:
    assert locate(TEXT, path, **options) == where  # type: ignore[arg-type]


def test_line_and_column() -> None:
    assert line_and_column("ab\ncd", 0) == (1, 1)
    assert line_and_column("ab\ncd", 2) == (1, 3)
    assert line_and_column("ab\ncd", 3) == (2, 1)
    assert line_and_column("ab\ncd", 99) == (2, 3)
    assert line_and_column("", 0) == (1, 1)


def test_words_pattern() -> None:
    assert words_pattern("lesson 9").search("lesson\n  9.")
    assert not words_pattern("lesson 9").search("lesson 99")
    assert not words_pattern("lesson 9").search("lesson 9.5")
    assert words_pattern("fin/close").search("fin / close")
    assert not words_pattern("FN-01").search("XFN-01 FN-01-L FN-011 a/FN-01")
