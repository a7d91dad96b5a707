"""What the documents on editions and publishing say is what the program does."""

import re
from pathlib import Path

import pytest
import yaml
from sites import ROOT

from buildbook.cli.main import COMMANDS
from buildbook.records.editions import Editions, Holding, held
from buildbook.records.readers import EDITIONS

HOW_TO = ROOT / "docs" / "how-to"
YES = {True: "yes", False: "no"}


def rows(file: Path) -> dict[str, list[str]]:
    found = {}
    for line in file.read_text(encoding="utf-8").splitlines():
        if line.startswith("| `"):
            name, *cells = [cell.strip() for cell in line.strip("|").split("|")]
            found[name.strip("`")] = cells
    return found


def test_the_table_of_editions() -> None:
    said = rows(HOW_TO / "editions.md")
    assert set(EDITIONS) <= said.keys()
    for name, info in Holding.model_fields.items():
        if name == "private":
            continue
        _, *defaults = said[info.alias or name]
        for edition, cell in zip(("public", "inspector", "owner"), defaults, strict=True):
            for book in (False, True):
                value = getattr(held(Editions(), edition, costs=book, full_size=book), name)
                shown = value if isinstance(value, str) else YES[value]
                follows = value == book and cell.startswith("as ")
                assert cell == shown or follows, (name, edition)


@pytest.mark.parametrize("file", ["editions.md", "exports.md", "publish.md"])
def test_commands_are_there(file: str) -> None:
    text = (HOW_TO / file).read_text(encoding="utf-8")
    for command in re.findall(r"\$ buildbook ([a-z-]+)", text):
        assert command in COMMANDS
    for link in re.findall(r"\]\(([^):]+)\)", text):
        assert (HOW_TO / link).is_file(), link


def test_the_workflow_is_one() -> None:
    flow = yaml.safe_load((HOW_TO / "publish-workflow.yml").read_text(encoding="utf-8"))
    steps = flow["jobs"]["publish"]["steps"]
    commands = [step["run"].split() for step in steps if "run" in step]
    ours = [words[1] for words in commands if words[0] == "buildbook"]
    assert ours == ["check", "publish", "publish"]
    assert set(ours) <= COMMANDS.keys()
    [uploaded] = [s["with"]["path"] for s in steps if "upload-pages" in s.get("uses", "")]
    assert f"--to {uploaded}" in " ".join(commands[-1])
