"""A table from a CSV file: its letters, its separator and its rows, whatever wrote it.

CSV is as RFC 4180 describes it, and as spreadsheets write it: other separators, other encodings.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from io import StringIO
from itertools import islice

MAX_BYTES = 5_000_000
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes"}
_SAMPLE, _SAMPLE_ROWS = 8_000, 60
_NO_TEXT = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")
"""How spreadsheet and PDF files begin."""


class NoTableError(Exception):
    """The file is not a table that can be read; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row that is not empty."""

    line: int
    """Line of the file it begins on, from 1."""
    cells: tuple[str, ...]
    """As written: blanks belong to a cell (RFC 4180, section 2, rule 4)."""


@dataclass(frozen=True, slots=True)
class Table:
    """What a file says."""

    rows: tuple[Row, ...]
    separator: str
    encoding: str
    """Name of the encoding, for people."""
    is_guess: bool
    """The encoding is a guess: letters with accents may be wrong."""
    text: str = ""
    """All of it, for whoever shows a line."""


def read_table(raw: bytes) -> Table:
    """Read the bytes of a file. Raises NoTableError."""
    text, encoding, is_guess = decode(raw)
    # A first line that some spreadsheets write and read, and that is not part of the table.
    told = re.match(r"sep=(.)\r?\n", text)
    separator = told[1] if told else _separator(text)
    rows = list(_rows(text[told.end() :] if told else text, separator, 1 if told else 0))
    if not rows:
        raise NoTableError("there is nothing in it")
    return Table(tuple(rows), separator, encoding, is_guess, text)


def decode(raw: bytes) -> tuple[str, str, bool]:
    """Return what bytes say, the name of their encoding, and whether it is a guess.

    Raises NoTableError.
    """
    if len(raw) > MAX_BYTES:
        raise NoTableError(f"it has {len(raw):,} bytes; a list has at most {MAX_BYTES:,}")
    if raw.startswith(_NO_TEXT):
        raise NoTableError("it is not text: open it in a spreadsheet and save it as CSV")
    for mark, name, words in (
        (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
        (b"\xff\xfe", "utf-16", "UTF-16"),
        (b"\xfe\xff", "utf-16", "UTF-16"),
    ):
        if raw.startswith(mark):
            return _checked(raw, name, words), words, False
    if len(raw) > 1 and raw.count(0) * 3 > len(raw):  # every other byte of plain text in UTF-16
        name = "utf-16-be" if raw[::2].count(0) > raw[1::2].count(0) else "utf-16-le"
        return _checked(raw, name, "UTF-16"), "UTF-16", False
    try:
        return _without_nul(raw.decode("utf-8")), "UTF-8", False
    except UnicodeDecodeError:
        pass
    try:
        return _without_nul(raw.decode("cp1252")), "Windows-1252", True
    except UnicodeDecodeError:
        return _without_nul(raw.decode("latin-1")), "Latin-1", True


def _checked(raw: bytes, encoding: str, words: str) -> str:
    try:
        return _without_nul(raw.decode(encoding))
    except UnicodeDecodeError:
        raise NoTableError(
            f"it begins as {words} and goes on as something else: save it again as UTF-8"
        ) from None


def _without_nul(text: str) -> str:
    if "\0" in text:
        raise NoTableError("it is not text: open it in a spreadsheet and save it as CSV")
    return text


def _separator(text: str) -> str:
    """Find the separator: the sniffer's, if it fits every row; else the one that fits most.

    The sniffer counts letters and is swayed by commas inside texts and numbers.
    """
    try:
        sniffed = csv.Sniffer().sniff(text[:_SAMPLE], delimiters="".join(SEPARATORS)).delimiter
    except csv.Error:
        sniffed = ","
    fits = {s: _fit(text, s) for s in SEPARATORS}
    if fits.get(sniffed, (False,))[:2] == (True, 1.0):
        return sniffed
    return max(fits, key=fits.__getitem__)


def _fit(text: str, separator: str) -> tuple[bool, float, int]:
    """Tell whether rows have several cells, which share of them has the usual number, and it."""
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator)
    try:
        widths = Counter(len(row) for row in islice(reader, _SAMPLE_ROWS) if any(row))
    except csv.Error:
        return False, 0.0, 0
    if not widths:
        return False, 0.0, 0
    usual, count = widths.most_common(1)[0]
    return usual > 1, count / widths.total(), usual


def _rows(text: str, separator: str, before: int) -> Iterator[Row]:
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator, strict=True)
    line = before + 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise NoTableError(_in_words(str(error), line)) from None
        if cells is None:
            return
        if any(cell.strip() for cell in cells):
            yield Row(line, tuple(cells))
        line = before + reader.line_num + 1


def _in_words(said: str, line: int) -> str:
    if "unexpected end" in said or "field larger" in said:
        return f"a quotation mark that is opened in line {line} or in its row is never closed"
    if "expected after" in said:
        return (
            f"after a closing quotation mark in the row of line {line} comes more text: inside "
            "quotation marks, write each one twice"
        )
    return f"the row of line {line} cannot be read: {said}"
