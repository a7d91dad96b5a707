"""`buildbook check`: what it prints, and the status it ends with."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildbook.cli.check import check
from buildbook.cli.report import as_text
from buildbook.records.problems import Finding, Severity

BASE = Path(__file__).parents[1] / "records" / "base"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return shutil.copytree(BASE, tmp_path / "content")


READ = "4 sessions, 3 steps, 3 parts read\n"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(check, arguments)


def broken(book: Path) -> None:
    (book / "sessions" / "new.yml").write_text("date: 2025-04-01\nstep: fin/skelton\nhours: 1\n")


def doubtful(book: Path) -> None:
    (book / "photos" / "extra.jpg").write_bytes(b"")


def test_a_good_book(book: Path) -> None:
    result = run(str(book))
    assert (result.exit_code, result.output) == (0, "no problems\n" + READ)


def test_errors_end_with_one(book: Path) -> None:
    broken(book)
    result = run(str(book))
    assert result.exit_code == 1
    assert result.output == (
        f"{book.as_posix()}/sessions/new.yml:2:7: error: there is no step `fin/skelton`"
        " [unknown-step]\n"
        "    step: fin/skelton\n"
        "          ^\n"
        "  did you mean `fin/skeleton`?\n"
        "\n"
        "1 error\n" + READ.replace("4 sessions", "5 sessions")
    )


def test_warnings_count_when_strict(book: Path) -> None:
    doubtful(book)
    assert run(str(book)).exit_code == 0
    result = run(str(book), "--strict")
    assert result.exit_code == 1
    assert result.output.endswith("1 warning\n" + READ)


def test_json(book: Path) -> None:
    broken(book)
    [finding] = json.loads(run(str(book), "--format", "json").output)
    assert finding == {
        "code": "unknown-step",
        "severity": "error",
        "file": f"{book.as_posix()}/sessions/new.yml",
        "line": 2,
        "column": 7,
        "message": "there is no step `fin/skelton`",
        "advice": "did you mean `fin/skeleton`?",
        "text": "step: fin/skelton",
    }


def test_annotations(book: Path) -> None:
    broken(book)
    assert run(str(book), "--format", "github").output == (
        f"::error file={book.as_posix()}/sessions/new.yml,line=2,col=7,title=unknown-step"
        "::there is no step `fin/skelton`. did you mean `fin/skeleton`?\n"
    )


def test_no_book(tmp_path: Path) -> None:
    result = run(str(tmp_path / "nowhere"))
    assert result.exit_code == 2
    assert "there is no folder" in result.output
    result = run(str(tmp_path))
    assert result.exit_code == 2
    assert "there is no book.yml" in result.output


def test_the_command_itself_ends_with_the_same_status(book: Path) -> None:
    def status(folder: Path) -> int:
        command = [sys.executable, "-c", "from buildbook.cli.main import main; main()", "check"]
        return subprocess.run([*command, str(folder)], capture_output=True, check=False).returncode

    assert status(book) == 0
    broken(book)
    assert status(book) == 1
    assert status(book / "nowhere") == 2


@pytest.mark.skipif(sys.platform != "linux", reason="file names are bytes on Linux only")
def test_a_name_that_is_no_text(book: Path) -> None:
    (Path(os.fsdecode(os.fsencode(book / "sessions") + b"/\xff\n.yml"))).write_text("date: soon\n")
    for form in ("text", "json", "github"):
        result = run(str(book), "--format", form)
        assert result.exit_code == 1
        assert result.exception is None or isinstance(result.exception, SystemExit)
        assert "`soon` is not a date" in result.output


def finding(text: str, column: int) -> Finding:
    return Finding("x", Severity.ERROR, "a.yml", 1, column, "wrong", "", text)


def test_a_long_line_is_cut_around_the_caret() -> None:
    text = "a" * 300 + "X" + "b" * 300
    _, line, caret, *_ = as_text([finding(text, 301)], Path()).split("\n")
    assert line[caret.index("^")] == "X"
    assert len(line) <= 104


def test_what_a_terminal_would_obey_is_not_printed() -> None:
    assert "\x1b" not in as_text([finding("a\x1b[31m", 1)], Path("\x1b[31m"))
