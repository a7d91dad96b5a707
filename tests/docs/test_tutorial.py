"""The tutorial is followed word for word, in a clean folder, and ends with a published book."""

import os
from pathlib import Path

import pytest
import scratch
from markdown_pages import Command, blocks, commands
from test_doc_commands import serve, unsaid

from buildbook.records.read import read

PAGE = "docs/tutorial.md"
NOT_RUN = ("pip install .",)
"""Asks a package registry; a test of the wheel installs it."""

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the page shows lines for a Unix shell")


def test_tutorial(tmp_path):
    scratch.picture(tmp_path / "phone" / "IMG_0412.jpg")
    here = tmp_path
    expected = {"buildbook check": [0, 1, 0, 0]}
    steps = sorted(
        (
            *((b.line, b) for b in blocks(PAGE) if b.language == "yaml"),
            *((c.line, c) for c in commands(PAGE) if not c.mentioned),
        ),
        key=lambda step: step[0],
    )
    for _, step in steps:
        if not isinstance(step, Command):
            _write(step, here)
        elif step.words.startswith("cd "):
            here /= step.words.removeprefix("cd ")
        elif step.words.startswith("buildbook serve"):
            serve(step.words, here)
        elif step.words not in NOT_RUN:
            ended, said = scratch.shell(step.words, here)
            at = f"{PAGE}:{step.line}: {step.words}\n{said}"
            assert ended == (expected.get(step.words) or [0]).pop(0), at
            assert not (lack := unsaid(step.answer, said)), f"not `{lack}`: {at}"
    published = (tmp_path / "public" / "index.html").read_text(encoding="utf-8")
    assert "The Fencroft book" in published
    reading = read(here / "content")
    assert not reading.problems
    assert len(reading.book.sessions) == 2


def _write(block, here: Path) -> None:
    """Write a file as the page says, or what it says into the end of one."""
    end = "at the end of "
    path = here / block.title.removeprefix(end)
    text = block.text
    if block.title.startswith(end):
        before = path.read_text(encoding="utf-8")
        begin = block.lines[0]
        assert begin in before.splitlines(), f"{block.at}: the file has no `{begin}`"
        text = before[: before.index(f"{begin}\n")] + text
    scratch.write(path, text)
