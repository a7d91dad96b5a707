"""Changing single fields of a session's file: every other byte that is there stays as it is.

Only the lines of the field are touched. That the result says the old record with the new value,
and nothing else, is checked by reading it.
"""

import copy
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import yaml

from buildbook.records.record import fold
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.draft import place_of
from buildbook.writing.yamltext import Plain, as_yaml, scalar

Way = tuple[str | int, ...]
"""The way to a field: names, and numbers from 1 in lists, as `("work", 2, "hours")`."""

_MARK = "\ufeff"


class CannotChangeError(Exception):
    """A file is better changed by hand; the message says why, in a sentence."""


def parse_way(words: str) -> Way:
    """Read `hours`, `air.temperature`, `work.2.hours`. Raises CannotChangeError."""
    steps = [s.strip() for s in words.split(".")]
    if not all(steps) or not words.strip():
        raise CannotChangeError(f"`{words}` names no field; write `hours` or `work.2.hours`")
    way = tuple(int(s) if s.isdecimal() else fold(s) for s in steps)
    if way[0] == "amendments":
        raise CannotChangeError("amendments stay as they are: they are what the record said before")
    return way


def show_way(way: Way) -> str:
    """Write the way to a field in words, as `work 2 hours`."""
    return " ".join(map(str, way))


def with_field(raw: bytes, way: Way, value: str | None) -> bytes:
    """Return a file's bytes with one field set to a text, or taken away when `value` is None.

    Raises CannotChangeError when the file has problems, the field cannot be reached, or its lines
    are laid out in a way that is better changed by hand; CannotWriteError for hidden characters.
    """
    text, data, restore = _opened(raw)
    wanted = _wanted(data, way, value)
    changed = _changed(text, way, value)
    after = read_yaml("session", changed.encode())
    if after.problems or after.data != wanted:
        raise CannotChangeError("its layout is unusual there; change it in an editor")
    return restore(changed)


def with_entries(raw: bytes, name: str, entries: Sequence[Mapping[str, Plain]]) -> bytes:
    """Return a file's bytes with entries added at the end of a list of records, as `amendments`.

    Raises CannotChangeError and CannotWriteError as `with_field` does.
    """
    text, data, restore = _opened(raw)
    there = data.get(name) or []
    if not isinstance(there, list):
        raise CannotChangeError(f"its `{name}` is not a list; change it in an editor")
    lines = as_yaml({name: list(entries)}).split("\n")[:-1]
    node = _value_of(_compose(text), name)
    if node is None or not node.value:
        if node is not None:
            text = _changed(text, (name,), None)
        changed = "\n".join([_ended(text) + lines[0], *lines[1:], ""])
    elif node.flow_style:
        raise CannotChangeError(f"its `{name}` is written in brackets; change it in an editor")
    else:
        indent = " " * node.start_mark.column
        new = "".join(f"{indent}{ln[2:]}\n" if ln else "\n" for ln in lines[1:])
        text = _ended(text)
        at = _line_start_after(text, _last_offset(text, node))
        changed = text[:at] + new + text[at:]
    after = read_yaml("session", changed.encode())
    if after.problems or after.data != {**data, name: [*there, *map(dict, entries)]}:
        raise CannotChangeError("its layout is unusual; change it in an editor")
    return restore(changed)


def _opened(raw: bytes) -> tuple[str, dict[str, Any], Callable[[str], bytes]]:
    """Return the text with one kind of line ends, what it says, and what gives its bytes back."""
    file = read_yaml("session", raw)
    errors = [p for p in file.problems if p.severity == "error"]
    if errors or not isinstance(file.data, dict):
        raise CannotChangeError("it has problems that `buildbook check` tells; mend them first")
    text = raw.decode()
    mark = text.startswith(_MARK)
    text = text.removeprefix(_MARK)
    ends = set(re.findall("\r\n|\r|\n", text))
    if len(ends) > 1 or "\r" in ends:
        raise CannotChangeError("its lines end in different ways; change it in an editor")
    windows = "\r\n" in ends

    def restore(changed: str) -> bytes:
        changed = changed.replace("\n", "\r\n") if windows else changed
        return (_MARK if mark else "").encode() + changed.encode()

    return text.replace("\r\n", "\n"), file.data, restore


def _ended(text: str) -> str:
    return text if text.endswith("\n") or not text else f"{text}\n"


