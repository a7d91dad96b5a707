"""Whatever is written as YAML is read back to the same values, by the book and by others."""

from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.yamlfile import read_yaml
from buildbook.writing.yamltext import CannotWriteError, as_yaml, clean

NASTY = [
    "",
    " ",
    "no",
    "yes",
    "NO",
    "null",
    "~",
    "9:30",
    "010",
    "1e3",
    "0x1F",
    "2025-03-08",
    "- a dash",
    "? a question",
    ": a colon",
    "a: colon",
    "a:",
    "a #40 hole",
    "#40",
    "'tis",
    '"quoted" then more',
    'it\'s "both"',
    "[brackets] then more",
    "{braces}",
    "*bold* text",
    "&anchor",
    "!tag",
    "%percent",
    "@at",
    "`code`",
    "| pipe",
    "> greater",
    "--- three",
    "...",
    "=",
    "<<",
    "\ttab first",
    "tab\tinside",
    " space first",
    "space last ",
    "two\nlines",
    "two\nlines\n",
    "\nempty first",
    "para\n\ngraph\n\n\n",
    "  indented\nless\n",
    "trailing  \nspaces\n",
    "# looks like a comment\nsecond\n",
    "back\\slash \\n",
    "emoji \N{SMALL AIRPLANE} \N{FIRE}",
    "\N{ZERO WIDTH SPACE}hidden",
    "accents é \N{LATIN SMALL LETTER E}\N{COMBINING ACUTE ACCENT}",
    "rtl \u05d0\u05d1",
    "word " * 60,
    "x" * 300,
    "a  double  space " * 12,
    "long with a colon: " * 12,
    "long # with a hash " * 12,
    '"long" with quotes ' * 12,
    "- " * 80,
    ("long line " * 20).strip() + "\n",
]
# What a file can hold by YAML 1.2, section 5.1; `clean` makes the rest of texts into these.
printable = st.characters(
    codec="utf-8",
    exclude_categories=("Cs",),
    include_characters="\n\t",
    exclude_characters=[chr(c) for c in (*range(9), *range(11, 32), *range(127, 160))]
    + ["\u2028", "\u2029", "\ufeff", "\ufffe", "\uffff"],
)
texts = st.one_of(
    st.sampled_from(NASTY),
    st.text(printable, max_size=250),
    st.text(st.sampled_from(list("ab: #-'\"[]{}|>&*!%@`?,\n\t\\0~")), max_size=60),
)
names = st.one_of(st.sampled_from(["notes", "FN-01", "no", "a: b", "x y", "9:30", "-"]), texts)
records = st.recursive(
    texts,
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=4),
        st.dictionaries(names.filter(lambda n: n not in ("", "<<")), inner, min_size=1, max_size=4),
    ),
    max_leaves=8,
)


def read(text: str) -> Any:
    file = read_yaml("record", text.encode())
    assert file.problems == ()
    return file.data


@pytest.mark.parametrize("text", NASTY)
def test_nasty_texts(text: str) -> None:
    for record in ({"a": text}, {"a": {"b": [text, {"c": text}]}}, {"a": [text, "b"], "c": text}):
        assert read(as_yaml(record)) == record


@given(st.dictionaries(st.sampled_from(["notes", "title", "next", "x"]), records, min_size=1))
def test_any_record_reads_back(record: dict[str, Any]) -> None:
    assert read(as_yaml(record)) == record


@given(st.dictionaries(st.sampled_from(["notes", "title"]), texts, min_size=1))
def test_other_readers_of_yaml_agree(record: dict[str, Any]) -> None:
    """PyYAML's safe loader, YAML 1.1, may turn a plain date, number or yes into what it is."""
    loaded = yaml.safe_load(as_yaml(record))
    for name, text in record.items():
        assert (
            loaded[name] == text
            or str(loaded[name]) == text
            or (loaded[name], text)
            == (
                True,
                "yes",
            )
        )


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("Drilled the spar.", "notes: Drilled the spar."),
        ("2h30", "notes: 2h30"),
        ("19:30", 'notes: "19:30"'),
        ("no", 'notes: "no"'),
        ("yes", "notes: yes"),
        ("drilled to #40", "notes: 'drilled to #40'"),
        ("two\nlines\n", "notes: |\n  two\n  lines"),
        ("2025-03-08", "notes: 2025-03-08"),
    ],
)
def test_it_looks_as_a_person_would_write_it(text: str, form: str) -> None:
    written = as_yaml({"notes": text})
    assert written in (f"{form}\n", form.replace("'", '"') + "\n")


def test_long_texts_are_folded_and_stay_one_line() -> None:
    text = f"{'Match-drilled the hinge brackets. ' * 8}".strip()
    written = as_yaml({"notes": f"{text}\n"})
    assert written.startswith("notes: >\n  Match")
    assert max(map(len, written.split("\n"))) <= 98
    assert read(written) == {"notes": f"{text}\n"}


def test_short_lists_are_written_on_one_line() -> None:
    assert as_yaml({"who": ["maren", "tobias"]}) == "who: [maren, tobias]\n"
    assert as_yaml({"pieces": {"FN-01": ["01 to 03", "05"]}}) == (
        'pieces:\n  FN-01: [01 to 03, "05"]\n'
    )


@pytest.mark.parametrize("char", ["\0", "\a", "\x1b", "\x7f", "\x9f", "\ud800", "\ufffe"])
def test_hidden_characters_are_refused(char: str) -> None:
    with pytest.raises(CannotWriteError, match="U\\+"):
        as_yaml({"notes": f"a{char}b"})
    with pytest.raises(CannotWriteError, match="cannot be seen"):
        clean(f"a{char}b")


def test_line_ends_of_other_systems_become_ours() -> None:
    assert clean("\ufeffa\r\nb\rc\u2028d\x85e") == "a\nb\nc\nd\ne"


@given(st.text(st.characters(exclude_categories=("Cs", "Cc"), include_characters="\r\n\t")))
def test_what_is_cleaned_can_be_written(text: str) -> None:
    try:
        cleaned = clean(text)
    except CannotWriteError:
        return
    assert read(as_yaml({"notes": cleaned})) == {"notes": cleaned}
