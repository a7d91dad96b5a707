"""Findings shown: as text for people, as JSON, as workflow annotations."""

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from buildbook.cli.words import many
from buildbook.printable import printable
from buildbook.records.problems import Finding, Severity

_WIDTH = 100


def render(findings: Sequence[Finding], form: str, content: Path) -> str:
    """Render findings in one of FORMATS, ending with a line end."""
    return FORMATS[form](findings, content)


def as_text(findings: Sequence[Finding], content: Path) -> str:
    """Show each finding with its line and a caret, then a count."""
    blocks = [one_finding(f, content) for f in findings]
    errors = sum(f.severity is Severity.ERROR for f in findings)
    warnings = len(findings) - errors
    if not findings:
        return "no problems\n"
    counts = [_count(errors, "error"), _count(warnings, "warning")]
    return "\n".join([*blocks, ", ".join(c for c in counts if c)]) + "\n"


def _count(n: int, noun: str) -> str:
    return many(n, noun) if n else ""


def one_finding(finding: Finding, content: Path) -> str:
    """Compose `file:line:column: severity: message`, the line, a caret, and the advice."""
    where = f"{_path(finding, content)}:{finding.line}:{finding.column}"
    shown = [f"{where}: {finding.severity}: {printable(finding.message)} [{finding.code}]"]
    if finding.text.strip():
        line, column = _clip(finding.text, finding.column)
        shown += [f"    {line}", f"    {' ' * (column - 1)}^"]
    if finding.advice:
        shown.append(f"  {printable(finding.advice)}")
    return "\n".join(shown) + "\n"


def _path(finding: Finding, content: Path) -> str:
    """Name the file; bytes in its name that are no letters become question marks."""
    path = (content / finding.file).as_posix()
    return printable(path.encode("utf-8", "replace").decode())


def _clip(text: str, column: int) -> tuple[str, int]:
    """Cut a long line to what surrounds the column; tabs and odd characters become one space."""
    text = printable(text)
    start = max(0, column - _WIDTH // 2) if len(text) > _WIDTH else 0
    return text[start : start + _WIDTH], column - start


def as_json(findings: Sequence[Finding], content: Path) -> str:
    """Show the findings as a JSON list."""
    rows = [{**asdict(f), "file": _path(f, content)} for f in findings]
    return json.dumps(rows, indent=2, ensure_ascii=False) + "\n"


def as_github(findings: Sequence[Finding], content: Path) -> str:
    """Show the findings as workflow commands, which a forge turns into annotations."""
    lines = []
    for f in findings:
        said = f"{f.message}. {f.advice}" if f.advice else f.message
        lines.append(
            f"::{f.severity} file={_escape(_path(f, content), ':,')},line={f.line},"
            f"col={f.column},title={f.code}::{_escape(said)}\n"
        )
    return "".join(lines)


def _escape(text: str, more: str = "") -> str:
    for char in "%\r\n" + more:
        text = text.replace(char, f"%{ord(char):02X}")
    return text


FORMATS: dict[str, Callable[[Sequence[Finding], Path], str]] = {
    "text": as_text,
    "json": as_json,
    "github": as_github,
}
