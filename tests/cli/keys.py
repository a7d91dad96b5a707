"""Typing at the program's questions, as at a terminal."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from buildbook.cli import amend, asking, clock, write

CTRL_C, CTRL_D, ENTER = "\x03", "\x04", "\r"


@dataclass
class Keyboard:
    """Keys that are there to be read."""

    pipe: PipeInput
    sent: list[str] = field(default_factory=list)

    def type(self, *lines: str) -> None:
        """Type lines, each ended with Enter."""
        for line in lines:
            self.press(line + ENTER)

    def leave(self) -> None:
        """Go away: a question that no key is left for ends as by Ctrl-D."""
        self.pipe.close()

    def press(self, keys: str) -> None:
        """Press keys, and no Enter after them."""
        self.sent.append(keys)
        self.pipe.send_text(keys)


@contextmanager
def keyboard(monkeypatch: pytest.MonkeyPatch) -> Iterator[Keyboard]:
    """Let somebody be at the terminal."""
    for module in (asking, amend, clock, write):  # each has the function under its own name
        monkeypatch.setattr(module, "at_terminal", lambda: True)
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        yield Keyboard(pipe)
