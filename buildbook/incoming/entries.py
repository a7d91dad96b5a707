"""What was written down elsewhere, before anything of it is understood: entries and their cells."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.printable import printable
from buildbook.records.problems import Finding, Severity

MARK = "# Brought in from"
"""How the line begins that says where a session's file comes from."""
_MARKED = re.compile(rf"^{MARK} .*\((?P<mark>[0-9a-f]{{12}})\)\s*?$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Cell:
    """Words under a heading."""

    field: str
    """What of a session they are taken for; empty when they are only to be kept."""
    heading: str
    words: str
    """As written, blanks around them left out; never empty."""
    line: int
    """Where they stand in the file, from 1."""
    column: int
    text: str
    """The line they stand in, as written."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a table, or one note."""

    file: str
    """The file it stands in, as it was named."""
    line: int
    """Line it begins on, from 1."""
    text: str
    """That line, as written."""
    cells: tuple[Cell, ...]
    mark: str
    """Stands for what it says: 12 hexadecimal digits, of SHA-256."""
    body: str = ""
    """Running text of a note, in which more may be recognised."""
    body_line: int = 1
    """Line on which that begins."""
    torn: bool = False
    """Its head cannot be read, and is left in the text."""

    def finding(
        self,
        code: str,
        said: str,
        advice: str = "",
        cell: Cell | None = None,
        *,
        error: bool = False,
    ) -> Finding:
        """Tell what is wrong with it, or with a cell of it, as problems of records are told."""
        severity = Severity.ERROR if error else Severity.WARNING
        line, column, text = (
            (cell.line, cell.column, cell.text) if cell else (self.line, 1, self.text)
        )
        return Finding(code, severity, self.file, line, column, said, advice, text)

    @property
    def origin(self) -> str:
        """The comment that says in a session's file where it comes from."""
        name = re.split(r"[\\/]", self.file)[-1]
        return f"{MARK} {printable(name)}, line {self.line} ({self.mark})"


def mark_of(words: Iterable[str]) -> str:
    """Make the mark that stands for words: the same words in the same order have the same one."""
    plain = (" ".join(word.split()) for word in words)
    whole = "\x1f".join(word for word in plain if word)
    return hashlib.sha256(whole.encode("utf-8", "replace")).hexdigest()[:12]


def marks_in(text: str) -> list[str]:
    """List the marks of what a file was made from."""
    return [found["mark"] for found in _MARKED.finditer(text)]
