"""`buildbook amend`: corrections that keep what was there, and refuse new mistakes."""

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result
from fencroft import make_book, read_clean
from keys import Keyboard, keyboard

from buildbook.cli.main import cli
from buildbook.records.read import read

SESSION = """\
# yaml-language-server: $schema=../../.buildbook/schema/sessions.json
date: 2025-03-08
step: fin/skeleton
hours: 2h30   # from the wall clock
notes: Clamped the spar.
"""


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in [n for n in os.environ if n.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    monkeypatch.chdir(tmp_path)
    return make_book(tmp_path, {"sessions/2025-03-08.yml": SESSION})


@pytest.fixture
def committed(content: Path) -> Path:
    if not shutil.which("git"):
        pytest.skip("no git")
    for words in (
        ["init", "-q"],
        ["add", "content"],
        ["-c", "user.name=A", "-c", "user.email=a@example.org", "commit", "-qm", "first"],
    ):
        subprocess.run(["git", *words], cwd=content.parent, check=True)
    return content


def run(*words: str, keys: Keyboard | None = None) -> Result:
    if keys:
        keys.leave()
    return CliRunner().invoke(cli, ["amend", *words], catch_exceptions=False)


def file(content: Path) -> Path:
    return content / "sessions/2025-03-08.yml"


def drafts(content: Path) -> list[Path]:
    return sorted((content.parent / ".buildbook" / "drafts").glob("*"))


def test_without_git_the_record_keeps_the_old_words(content: Path) -> None:
    result = run("2025-03-08", "--set", "hours=2h45", "--set", "next=Deburr.")
    assert result.exit_code == 0, result.output
    assert "its earlier words are in its `amendments`" in result.output
    assert "- hours: 2h30   # from the wall clock" in result.output
    text = file(content).read_text()
    assert text.startswith(
        SESSION.replace("2h30", "2h45").rstrip("\n") + "\nnext: Deburr.\namendments:\n"
    )
    (session,) = read_clean(content).book.sessions.values()
    assert [(a.field, a.was, a.why) for a in session.amendments] == [
        ("hours", "2h30", None),
        ("next", None, None),
    ]


def test_with_git_its_history_does(committed: Path) -> None:
    result = run("2025-03-08", "--set", "hours=2h45")
    assert result.exit_code == 0, result.output
    assert "its earlier words are in git's history (" in result.output
    assert file(committed).read_text() == SESSION.replace("2h30", "2h45")


@pytest.mark.parametrize("more", [["--why", "Miscounted."], ["--in-record"], ["--by", "ben"]])
def test_a_reason_is_kept_in_the_record_with_git_too(committed: Path, more: list[str]) -> None:
    result = run("2025-03-08", "--set", "hours=2h45", *more)
    assert "are in its `amendments` and in git's history (" in result.output
    (session,) = read_clean(committed).book.sessions.values()
    (amendment,) = session.amendments
    assert amendment.was == "2h30"
    assert (amendment.why or amendment.by or "") in {"Miscounted.", "ben", ""}


def test_what_is_not_committed_yet_is_kept_in_the_record(committed: Path) -> None:
    assert run("2025-03-08", "--set", "hours=2h45").exit_code == 0
    result = run("2025-03-08", "--set", "hours=3h")
    assert "its earlier words are in its `amendments`\n" in result.output
    (session,) = read_clean(committed).book.sessions.values()
    assert [a.was for a in session.amendments] == ["2h45"]


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("hours=some", "`some` is not a duration"),
        ("step=fin/skeletn", "there is no step `fin/skeletn`"),
        ("step=", "the session does not say what was worked on"),
        ("houres=3h", "there is no field `houres` here"),
        ("who=zoe", "there is no person `zoe`"),
    ],
)
def test_new_mistakes_are_not_saved(content: Path, setting: str, said: str) -> None:
    result = run("2025-03-08", "--set", setting)
    assert result.exit_code == 1
    assert said in result.output
    assert "not saved: it would have mistakes that were not there before" in result.output
    assert file(content).read_text() == SESSION
    (draft,) = drafts(content)
    assert draft.name in result.output


def test_old_mistakes_do_not_stop_a_correction(content: Path) -> None:
    broken = SESSION.replace("fin/skeleton", "fin/skeletn") + "who: zoe\n"
    file(content).write_text(broken)
    assert run("2025-03-08", "--set", "step=fin/skeleton").exit_code == 0
    assert {p.code for p in read(content).problems} == {"unknown-person"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["2025-03-09", "--set", "hours=1"], "there is no session `2025-03-09`; did you mean"),
        (["2025-03-08", "--set", "hours"], "`hours` sets nothing; write FIELD=VALUE"),
        (["2025-03-08", "--set", "=1"], "names no field"),
        (["2025-03-08", "--set", "lots="], "there is no `lots` to take away"),
        (["2025-03-08", "--set", "hours="], "a comment stands beside it"),
        (["2025-03-08", "--set", "work.1.hours=1"], "there is no `work` in the record"),
        (["2025-03-08", "--set", "notes=a\0b"], "cannot be seen"),
        (["2025-03-08", "--set", "hours=1", "--by", "zoe"], "there is no person `zoe`"),
        (["2025-03-08"], "nobody is at the terminal to use an editor"),
    ],
)
def test_what_cannot_be_done_is_said(content: Path, words: list[str], said: str) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert said in result.output
    assert file(content).read_text() == SESSION


