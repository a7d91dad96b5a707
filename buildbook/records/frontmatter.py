"""The head of a hand-written page: for which editions it is."""

import re
from dataclasses import dataclass
from typing import Any

from buildbook.records.problems import did_you_mean
from buildbook.records.readers import EDITIONS, FULL
from buildbook.records.record import fold
from buildbook.records.yamlfile import read_yaml

# The two spellings of a head that MkDocs takes off a page: YAML between lines of dashes, or lines
# of `name: value` down to the first empty one.
_FENCED = re.compile(r"-{3}[ \t]*\n(.*?\n)(?:-{3}|\.{3})[ \t]*(?:\n|\Z)", re.DOTALL)
_LINES = re.compile(r"(?: {0,3}[A-Za-z0-9_-]+:[^\n]*\n| {4,}\S[^\n]*\n)+")
_MARKS = re.compile(r"^\s*(private|editions?)\s*:", re.MULTILINE | re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class For:
    """Whom a hand-written page is for."""

    private: bool = False
    editions: tuple[str, ...] | None = None
    """Those that it is in, beside the full one; all of them when None."""
    wrong: tuple[str, str] | None = None
    """What is wrong in its head, and advice; then it is in the full edition only."""

    def is_in(self, edition: str, *, private_notes: bool) -> bool:
        """Tell whether an edition has the page; `private_notes` is whether it holds such."""
        if edition == FULL:
            return True
        if self.wrong or (self.private and not private_notes):
            return False
        return self.editions is None or edition in self.editions


def whom_for(text: str) -> For:
    """Read the head of a hand-written page. One that cannot be read keeps the page private."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    found = _FENCED.match(text) or _LINES.match(text)
    if not found:
        torn = text.startswith("---") and _MARKS.search(text[:2000])
        return _unreadable() if torn else For()
    head = found[1] if found.re is _FENCED else found[0]
    if not _MARKS.search(head):
        return For()
    file = read_yaml("", head.encode("utf-8", "surrogateescape"))
    if not isinstance(file.data, dict) or file.torn:
        return _unreadable()
    said = {fold(str(name)): value for name, value in file.data.items()}
    private, wrong = _yes(said.get("private", "no"))
    named = said.get("editions", said.get("edition"))
    editions, astray = _editions(named) if named is not None else (None, None)
    return For(private, editions, wrong or astray)


def _unreadable() -> For:
    said = "the head of this page cannot be read, so it is in the full edition only"
    return For(wrong=(said, "write `private: yes` or `editions: owner` between two lines `---`"))


def _yes(value: Any) -> tuple[bool, tuple[str, str] | None]:
    folded = str(value).strip().casefold()
    if folded in ("yes", "true", "on", "y", "no", "false", "off", "n"):
        return folded in ("yes", "true", "on", "y"), None
    said = f"`{value}` is neither yes nor no, so the page is in the full edition only"
    return True, (said, "write `private: yes` or `private: no`")


def _editions(value: Any) -> tuple[tuple[str, ...], tuple[str, str] | None]:
    words = value if isinstance(value, list) else str(value).strip("[] ").split(",")
    names = tuple(str(word).strip().casefold() for word in words if str(word).strip())
    for name in names:
        if name not in EDITIONS:
            said = f"there is no edition `{name}`, so the page is in the full edition only"
            return names, (said, did_you_mean(name, EDITIONS, name="editions"))
    return names, None
