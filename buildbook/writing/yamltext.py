"""Records as YAML text, laid out as a person would write them, and read back to the same values.

Each value is tried in the forms a person would use, the plainest first, and the first one that the
book's own reader takes for exactly that value, without a word of complaint, is written.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import yaml

from buildbook.records.yamlfile import read_yaml

Plain = str | Sequence["Plain"] | Mapping[str, "Plain"]
"""What a record file holds before a model has seen it: texts, lists and mappings."""

WIDTH = 96
"""Columns after which a text is folded."""
_INDENT = "  "


class CannotWriteError(ValueError):
    """A text holds what no record can hold; the message says what, in a sentence."""


_LINE_ENDS = re.compile("\r\n|[\r\x85\u2028\u2029]")
# What YAML 1.2 (section 5.1) calls non-printable, as the reader refuses it.
_HIDDEN = re.compile(
    "[^\t\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


def clean(text: str) -> str:
    """Make a text from outside fit for a record: line ends become one kind, byte order marks go.

    Raises CannotWriteError for characters that cannot be seen.
    """
    text = _LINE_ENDS.sub("\n", text).replace("\ufeff", "")
    if hidden := _HIDDEN.search(text):
        raise CannotWriteError(
            f"a character that cannot be seen (code U+{ord(hidden.group()):04X}) is hidden in "
            f"`{text[max(0, hidden.start() - 20) : hidden.start()]}`; type the text again"
        )
    return text


def as_yaml(record: Mapping[str, Plain]) -> str:
    """Write a record, its fields in the order they have, ending with a line end.

    Raises CannotWriteError for characters that no record can hold.
    """
    return "".join(f"{line}\n" for line in _fields(record, ""))


def scalar(text: str, indent: str = "", *, before: str = "a: ") -> list[str]:
    """Write one text as the lines that follow `before`; lines after the first are indented whole.

    Raises CannotWriteError for characters that no record can hold.
    """
    if hidden := _HIDDEN.search(text):
        raise CannotWriteError(f"no record can hold the character U+{ord(hidden.group()):04X}")
    for lines in _forms(text, indent, WIDTH - len(indent) - len(before)):
        if _says(lines, indent, text):
            return lines
    return [_quoted(text)]


def _fields(record: Mapping[str, Plain], indent: str) -> Iterator[str]:
    for name, value in record.items():
        [key, *rest] = scalar(name)
        if rest or ": " in f"{key} ":
            key = _quoted(name)
        yield from _field(f"{indent}{key}:", value, indent)


def _field(start: str, value: Plain, indent: str) -> Iterator[str]:
    """Yield the lines of a field or list entry, `start` being what stands before its value."""
    if isinstance(value, str):
        first, *rest = scalar(value, indent + _INDENT, before=f"{start.strip()} ")
        yield f"{start} {first}"
        yield from rest
    elif not value:
        yield f"{start} {'{}' if isinstance(value, Mapping) else '[]'}"
    elif isinstance(value, Mapping):
        lines = list(_fields(value, indent + _INDENT))
        if start.endswith("-"):  # the first field stands beside the dash
            lines[0] = f"{start} {lines[0].lstrip()}"
        else:
            yield start
        yield from lines
    elif all(isinstance(v, str) and "\n" not in v for v in value) and (
        line := _in_brackets([str(v) for v in value], WIDTH - len(start) - 1)
    ):
        yield f"{start} {line}"
    else:
        yield start
        for entry in value:
            yield from _field(f"{indent}{_INDENT}-", entry, indent + _INDENT)


def _in_brackets(texts: list[str], width: int) -> str | None:
    """Write short texts as a list on one line, if they fit there and read back the same."""
    plain = (t if _PLAIN.fullmatch(t) and _stays_text(t) else _quoted(t) for t in texts)
    line = f"[{', '.join(plain)}]"
    return line if len(line) <= width and _says([line], "", texts) else None


_PLAIN = re.compile(r"[^\W_][\w ./()+-]*[\w.)]|\w")
"""What may stand without quotation marks inside brackets."""


def _forms(text: str, indent: str, width: int) -> Iterator[list[str]]:
    """Yield ways to write a text, the one a person would choose first."""
    if "\t" in text and "\n" not in text:  # parsers do not agree where a tab may stand
        yield [_quoted(text)]
    if "\n" not in text:
        if len(text) <= width and _stays_text(text):
            yield [text]
        elif len(text) > width and not _stays_short(text):
            yield [">-", *_folded(text, indent)]
        if '"' in text and "'" not in text:
            yield [f"'{text}'"]
        yield [_quoted(text)]
    body, ends = text.rstrip("\n"), len(text) - len(text.rstrip("\n"))
    chomp = "-" if ends == 0 else "" if ends == 1 else "+"
    lines = body.split("\n") + [""] * max(0, ends - 1)
    if body and "\n" not in body and ends == 1 and len(body) > width:
        yield [">", *_folded(body, indent)]
    if body:
        yield [f"|{chomp}", *(f"{indent}{ln}" if ln else "" for ln in lines)]


def _folded(text: str, indent: str) -> list[str]:
    """Break a text at single spaces, where folding puts a space back."""
    lines, width = [""], WIDTH - len(indent)
    for word in re.split(r"(?<=\S) (?=\S)", text):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append(word)
        else:
            lines[-1] += f" {word}" if lines[-1] else word
    return [f"{indent}{ln}" for ln in lines]


def _says(lines: list[str], indent: str, value: Any) -> bool:
    """Tell whether the reader takes these lines for this value, in a record as deep as theirs."""
    above = "".join(f"{_INDENT * i}a:\n" for i in range(len(indent) // len(_INDENT) - 1))
    depth = max(0, len(indent) - len(_INDENT))
    text = f"{above}{' ' * depth}a: " + "\n".join(lines) + f"\n{' ' * depth}b: c\n"
    file = read_yaml("value", text.encode())
    if file.problems:
        return False
    data = file.data
    for _ in range(depth // len(_INDENT)):
        data = data["a"]
    return bool(data == {"a": value, "b": "c"})


_RESOLVER = yaml.SafeLoader("")
_DATE = "tag:yaml.org,2002:timestamp"


def _stays_text(text: str) -> bool:
    """Tell whether other programs read it as a text as well: `no` and `9:30` are none to YAML 1.1.

    Dates, plain numbers and `yes` may become what they are.
    """
    tag = _RESOLVER.resolve(yaml.ScalarNode, text, (True, False))  # type: ignore[no-untyped-call]
    return (
        tag == "tag:yaml.org,2002:str"
        or text == "yes"
        or (tag == _DATE and re.fullmatch(r"\d{4}-\d\d-\d\d", text) is not None)
        or re.fullmatch(r"[1-9]\d*(\.\d+)?", text) is not None
    )


def _stays_short(text: str) -> bool:
    """Tell whether there is no place to fold it."""
    return not re.search(r"\S \S", text)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
