"""Records written as YAML, quoted wherever a program could read them as something else."""

import json
import re
from collections.abc import Iterable
from pathlib import PurePath

from buildbook.printable import printable
from buildbook.records.part import Part
from buildbook.records.quantities import Quantity

_EDITOR = "# yaml-language-server: $schema=../../.buildbook/schema/parts.json"
_ORDER = (
    "part",
    "name",
    "hand",
    "material",
    "temper",
    "thickness",
    "quantity",
    "received",
    "damaged",
)
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_./ ()-]*")
# Words that YAML 1.1 or 1.2 reads as yes, no or nothing.
_WORDS = frozenset(["y", "yes", "n", "no", "true", "false", "on", "off", "null"])
# What the reader refuses to find in a file as it is, and JSON does not escape.
_HIDDEN = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def scalar(text: str) -> str:
    """Write one text, with quotation marks unless it can only be read as that text."""
    is_plain = _PLAIN.fullmatch(text) and text == text.strip() and text.lower() not in _WORDS
    if is_plain:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _HIDDEN.sub(lambda c: f"\\u{ord(c.group()):04x}", quoted)


def field(name: str, value: str | int | Quantity) -> str:
    """Write one field, as `name: value`."""
    if isinstance(value, Quantity):
        value = value.written
    return f"{name}: {value if isinstance(value, int) else scalar(value)}"


def part_file(parts: Iterable[Part], source: str) -> str:
    """Write a file of parts; `source` names the list they come from."""
    lines = [_EDITOR, f"# From {printable(PurePath(source).name)}."]
    for part in parts:
        said = [n for n in _ORDER if n in part.model_fields_set and getattr(part, n) is not None]
        for i, name in enumerate(said):
            lines.append(("  " if i else "- ") + field(name, getattr(part, name)))
    return "\n".join(lines) + "\n"
