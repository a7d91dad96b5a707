"""Corrections of sessions, and what keeps the words that stood there before.

Git's history keeps them where the file is in it, to the byte; elsewhere, and where a reason is
given, the record itself does, in its `amendments`.
"""

import subprocess
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from buildbook.records.yamlfile import read_yaml
from buildbook.writing.fieldlines import CannotChangeError, Way, show_way, with_entries
from buildbook.writing.yamltext import Plain, as_yaml

_AMENDMENTS = "amendments"


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[tuple[Way, Any]]:
    """List the fields that two readings of a session differ in, each with what it was.

    None stands for a field that was not there. Lists that grew or shrank are one difference.
    Amendments themselves are left out.
    """
    pairs = _unlike({**before, _AMENDMENTS: None}, {**after, _AMENDMENTS: None}, ())
    return list(pairs)


def _unlike(before: Any, after: Any, way: Way) -> Iterator[tuple[Way, Any]]:
    if isinstance(before, dict) and isinstance(after, dict):
        for key in dict.fromkeys((*before, *after)):
            yield from _unlike(before.get(key), after.get(key), (*way, key))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for i, (one, other) in enumerate(zip(before, after, strict=True), 1):
            yield from _unlike(one, other, (*way, i))
    elif before != after:
        yield way, before


def amended(raw: bytes, original: bytes, on: date, why: str = "", by: str = "") -> bytes:
    """Return a changed session's bytes with what it said before in its `amendments`.

    Raises CannotChangeError when earlier amendments were changed, or the file is better changed
    by hand; CannotWriteError for characters that cannot be seen.
    """
    before, after = _data(original), _data(raw)
    earlier = before.get(_AMENDMENTS) or []
    if (after.get(_AMENDMENTS) or [])[: len(earlier)] != earlier:
        raise CannotChangeError("earlier amendments were changed; they stay as they are")
    entries = []
    for way, was in differences(before, after):
        entry: dict[str, Plain] = {"date": on.isoformat(), "field": show_way(way)}
        if was is not None:
            entry["was"] = was if isinstance(was, str) else _as_text(was)
        entry |= {name: text for name, text in (("why", why), ("by", by)) if text}
        entries.append(entry)
    return with_entries(raw, _AMENDMENTS, entries) if entries else raw


def _data(raw: bytes) -> dict[str, Any]:
    data = read_yaml("session", raw).data
    return data if isinstance(data, dict) else {}


def _as_text(value: Any) -> str:
    """Write a list or a record that stood there, as YAML."""
    if isinstance(value, dict):
        return as_yaml(value)
    if all(isinstance(v, str) for v in value):
        return ", ".join(value)
    lines = as_yaml({"a": value}).split("\n")[1:]
    return "\n".join(line.removeprefix("  ") for line in lines)


def in_history(file: Path) -> str:
    """Return the commit that holds a file as it is on the disk, abbreviated; empty if none does.

    A file with changes that are not committed is not in history, nor is one outside of a work
    tree, or where there is no git.
    """
    if _git(file, "ls-files", "--error-unmatch", "--", file.name) is None:
        return ""
    if _git(file, "diff", "--quiet", "HEAD", "--", file.name) is None:
        return ""
    return (_git(file, "log", "-1", "--format=%h", "--", file.name) or "").strip()


def _git(file: Path, *words: str) -> str | None:
    """Ask git about a file; None when it says no or is not there."""
    command = ["git", "--no-optional-locks", "-C", str(file.parent), *words]
    try:
        done = subprocess.run(  # noqa: S603 - no shell, and nothing of it comes from a record
            command, capture_output=True, check=False, timeout=30
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout.decode("utf-8", "replace") if done.returncode == 0 else None
