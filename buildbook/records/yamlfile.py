"""Reading one YAML file: text, lists and mappings, nothing guessed.

libyaml's C parser gives the events; every scalar stays the text that was written, and the model
of the record decides what it is. That closes YAML 1.1's traps at one stroke: `9:30` is not 570,
`no` is not false, `010` is not 8. Anchors, tags and repeated keys are refused.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import yaml

from buildbook.records.positions import line_and_column
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.yamlerrors import Refused, in_plain_words, missing_colon

MAX_BYTES = 2_000_000
"""A record is written by hand: a larger file is a mistake or an attack."""
MAX_DEPTH = 30
MAX_TOLD = 20
"""Of one kind of damage in one file, so many are told; the rest is like them."""


@dataclass(frozen=True, slots=True)
class YamlFile:
    """What one file says."""

    name: str
    """Path relative to the content folder, with forward slashes."""
    text: str
    """The file as written, decoded, with `\\n` line ends and no byte order mark."""
    readable: str
    """The text with its broken entries blanked out, line for line."""
    data: Any
    """str, list, dict or None. A field or entry left empty is None."""
    problems: tuple[Problem, ...]
    torn: bool = False
    """Something could not be parsed and was left out of `data`."""


def read_yaml(name: str, raw: bytes) -> YamlFile:
    """Read a file's bytes; never raises, what is wrong is in `problems`.

    When an entry at the top level cannot be parsed, it alone is left out and the rest is read,
    so that one broken record hides neither another record nor another problem.
    """
    text, damage = _decode(raw)
    if text is None:
        shown = raw[:MAX_BYTES].decode("utf-8", "replace")
        return YamlFile(name, shown, "", None, _problems(name, damage), torn=True)
    try:
        data, odd = _load(text)
    except Refused as refused:
        first = refused
    else:
        problems = _problems(name, [*damage, *odd])
        return YamlFile(name, text, text, data, (*problems, *_cut_short(name, text)))
    readable, broken = _without_broken_entries(text)
    try:
        data, odd = _load(readable)
    except Refused:
        readable, data, odd, broken = "", None, [], [first]
    refusals = [*damage, *(broken or [first]), *odd]
    return YamlFile(name, text, readable, data, _problems(name, refusals), torn=True)


_HASH = re.compile(r"\S[ \t]+#[^\s#]")
"""A quick look: most files have none, and are not gone through a second time."""


def _cut_short(name: str, text: str) -> Iterator[Problem]:
    """Yield a warning for every plain value that ends at ` #`, as in `drilled to #40 and ...`.

    YAML takes what follows for a comment, and drill sizes are written so: without a word the rest
    of a note would be lost.
    """
    if not _HASH.search(text):
        return
    lines = text.split("\n")
    for event in yaml.parse(text, Loader=yaml.CBaseLoader):
        if isinstance(event, yaml.ScalarEvent) and not event.style:
            end: Any = event.end_mark
            if found := re.match(r"[ \t]+(?=#[^\s#])", lines[end.line][end.column :]):
                yield Problem(
                    "cut-short",
                    "from this # on the line is a comment, and lost to the book",
                    Place(name),
                    Severity.WARNING,
                    advice="put the text in quotes; if it is a comment, put a space after the #",
                    position=(end.line + 1, end.column + found.end() + 1),
                )


def read_text(name: str, raw: bytes) -> tuple[str, tuple[Problem, ...]]:
    """Read the bytes of a page of prose; never raises."""
    text, damage = _decode(raw)
    return text or "", _problems(name, damage)


def _problems(name: str, refusals: list[Refused]) -> tuple[Problem, ...]:
    return tuple(
        Problem(r.code, r.message, Place(name), advice=r.advice, position=(r.line, r.column))
        for r in refusals
    )


def _decode(raw: bytes) -> tuple[str | None, list[Refused]]:
    """Return the text, with what cannot stand in it taken out, and what that was."""
    if len(raw) > MAX_BYTES:
        said = f"this file has {len(raw):,} bytes; a record has at most {MAX_BYTES:,}"
        return None, [Refused("file-too-large", said, "split it into smaller files", 1, 1)]
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        said = "this file is not UTF-8 text but UTF-16"
        return None, [Refused("not-utf-8", said, "save it again with the encoding UTF-8", 1, 1)]
    # Bytes that are no UTF-8 become lone surrogates, which no text file can hold otherwise.
    text = raw.decode("utf-8", "surrogateescape").removeprefix("\ufeff")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    damage: list[Refused] = []
    last_line = 0
    for bad in _UNPRINTABLE.finditer(text):
        line, column = line_and_column(text, bad.start())
        if line != last_line:  # the first of a line tells enough
            damage.append(_bad_character(bad.group(), line, column))
            last_line = line
        if len(damage) == MAX_TOLD:
            break
    if damage:
        text = _UNPRINTABLE.sub(lambda m: "\ufffd" if _is_raw_byte(m.group()) else " ", text)
    return text, damage


def _is_raw_byte(char: str) -> bool:
    return "\udc80" <= char <= "\udcff"


def _bad_character(char: str, line: int, column: int) -> Refused:
    if _is_raw_byte(char):
        guess = bytes((ord(char) - 0xDC00,)).decode("cp1252", "replace")
        meant = f", perhaps a `{guess}`," if guess.isprintable() and guess != "\ufffd" else ""
        said = f"a letter{meant} is saved in another encoding than UTF-8"
        return Refused("not-utf-8", said, "save the file with the encoding UTF-8", line, column)
    said = f"a character that cannot be seen (code U+{ord(char):04X}) is hidden in this line"
    return Refused("control-character", said, "delete it, or type the line again", line, column)


# What YAML 1.2 (section 5.1) calls non-printable, lone surrogates, and the line ends that only
# YAML 1.1 knows (NEL, LS, PS); tabs are told where they indent.
_UNPRINTABLE = re.compile(
    "[^\t\n\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


def _load(text: str) -> tuple[Any, list[Refused]]:
    """Build the tree of one document from libyaml's events, and list what is odd in it.

    Raises Refused for what cannot be parsed at all.
    """
    loader = yaml.CBaseLoader(text)
    odd: list[Refused] = []
    try:
        root = _build(loader.get_event, odd)
    except yaml.MarkedYAMLError as error:
        raise in_plain_words(error, text) from None
    except yaml.YAMLError as error:
        raise Refused("yaml-syntax", f"this is not readable YAML: {error}", "", 1, 1) from None
    first: dict[str | int, Refused] = {}
    for refused in odd:  # one mark may be pointed to a thousand times
        name = refused.message if refused.code == "yaml-anchor" else id(refused)
        first.setdefault(name, refused)
    return root, list(first.values())[:MAX_TOLD]


_LEFT_OUT: Any = object()
"""Stands for the name of a field that is not taken, until its record ends."""


def _build(next_event: Callable[[], Any], odd: list[Refused]) -> Any:  # noqa: C901, PLR0912, PLR0915 - one loop over a parser's events, kept whole for speed
    scalar, mapping, sequence = yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent
    mapping_end, sequence_end = yaml.MappingEndEvent, yaml.SequenceEndEvent
    root: Any = None
    documents = 0
    here: Any = None  # the collection being filled
    key: Any = None  # the key waiting for its value
    above: list[tuple[Any, Any]] = []
    while True:
        event = next_event()
        kind = type(event)
        value: Any
        if kind is scalar:
            value = event.value
            if event.anchor is not None or event.tag is not None:
                odd += _decorations(event)
            if value == "" and event.style == "":
                value = None
        elif kind is mapping or kind is sequence:
            if event.anchor is not None or event.tag is not None:
                odd += _decorations(event)
            value = {} if kind is mapping else []
        elif kind is mapping_end or kind is sequence_end:
            if kind is mapping_end:
                here.pop(_LEFT_OUT, None)
            here, key = above.pop()
            continue
        elif kind is yaml.AliasEvent:
            odd.append(_anchor(event, "*"))
            if type(here) is list:
                continue
            value = _LEFT_OUT if type(here) is dict and key is None else f"*{event.anchor}"
        elif kind is yaml.DocumentStartEvent:
            documents += 1
            if documents > 1:
                odd.append(_second_document(event))
                return root
            continue
        elif kind is yaml.StreamEndEvent:
            return root
        else:
            continue

        if here is None:
            root = value
        elif type(here) is list:
            here.append(value)
        elif key is None:
            if type(value) is not str and value is not _LEFT_OUT:
                raise _odd_key(event)
            if value in here:
                odd.append(_repeated(event))
                value = _LEFT_OUT
            elif value == "<<":
                odd.append(_merge(event))
                value = _LEFT_OUT
            key = value
            here[key] = None
            continue
        else:
            here[key] = value
            key = None
        if kind is mapping or kind is sequence:
            if len(above) >= MAX_DEPTH:
                raise _at(event, "too-deep", "lists inside lists go too deep here", "write it flat")
            above.append((here, key))
            here, key = value, None


def _at(event: Any, code: str, message: str, advice: str) -> Refused:
    mark = event.start_mark
    return Refused(code, message, advice, mark.line + 1, mark.column + 1)


def _decorations(event: Any) -> Iterator[Refused]:
    if event.anchor is not None:
        yield _anchor(event, "&")
    if event.tag is not None:
        yield _at(
            event,
            "yaml-tag",
            f"`{event.tag.replace('tag:yaml.org,2002:', '!!')}` is not used here",
            "take it away, or put quotes around a text that starts with it",
        )


def _anchor(event: Any, sign: str) -> Refused:
    return _at(
        event,
        "yaml-anchor",
        f"`{sign}{event.anchor}` stands where a value should: values are not shared by marks here",
        f"write the value out, or put quotes around a text that starts with `{sign}`",
    )


def _second_document(event: Any) -> Refused:
    return _at(
        event,
        "several-documents",
        "a second record starts here, after `---`; what follows is not read",
        "keep one record in one file, or make the file a list",
    )


def _odd_key(event: Any) -> Refused:
    return _at(
        event,
        "odd-key",
        "the name of a field is missing here",
        "write `name: value`, each field on its own line",
    )


def _repeated(event: Any) -> Refused:
    return _at(
        event,
        "repeated-key",
        f"`{event.value}` is written twice in the same record",
        "keep one of them; a list can hold several values",
    )


def _merge(event: Any) -> Refused:
    return _at(event, "merge-key", "`<<` is not used here", "write the fields out")


def _without_broken_entries(text: str) -> tuple[str, list[Refused]]:
    """Blank out the top-level entries that cannot be parsed, line for line.

    An entry starts at the left margin: with `- ` where the file is a list, with a name otherwise.
    """
    lines = text.split("\n")
    is_list = (
        next((ln for ln in lines if ln[:1] not in ("", "#", "%") and ln != "---"), "")[:1] == "-"
    )
    starts = [
        i
        for i, ln in enumerate(lines)
        if ln[:1] not in ("", " ", "\t", "#")
        and ln != "---"
        and (ln.startswith("-") if is_list else not ln.startswith(("- ", "-\t", "]", "}")))
    ]
    refusals: list[Refused] = []
    for start, end in pairwise([*starts, len(lines)]):
        try:
            entry, _ = _load("\n".join(lines[start:end]))
            if not is_list and isinstance(entry, str):
                raise missing_colon(lines[start], 1)
        except Refused as refused:
            refused.line += start
            # The traceback holds the parser with its buffers: a hundred kilobytes of brackets
            # would keep gigabytes of them.
            refused.__context__ = None
            refusals.append(refused.with_traceback(None))
            lines[start:end] = [""] * (end - start)
    return "\n".join(lines), refusals
