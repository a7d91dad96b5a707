"""Records written as YAML come back as they were, through the book's own reader and YAML's."""

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from buildbook.incoming.recordtext import part_file, scalar
from buildbook.records.part import Part
from buildbook.records.yamlfile import read_yaml

TRAPS = [
    "no", "Yes", "on", "OFF", "y", "null", "~", "true", "0047", "1e3", "9:30", "0x1F", "1_000",
    ".5", "2031-03-08", "12:30:45", "=1+1", "- a", "a: b", "a #b", "#a", "*a", "&a", "!a", "%a",
    "@a", "`a`", "'a'", '"a"', "a: ", " a", "a ", "", "[a]", "{a}", "a, b", "|", ">", "?", "a\nb",
    "a\tb", "\\n", "\x07", "\x85", "\u2028", "\ufeff", "<<", "---", "...", "Ærø 🛩", ".inf",
    "nan", "Infinity",
]  # fmt: skip


@pytest.mark.parametrize("text", TRAPS)
def test_traps(text: str) -> None:
    line = f"name: {scalar(text)}\n"
    file = read_yaml("x.yml", line.encode())
    assert file.problems == ()
    assert file.data == {"name": text}
    assert yaml.safe_load(line) == {"name": text}


@given(st.text(st.characters(exclude_categories=["Cs"])))
@example("\x7f\x9f\ufffe\uffff\U0001f6e9")
def test_any_text(text: str) -> None:
    line = f"- name: {scalar(text)}\n"
    file = read_yaml("x.yml", line.encode())
    assert file.problems == ()
    assert file.data == [{"name": text}]
    assert yaml.safe_load(line) == [{"name": text}]


def test_plain_words_stay_plain() -> None:
    assert scalar("Rear spar") == "Rear spar"
    assert scalar("FN-001") == "FN-001"


def test_a_file_says_where_it_is_from_and_how_to_check_it() -> None:
    part = Part.model_validate({"part": "A-1", "name": "no", "thickness": "0.8 mm"})
    text = part_file([part], "lists/crate\n- part: evil.csv")
    assert text.splitlines() == [
        "# yaml-language-server: $schema=../../.buildbook/schema/parts.json",
        "# From crate - part: evil.csv.",
        "- part: A-1",
        '  name: "no"',
        '  thickness: "0.8 mm"',
    ]
