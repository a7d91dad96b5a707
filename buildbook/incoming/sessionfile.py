"""Adding to a session file that a builder wrote: every byte that is there stays as it is.

A round trip through a YAML library keeps comments and order and yet lays lists out anew; lines
put in at the right place do not. That the result says the old record and the new entries, and
nothing else, is checked by reading it.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

from buildbook.records.yamlfile import read_yaml


class CannotAddError(Exception):
    """The file is better changed by hand; the message says why."""


def with_entries(path: Path, entries: Sequence[Mapping[str, str]], field: str = "photos") -> bytes:
    """Return a session file's bytes with entries added at the end of its `photos` or `clips`.

    The file is not written. Raises CannotAddError when it has problems, or when the result would
    say anything else than the old record with the new entries; OSError when it cannot be read.
    """
    raw = path.read_bytes()
    before = read_yaml(path.name, raw)
    if before.problems or not isinstance(before.data, dict):
        raise CannotAddError("it has problems that `buildbook check` tells; mend them first")
    there = before.data.get(field, [])
    if not isinstance(there, list):
        raise CannotAddError(f"its `{field}` is not a list")
    added = _added(raw.decode("utf-8-sig"), entries, field)
    after = read_yaml(path.name, added.encode())
    wanted = {**before.data, field: [*there, *map(dict, entries)]}
    if after.problems or after.data != wanted:
        raise CannotAddError("its layout is unusual; paste the entries by hand")
    return (b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b"") + added.encode()


def _added(text: str, entries: Sequence[Mapping[str, str]], field: str) -> str:
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines(keepends=True)
    if lines and not lines[-1].endswith(("\n", "\r")):
        lines[-1] += end
    root: Any = yaml.compose(text.replace("\r\n", "\n"), Loader=yaml.CBaseLoader)
    there = next((v for k, v in root.value if k.value == field), None)
    if there is None or not isinstance(there, yaml.SequenceNode) or not there.value:
        return "".join([*lines, *(f"{ln}{end}" for ln in as_lines(entries, field))])
    if there.flow_style:
        raise CannotAddError(f"its `{field}` is written in brackets; paste the entries by hand")
    indent = " " * there.start_mark.column
    new = [f"{indent}{ln}{end}" for ln in as_lines(entries, field, indent="")[1:]]
    at = _line_after(there.value[-1])
    return "".join([*lines[:at], *new, *lines[at:]])


def _line_after(node: Any) -> int:
    """Find the line, from 0, that follows what a node says."""
    while not isinstance(node, yaml.ScalarNode) and node.value:
        node = node.value[-1]
        if isinstance(node, tuple):
            node = node[1]
    mark = node.end_mark
    return int(mark.line if mark.column == 0 else mark.line + 1)


def as_lines(
    entries: Sequence[Mapping[str, str]], field: str = "photos", indent: str = "  "
) -> list[str]:
    """Write entries of photos or clips as lines of YAML, to be pasted into a session file."""
    lines = [f"{field}:"]
    for entry in entries:
        for i, (name, value) in enumerate(entry.items()):
            lines.append(f"{indent}{'- ' if i == 0 else '  '}{name}: {_quoted(value)}")
    return lines


def _quoted(value: str) -> str:
    """Quote a value that would be read as something else, or not at all, without quotes."""
    if read_yaml("value", f"a: {value}".encode()).data == {"a": value}:
        return value
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