def _wanted(data: dict[str, Any], way: Way, value: str | None) -> dict[str, Any]:
    wanted = copy.deepcopy(data)
    here: Any = wanted
    for step in way[:-1]:
        here = _inside(here, step)
    last = way[-1]
    if isinstance(last, int):
        raise CannotChangeError(f"`{show_way(way)}` is an entry of a list; name a field of it")
    if isinstance(here, list) and len(here) == 1:
        here = here[0]
    if not isinstance(here, dict):
        raise CannotChangeError(f"there are no fields in `{show_way(way[:-1])}`")
    key = next((k for k in here if fold(k) == last), last)
    if value is None:
        if key not in here:
            raise CannotChangeError(f"there is no `{show_way(way)}` to take away")
        del here[key]
    else:
        here[key] = value
    return wanted


def _inside(here: Any, step: str | int) -> Any:
    if isinstance(step, int):
        if isinstance(here, dict) and step == 1:  # a single record may stand without a list
            return here
        if not isinstance(here, list) or not 1 <= step <= len(here):
            raise CannotChangeError(f"there is no entry {step}")
        return here[step - 1]
    key = next((k for k in here if fold(k) == step), None) if isinstance(here, dict) else None
    if key is None:
        raise CannotChangeError(f"there is no `{step}` in the record")
    return here[key]


def _changed(text: str, way: Way, value: str | None) -> str:
    record = _compose(text)
    for step in way[:-1]:
        if isinstance(step, int):
            record = record.value[step - 1] if isinstance(record, yaml.SequenceNode) else record
        else:
            record = _value_of(record, step)
    if isinstance(record, yaml.SequenceNode):
        record = record.value[0]
    pair = next((p for p in record.value if fold(p[0].value) == way[-1]), None)
    if value is None:
        return _without(text, record, pair)
    indent = " " * record.start_mark.column
    lines = scalar(value, f"{indent}  ")
    if pair:
        return _replaced(text, pair, lines)
    if record.flow_style:
        raise CannotChangeError("it is written in braces; change it in an editor")
    name = str(way[-1])
    new = "\n".join([f"{indent}{name}: {lines[0]}", *lines[1:]]) + "\n"
    text = _ended(text)
    before = [v for k, v in record.value if place_of(fold(k.value)) <= place_of(name)]
    at = _line_start_after(text, _last_offset(text, (before or [record.value[-1][1]])[-1]))
    if not before and len(way) == 1:  # it comes first of all
        at = record.value[0][0].start_mark.index
    return text[:at] + new + text[at:]


def _replaced(text: str, pair: tuple[Any, Any], lines: list[str]) -> str:
    key, value = pair
    text = _ended(text)
    start, end = value.start_mark.index, _last_offset(text, value)
    if isinstance(value, yaml.CollectionNode):
        if re.search(r"(?m)^\s*#|\s#", text[start:end]):
            raise CannotChangeError("there are comments in it; change it in an editor")
        if value.start_mark.line > key.start_mark.line:
            start = text.index(":", key.end_mark.index) + 1
            lines = [f" {lines[0]}", *lines[1:]]
    elif start == end:  # nothing was written after the colon
        start = end = text.index(":", key.end_mark.index) + 1
        lines = [f" {lines[0]}", *lines[1:]]
    if len(lines) > 1 and text[end:].split("\n", 1)[0].strip():
        raise CannotChangeError("a comment stands beside it; change it in an editor")
    return text[:start] + "\n".join(lines) + text[end:]


def _without(text: str, record: Any, pair: tuple[Any, Any] | None) -> str:
    if pair is None or record.flow_style:
        raise CannotChangeError("it is written in braces; change it in an editor")
    key, value = pair
    text = _ended(text)
    start = text.rfind("\n", 0, key.start_mark.index) + 1
    if text[start : key.start_mark.index].strip():
        raise CannotChangeError("it is the first field of its entry; change it in an editor")
    end = _line_start_after(text, max(_last_offset(text, value), key.end_mark.index))
    is_text = isinstance(value, yaml.ScalarNode) and value.style in ("|", ">")
    if not is_text and "#" in text[max(_last_offset(text, value), key.end_mark.index) : end]:
        raise CannotChangeError("a comment stands beside it; change it in an editor")
    if isinstance(value, yaml.CollectionNode) and re.search(r"(?m)^\s*#", text[start:end]):
        raise CannotChangeError("there are comments in it; change it in an editor")
    return text[:start] + text[end:]


def _compose(text: str) -> Any:
    return yaml.compose(text, Loader=yaml.CBaseLoader)


def _value_of(record: Any, name: str) -> Any:
    return next((v for k, v in record.value if fold(k.value) == name), None)


def _last_offset(text: str, node: Any) -> int:
    """Return the offset after what a node says: comments and empty lines behind it left out."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        node = node.value[-1]
        if isinstance(node, tuple):
            node = node[1]
    start, end = int(node.start_mark.index), int(node.end_mark.index)
    return start + len(text[start:end].rstrip("\n"))


def _line_start_after(text: str, offset: int) -> int:
    end = text.find("\n", offset)
    return len(text) if end < 0 else end + 1
