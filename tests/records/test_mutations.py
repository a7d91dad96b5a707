"""Whatever happens to a good book, reading it never fails, and every finding has its place.

The good files of `base/` are damaged at random: bytes, characters, lines, names of fields, values.
"""

import os
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.cli.check import check
from buildbook.records.read import Reading, read

BASE = Path(__file__).parent / "base"
FILES = {
    path.relative_to(BASE).as_posix(): path.read_bytes()
    for path in sorted(BASE.rglob("*"))
    if path.suffix in (".yml", ".md")
}
EXAMPLES = int(os.environ.get("BUILDBOOK_EXAMPLES", "400"))

ODD_TEXTS = (
    "\t",
    "\x00",
    "\x85",
    "\u2028",
    "\ufeff",
    "\u200b",
    "\x1b[31m",
    "\r",
    "\n",
    "\n\n",
    "\n---\n",
    "\n...\n",
    ":",
    ": ",
    "- ",
    "\n-\n",
    "[",
    "]",
    "{",
    "}",
    '"',
    "'",
    "|",
    ">",
    "|2\n",
    "&a ",
    "*a",
    "!x ",
    "!!python/name:os.system ",
    "? ",
    "%",
    "@",
    "`",
    "#",
    ",",
    "<<: ",
    "~",
    "é",
    "工",
    "\U0001f6e9",
    "²",
    "١٢",
    "{n:99999999}",
    "lesson 999999999999",
    "[x](part:)",
    "](",
    "```",
    "\\",
)
ODD_VALUES = (
    "",
    "''",
    "~",
    "null",
    "yes",
    "[]",
    "{}",
    "[[a]]",
    "[{a: b}]",
    "{a: {b: c}}",
    "{1: 2}",
    "[~]",
    "0",
    "-1",
    "00",
    "010",
    "0x1F",
    "0o17",
    "1e3",
    "1e999",
    ".inf",
    ".nan",
    "9" * 400,
    "-" + "9" * 50,
    "1_000",
    "²",
    "١٢",
    "2025-13-45",
    "0001-01-01",
    "9999-12-31",
    "1900-01-01",
    "2199-12-31",
    "2025-03-30",
    "24:00",
    "2:30",
    "23:59:59",
    "12:30 am",
    "2:30+99:99",
    "02:30+14:59",
    "02:30Z",
    "P9999999999W",
    "P1Y",
    "PT",
    "2h30",
    "99999999 h",
    "999999 h 999999 min",
    "0.000001",
    "1/0 in",
    "1 1/3 in",
    "1/99999999999 m",
    "999999999999 m",
    "1 m**999999",
    "1 in*in",
    "5 %",
    "-400 °C",
    "1 kg/m",
    "3 dB",
    "2 furlongs",
    "1 delta_degC",
    "{n:02}",
    "{part}{part}{n}",
    "{n!r}",
    "{0}",
    "{",
    "%s",
    "../../etc/passwd",
    "/etc/passwd",
    "photos",
    "x" * 350,
    "x" * 100_000,
    "a/b/c",
    "fin/",
    "/",
    "all",
    "all, all",
    "1 to 5000",
    "1 to 99999999999",
    "9 to 1",
    "a1 to b2",
    "port",
    "FN-01",
    "FN-02-L-07",
    "fin/skeleton",
    "ada",
    "label",
    "Europe",
    "Etc/GMT+14",
    "../UTC",
    "\\",
    "=",
    "<<",
    "*x",
    "&x",
    "!x",
)
ODD_NAMES = (
    "",
    "?",
    "[a]",
    "{a: b}",
    "<<",
    "=",
    "-date",
    "DATE",
    "Date",
    "date",
    "step",
    "work",
    "pieces",
    "parts",
    "notes",
    "(record)",
    "(number)",
    "[key]",
    "field",
    "said",
    "__class__",
    "model_config",
    "place",
    "x" * 300,
    "1",
    "é",
)


@st.composite
def damaged(draw: st.DrawFn) -> tuple[str, bytes]:
    """Draw a file's name and what becomes of its bytes."""
    name = draw(st.sampled_from(sorted(FILES)))
    raw = FILES[name]
    for _ in range(draw(st.integers(1, 3))):
        raw = draw(st.sampled_from((_bytes, _characters, _lines, _field, _field, _field)))(
            draw, raw
        )
    return name, raw


def _bytes(draw: st.DrawFn, raw: bytes) -> bytes:
    start = draw(st.integers(0, len(raw)))
    end = draw(st.integers(start, min(len(raw), start + 20)))
    return raw[:start] + draw(st.binary(max_size=6)) + raw[end:]


def _characters(draw: st.DrawFn, raw: bytes) -> bytes:
    text = raw.decode("utf-8", "replace")
    at = draw(st.integers(0, len(text)))
    odd = draw(st.sampled_from(ODD_TEXTS) | st.text(max_size=4))
    return (text[:at] + odd + text[at:]).encode("utf-8", "surrogatepass")


def _lines(draw: st.DrawFn, raw: bytes) -> bytes:
    lines = raw.split(b"\n")
    i, j = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    match draw(st.integers(0, 4)):
        case 0:
            del lines[i]
        case 1:
            lines.insert(j, lines[i])
        case 2:
            lines[i] = b" " * draw(st.integers(1, 4)) + lines[i]
        case 3:
            lines[i] = lines[i].lstrip()
        case _:
            lines[i], lines[j] = lines[j], lines[i]
    return b"\n".join(lines)


_FIELD = re.compile(r"^([ ]*(?:- )?)([\w ]+):(?: (.*))?$", re.MULTILINE)


def _field(draw: st.DrawFn, raw: bytes) -> bytes:
    text = raw.decode("utf-8", "replace")
    fields = list(_FIELD.finditer(text))
    if not fields:
        return raw
    found = draw(st.sampled_from(fields))
    indent, name, value = found[1], found[2], found[3] or ""
    match draw(st.integers(0, 3)):
        case 0:
            name = draw(st.sampled_from(ODD_NAMES))
            line = f"{indent}{name}: {value}"
        case 1:
            line = f"{found[0]}\n{' ' * len(indent)}{name}: {value}"
        case 2:
            line = indent
        case _:
            line = f"{indent}{name}: {draw(st.sampled_from(ODD_VALUES))}"
    return (text[: found.start()] + line + text[found.end() :]).encode("utf-8", "surrogatepass")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    copy = tmp_path_factory.mktemp("mutations") / "content"
    return shutil.copytree(BASE, copy)


def _has_places(reading: Reading) -> None:
    for finding in reading.findings():
        file = reading.files.get(finding.file)
        text = file.text if file else reading.book.notes.get(finding.file, "")
        lines = text.split("\n")
        assert 1 <= finding.line <= len(lines), finding
        assert 1 <= finding.column <= len(lines[finding.line - 1]) + 1, finding
        assert finding.message, finding
        assert finding.text == lines[finding.line - 1]


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize="BUILDBOOK_EXAMPLES" not in os.environ,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(change=damaged())
def test_a_damaged_book_is_read(folder: Path, change: tuple[str, bytes]) -> None:
    name, raw = change
    path = folder / name
    path.write_bytes(raw)
    try:
        _has_places(read(folder, date(2026, 1, 1)))
        result = CliRunner().invoke(check, [str(folder)])
    finally:
        path.write_bytes(FILES[name])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.exit_code in (0, 1), result.output
    assert "Traceback" not in result.output
