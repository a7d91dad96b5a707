"""`buildbook next`: short enough for a terminal, and in words."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from fencroft import make_book
from sites import ROOT

from buildbook.cli.main import cli

SESSION = """\
date: 2025-03-08
step: fin/skeleton
operation: deburr
parts: FN-02-L
pieces: 01 to 04
hours: 2h30
squawks:
  - {squawk: 1, title: Bent flange, pieces: FN-02-L-04}
  - {squawk: 2, title: "Jig \\e[31m out of true", before: fin/skeleton}
"""


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return make_book(tmp_path, {"sessions/2025-03-08.yml": SESSION})


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["next", *words], catch_exceptions=False)


@pytest.mark.usefixtures("content")
def test_what_is_next() -> None:
    result = run()
    assert result.exit_code == 0
    assert result.output == (
        "Fin\n"
        "  fin/skeleton: Skeleton (begun, 2 h 30, 8 h planned)\n"
        "    next    deburr: FN-01; FN-02-L 05 to 06\n"
        "    next    drill: FN-02-L 01 to 03\n"
        "    held    drill: FN-02-L 04, by squawk 1\n"
        "    squawk  2, open: Jig  [31m out of true\n"
        "    lesson  1: Deburr before drilling\n"
        "    lacks   photo asked for: Spar from behind\n"
        "  fin/close: Skins on (ahead)\n"
        "\n"
        "Rudder\n"
        "  rudder/spar: Spar (ahead, 2 h planned)\n"
    )


def test_tools_that_a_step_needs_are_listed_ahead(content: Path) -> None:
    tools = "- {tool: level, title: Level, owner: borrowed from Ben, due: 2025-01-31}\n"
    (content / "tools.yml").write_text(tools, encoding="utf-8")
    [plan] = [f for f in content.rglob("*.yml") if "  - step: close\n" in f.read_text("utf-8")]
    text = plan.read_text(encoding="utf-8")
    assert text.count("  - step: close\n") == 1
    plan.write_text(text.replace("  - step: close\n", "  - step: close\n    tools: level\n"))
    said = " ".join(run().output.split())
    assert "tools Level (borrowed from Ben), calibration was due on 2025-01-31" in said


@pytest.mark.usefixtures("content")
def test_one_section() -> None:
    assert run("--section", "rudder").output.startswith("Rudder\n  rudder/spar")
    result = run("--section", "ruder")
    assert result.exit_code == 2
    assert "there is no section `ruder`; did you mean `rudder`?" in result.output


def test_steps_that_are_far_ahead_are_counted(content: Path) -> None:
    more = "".join(f"  - {{step: s{n}, title: S, without parts: yes}}\n" for n in range(5))
    (content / "sections/030-wing.yml").write_text(f"section: wing\ntitle: Wing\nsteps:\n{more}")
    assert "  wing/s0: S (ahead)\n  and 4 more steps ahead\n" in run().output
    assert run("--section", "wing").output.count("(ahead)") == 5


def test_what_is_due_of_the_whole_book(content: Path) -> None:
    assert "\nDue\n" not in run().output
    (content / "lots.yml").write_text(
        "- {lot: old, title: Old primer, expires: 2025-02-01}\n"
        "- {lot: fresh, title: Fresh primer, expires: 2150-02-01}\n"
        "- {lot: empty, title: Empty tin, expires: 2025-02-01, used up: 2025-01-01}\n"
    )
    (content / "notices.yml").write_text(
        "- {notice: SB-1, title: Look at the spar, issued: 2025-01-02, applies: yes,"
        " sections: fin, due: 2025-03-01}\n"
        "- {notice: SB-2, title: Another skin, issued: 2025-01-02, sections: fin}\n"
    )
    due = run().output.partition("\nDue\n")[2]
    assert due == (
        "  lot     old expired: Old primer (since 2025-02-01)\n"
        "  notice  do SB-1: Look at the spar (since 2025-03-01)\n"
        "  notice  decide SB-2: Another skin (soon)\n"
    )
    assert "\nDue\n" not in run("--section", "fin").output


def test_when_all_is_done(content: Path) -> None:
    for step in ("fin/skeleton", "fin/close", "rudder/spar"):
        name = step.replace("/", "-")
        (content / f"sessions/{name}.yml").write_text(
            f"date: 2025-03-09\ntitle: {name}\nstep: {step}\nhours: 1\nfinished: yes\n"
        )
    assert run().output.startswith("every step of the book is finished\n")
    assert run("--section", "fin").output == "every step of fin is finished\n"


def test_the_demo_book_fits_into_80_columns() -> None:
    result = run("--content", str(ROOT / "content"))
    assert result.exit_code == 0
    assert max(map(len, result.output.split("\n"))) <= 80
    for words in ("next ", "held ", "squawk ", "lesson ", "lacks "):
        assert words in result.output