@pytest.mark.parametrize(
    "name", ["2025-03-08", "content/sessions/2025-03-08.yml", "2025-03-08.yml"]
)
def test_a_session_is_found_by_date_page_or_file(content: Path, name: str) -> None:
    assert run(name, "--set", "hours=3h").exit_code == 0
    assert content


def test_two_sessions_of_a_date(content: Path) -> None:
    for title in ("One", "Two"):
        text = SESSION + f"title: {title}\n"
        (content / f"sessions/{title}.yml").write_text(text)
    file(content).unlink()
    result = run("2025-03-08", "--set", "hours=3h")
    assert result.exit_code == 2
    assert "several sessions are meant by `2025-03-08`: 2025-03-08-one, 2025-03-08-two" in (
        result.output
    )
    assert run("2025-03-08-two", "--set", "hours=3h").exit_code == 0


def test_setting_what_is_there_changes_nothing(content: Path) -> None:
    result = run("2025-03-08", "--set", "hours=2h30")
    assert (result.exit_code, result.output) == (0, "nothing was changed\n")
    assert file(content).read_text() == SESSION


# In an editor ------------------------------------------------------------------------------------


@pytest.fixture
def editor(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Let an editor replace words in what it is given, the first time these, then those."""

    def use(*replacements: tuple[str, str]) -> None:
        left = iter(replacements)

        def edit(filename: str, **_: Any) -> None:
            path = Path(filename)
            path.write_text(path.read_text().replace(*next(left)))

        monkeypatch.setattr(click, "edit", edit)

    return use


def test_in_an_editor(
    content: Path, editor: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    editor(("Clamped the spar.", "Clamped both spars."))
    with keyboard(monkeypatch) as keys:
        result = run("2025-03-08", "--why", "There were two.", keys=keys)
    assert result.exit_code == 0, result.output
    (session,) = read_clean(content).book.sessions.values()
    assert session.notes == "Clamped both spars."
    assert session.amendments[0].was == "Clamped the spar."
    assert not drafts(content)


def test_a_mistake_is_edited_again(
    content: Path, editor: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    editor(("hours: 2h30", "hours: 2x"), ("hours: 2x", "hours: 2h"))
    with keyboard(monkeypatch) as keys:
        keys.type("y")
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 0, result.output
    assert "`2x` is not a duration" in result.output
    assert read_clean(content).book.sessions["2025-03-08"].hours == 120


def test_a_mistake_that_is_given_up_is_kept_and_gone_on_with(
    content: Path, editor: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    editor(("hours: 2h30", "hours: 2x"))
    with keyboard(monkeypatch) as keys:
        keys.type("n")
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 1
    assert file(content).read_text() == SESSION
    (draft,) = drafts(content)
    assert draft.name in result.output
    editor(("hours: 2x", "hours: 2h"))
    with keyboard(monkeypatch) as keys:
        keys.type("y")
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 0, result.output
    assert read_clean(content).book.sessions["2025-03-08"].hours == 120


def test_earlier_amendments_cannot_be_edited_away(
    content: Path, editor: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    run("2025-03-08", "--set", "hours=2h45")
    before = file(content).read_text()
    editor(("was: 2h30", "was: 2h40"))
    with keyboard(monkeypatch) as keys:
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 1
    assert "earlier amendments were changed" in result.output
    assert file(content).read_text() == before


def test_another_program_that_changed_the_file_meanwhile(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edit(filename: str, **_: Any) -> None:
        path = Path(filename)
        path.write_text(path.read_text().replace("2h30", "3h"))
        file(content).write_text(SESSION + "next: Prime.\n")

    monkeypatch.setattr(click, "edit", edit)
    with keyboard(monkeypatch) as keys:
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 1
    assert "was changed by another program meanwhile" in result.output
    assert file(content).read_text() == SESSION + "next: Prime.\n"
    assert len(drafts(content)) == 1


def test_comments_alone_leave_no_amendment(
    content: Path, editor: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    editor(("# from the wall clock", "# from the phone"))
    with keyboard(monkeypatch) as keys:
        result = run("2025-03-08", keys=keys)
    assert result.exit_code == 0
    assert file(content).read_text() == SESSION.replace("wall clock", "phone")
