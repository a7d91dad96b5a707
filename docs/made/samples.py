"""A sample of each kind of record, from the demo book or from what `buildbook init` makes."""

import re
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path

from buildbook.cli.init import starter_files
from buildbook.records.kinds import Kind, kind_of

DEMO = Path(__file__).parents[2] / "content"
DAY = "2025-03-08"
"""Stands for the day on which a book is begun."""
_STARTER = ("book", "sections", "lessons", "squawks")
"""Kinds whose records in the demo are too long for a sample, or stand in its sessions."""


def sample(kind: Kind) -> str:
    """Return one record of a kind, as it stands in its file. Raises LookupError for none."""
    texts = _starter(kind) if kind.name in _STARTER else _demo(kind)
    lines = min(texts, key=len).splitlines()
    # The first line tells an editor its schema, comments before the record tell what it is for.
    begin = next(i for i, line in enumerate(lines) if line and not line.startswith("#"))
    record = lines[begin:]
    if record[0].startswith("- "):
        record[1:] = takewhile(lambda line: not line.startswith("- "), record[1:])
    return "\n".join(record).rstrip()


def _demo(kind: Kind) -> list[str]:
    files = DEMO.rglob("*.yml")
    found = [f for f in sorted(files) if kind_of(f.relative_to(DEMO).as_posix()) is kind]
    if not found:
        raise LookupError(f"the demo book has no {kind.name}")
    return [file.read_text(encoding="utf-8") for file in found]


def _starter(kind: Kind) -> list[str]:
    return [
        "\n".join(_awake(text))
        for name, text in starter_files(DAY)
        if name.startswith("content/") and kind_of(name.removeprefix("content/")) is kind
    ]


def _awake(text: str) -> Iterator[str]:
    """Take the `# ` away from a record that a builder would take it away from."""
    lines = text.splitlines()
    if any(line and not line.startswith("#") for line in lines):
        yield from (line for line in lines if not re.match(r" *# ", line))
        return
    record = False
    for line in lines:
        record = record or line.startswith("# - ")
        yield line.removeprefix("# ") if record else line
