"""Completion in the shell: installed by one command, asked of the real shells."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import ShellComplete
from click.testing import CliRunner, Result
from fencroft import make_book

from buildbook.cli.main import cli

SHELLS = ("bash", "zsh", "fish")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "ZDOTDIR"):
        monkeypatch.delenv(name, raising=False)
    folder = tmp_path / "home of 'ada'"
    folder.mkdir()
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("SHELL", "/bin/bash")
    monkeypatch.chdir(make_book(tmp_path).parent)
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["completion", *words], catch_exceptions=False)


def test_installing_for_bash(home: Path) -> None:
    (home / ".bashrc").write_text("alias ll='ls -l'")
    result = run("--install")
    assert result.exit_code == 0, result.output
    script = home / ".local/share/buildbook/completion.bash"
    start = home / ".bashrc"
    first, line = start.read_text().splitlines()
    assert first == "alias ll='ls -l'"
    assert line.endswith("# completion for buildbook")
    assert f"written: {script}" in result.output
    assert f"added to {start}:\n  {line}\n" in result.output
    assert "_BUILDBOOK_COMPLETE=bash_complete" in script.read_text()


@pytest.mark.parametrize("shell", SHELLS)
def test_installing_again_changes_nothing(home: Path, shell: str) -> None:
    def everything() -> dict[str, bytes]:
        return {str(p): p.read_bytes() for p in home.rglob("*") if p.is_file()}

    assert run("--install", "--shell", shell).exit_code == 0
    before = everything()
    assert before
    result = run("--install", "--shell", shell)
    assert "is there already" in result.output
    assert everything() == before


def test_an_older_line_of_ours_is_replaced(home: Path) -> None:
    (home / ".zshrc").write_text("first\n. /old/place  # completion for buildbook\nlast\n")
    assert run("--install", "--shell", "zsh").exit_code == 0
    lines = (home / ".zshrc").read_text().splitlines()
    assert lines[:2] == ["first", "last"]
    assert len(lines) == 3
    assert "compinit" in lines[2]


@pytest.mark.parametrize("shell", SHELLS)
@pytest.mark.usefixtures("home")
def test_showing(shell: str) -> None:
    result = run("--show", "--shell", shell)
    assert result.exit_code == 0
    assert f"_BUILDBOOK_COMPLETE={shell}_complete" in result.output


@pytest.mark.parametrize(
    ("words", "shell", "said"),
    [
        ([], "/bin/bash", "say what to do"),
        (["--install", "--show"], "/bin/bash", "say what to do"),
        (["--install"], "/bin/oddsh", "your shell is not known; name it with --shell"),
        (["--install"], "", "your shell is not known"),
    ],
)
def test_what_cannot_be_done_is_said(
    home: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], shell: str, said: str
) -> None:
    monkeypatch.setenv("SHELL", shell)
    result = run(*words)
    assert result.exit_code == 2
    assert said in result.output
    assert not list(home.iterdir())


COMPLETED = [
    ("clo", ["clock"]),
    ("clock in fin/", ["fin/skeleton", "fin/close"]),
    ("clock in fin/close --operation d", ["deburr", "drill"]),
    ("clock in fin/close --who ada,b", ["ada,ben"]),
    ("clock out --parts FN", ["FN-01", "FN-02-L"]),
    ("next --section ru", ["rudder"]),
    ("amend 2025", ["2025-03-08"]),
    ("amend 2025-03-08 --by i", ["ines"]),
    ("write --qu", ["--quick"]),
]


@pytest.mark.parametrize(("typed", "offered"), COMPLETED)
@pytest.mark.usefixtures("home")
def test_what_is_offered(typed: str, offered: list[str]) -> None:
    path = Path("content/sessions/2025-03-08.yml")
    path.parent.mkdir()
    path.write_text("date: 2025-03-08\nstep: fin/close\nhours: 1\n")
    Path("content/lots.yml").write_text("this: is [broken\n")
    *words, last = typed.split(" ")
    complete = ShellComplete(cli, {}, "buildbook", "_BUILDBOOK_COMPLETE")
    assert [item.value for item in complete.get_completions(words, last)] == offered


@pytest.mark.usefixtures("home")
def test_without_a_book_nothing_is_offered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    complete = ShellComplete(cli, {}, "buildbook", "_BUILDBOOK_COMPLETE")
    assert complete.get_completions(["clock", "in"], "") == []


def test_bash_itself_completes(home: Path, tmp_path: Path) -> None:
    bash = shutil.which("bash")
    if not bash:
        pytest.skip("no bash")
    assert run("--install").exit_code == 0
    programs = tmp_path / "bin"
    programs.mkdir()
    program = programs / "buildbook"
    program.write_text(
        f"#!{sys.executable}\nfrom buildbook.cli.main import main\nmain()\n", encoding="utf-8"
    )
    program.chmod(0o755)
    script = """
        . "$HOME/.bashrc"
        complete -p buildbook >/dev/null || exit 9
        COMP_WORDS=(buildbook clock in fin/s) COMP_CWORD=3
        _buildbook_completion buildbook
        echo "${COMPREPLY[@]}"
    """
    done = subprocess.run(
        [bash, "--norc", "-c", script],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path.cwd(),
        env={**os.environ, "PATH": f"{programs}:{os.environ['PATH']}", "HOME": str(home)},
    )
    assert (done.returncode, done.stdout.strip()) == (0, "fin/skeleton"), done.stderr


def test_help_loads_no_command() -> None:
    """Listing the commands must stay quick: nothing that reads books or draws pages is loaded."""
    program = (
        "import sys\nfrom buildbook.cli.main import cli\n"
        "cli.main(['--help'], standalone_mode=False)\n"
        "heavy = {'pydantic', 'mkdocs', 'prompt_toolkit', 'yaml', 'pint', 'PIL', 'markdown'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stderr.strip() == "[]"
    for name in ("clock", "write", "next", "amend", "completion"):
        assert f"  {name} " in done.stdout
