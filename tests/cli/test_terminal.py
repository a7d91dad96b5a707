"""The questions in a real terminal: keys, completion, Ctrl-C, a terminal that is closed."""

import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fencroft import make_book, read_clean

pexpect = pytest.importorskip("pexpect", reason="no pseudo-terminals here")

PROGRAM = "from buildbook.cli.main import main; main()"
ERASE = "\x7f"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return make_book(tmp_path)


@pytest.fixture
def terminal(content: Path) -> Iterator["pexpect.spawn[str]"]:
    env = {**os.environ, "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"}
    child = pexpect.spawn(
        sys.executable,
        ["-c", PROGRAM, "write"],
        cwd=str(content.parent),
        env=env,
        encoding="utf-8",
        dimensions=(40, 100),
        timeout=120,
    )
    yield child
    child.close(force=True)


def answer(terminal: "pexpect.spawn[str]", question: str, keys: str) -> None:
    terminal.expect_exact(question)
    terminal.send(keys)


def kept(content: Path) -> dict[str, str]:
    return json.loads((content.parent / ".buildbook/drafts/session.json").read_text())


def test_a_session_is_typed_with_completion(content: Path, terminal: "pexpect.spawn[str]") -> None:
    answer(terminal, "Date:", f"{ERASE * 10}2025-03-08\r")
    answer(terminal, "Step:", "skel\t")
    terminal.expect_exact("fin/skeleton")  # completed, with its title beside it
    terminal.send("\r")
    answer(terminal, "How long", "2h30\r")
    answer(terminal, "Who:", "\r")
    answer(terminal, "Operation", "deburr\r")
    answer(terminal, "Parts", "FN-02-L\r")
    answer(terminal, "Pieces of FN-02-L", "01 to 04\r")
    answer(terminal, "What was done", "Deburred: four ribs.\r\r")
    answer(terminal, "What comes next", "\r")
    answer(terminal, "Is the step finished?", "n\r")
    answer(terminal, "[s]ave", "s\r")
    terminal.expect_exact("saved as content/sessions/2025-03-08.yml")
    terminal.expect(pexpect.EOF)
    terminal.wait()
    assert terminal.exitstatus == 0
    session = read_clean(content).book.sessions["2025-03-08"]
    assert (session.step, session.hours) == ("fin/skeleton", 150)
    assert session.pieces == {"": ("01 to 04",)}
    assert session.notes == "Deburred: four ribs."


def test_ctrl_c_keeps_what_was_typed(content: Path, terminal: "pexpect.spawn[str]") -> None:
    answer(terminal, "Date:", "\r")
    answer(terminal, "Step:", "rudder/sp")
    terminal.expect_exact("rudder/sp")
    terminal.sendcontrol("c")
    terminal.expect_exact("what you typed is kept")
    terminal.expect(pexpect.EOF)
    assert kept(content)["step"] == "rudder/sp"


def test_a_terminal_that_is_closed_keeps_what_was_typed(
    content: Path, terminal: "pexpect.spawn[str]"
) -> None:
    answer(terminal, "Date:", "\r")
    answer(terminal, "Step:", "rudder/spar\r")
    answer(terminal, "How long", "2h1")
    terminal.expect_exact("2h1")
    terminal.close(force=True)
    assert kept(content)["hours"] == "2h1"
    assert not list(content.glob("sessions/*"))
