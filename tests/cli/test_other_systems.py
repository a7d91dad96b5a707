"""What other systems do otherwise, as far as it can be tried on this one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from fencroft import make_book

PROGRAM = "from buildbook.cli.main import main; main()"


@pytest.mark.parametrize("encoding", ["cp1252", "cp850"])
def test_a_pipe_that_takes_few_letters(tmp_path: Path, encoding: str) -> None:
    """On Windows a pipe has the letters of a code page: what it lacks is shown by its code."""
    session = (
        "date: 2025-03-08\nstep: fin/close\nhours: 1\nnotes: see FN-99 \N{RIGHTWARDS ARROW} x\n"
    )
    make_book(tmp_path, {"sessions/a.yml": session})
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, "check"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"see FN-99 \\u2192 x" in done.stdout


def test_a_book_begins_with_its_line_ends_kept(tmp_path: Path) -> None:
    """Git for Windows may change line ends, and a seal is of bytes (gitattributes(5), `text`)."""
    command = [sys.executable, "-c", PROGRAM, "init"]
    subprocess.run(command, cwd=tmp_path, check=True, capture_output=True)
    lines = (tmp_path / ".gitattributes").read_text(encoding="utf-8").splitlines()
    assert "* -text" in lines
    made = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert not [path for path in made if b"\r" in path.read_bytes()]
