"""When records were written: real version histories, and such as would do harm."""

import os
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from sites import BASE

from buildbook.handover.contemporary import history, past
from buildbook.handover.versions import NoHistoryError, commit_of
from buildbook.ledger.written import FileHistory, written
from buildbook.records.read import read

pytestmark = pytest.mark.skipif(not shutil.which("git"), reason="no git")
ZONE = ZoneInfo("Europe/Copenhagen")
SESSION = "date: 2025-03-08\nstep: fin/skeleton\nhours: 2h30\nnotes: Clamped the rear spar.\n"
Git = Callable[..., str]


@pytest.fixture
def git(tmp_path: Path) -> Git:
    def run(*words: str, when: str = "2025-03-09T12:00:00+0000") -> str:
        env = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
        env |= {
            "GIT_AUTHOR_NAME": "Ada",
            "GIT_AUTHOR_EMAIL": "ada@example.org",
            "GIT_COMMITTER_NAME": "Ada",
            "GIT_COMMITTER_EMAIL": "ada@example.org",
            "GIT_AUTHOR_DATE": when,
            "GIT_COMMITTER_DATE": when,
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_NOSYSTEM": "1",
        }
        command = ["git", "-C", str(tmp_path), *words]
        return subprocess.run(
            command, env=env, check=True, capture_output=True, text=True
        ).stdout.strip()

    run("init", "-q", "-b", "main")
    return run


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    (folder / "sessions").mkdir(parents=True)
    for name, text in BASE.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text))
    return folder


def commit(git: Git, when: str) -> None:
    git("add", "-A")
    git("commit", "-q", "--allow-empty", "-m", "Work\n\nand more", when=when)


def day(text: str) -> date:
    return date.fromisoformat(text)


def test_first_and_later(git: Git, content: Path) -> None:
    file = content / "sessions" / "a.yml"
    file.write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    commit(git, "2025-03-10T12:00:00+0000")  # nothing in it
    file.write_text(SESSION + "next: Rivets.\n")
    commit(git, "2025-04-01T12:00:00+0000")
    (content.parent / "other.txt").write_text("x")
    commit(git, "2025-05-01T12:00:00+0000")
    found = history(content, ZONE)
    assert found["sessions/a.yml"] == FileHistory(day("2025-03-09"), (day("2025-04-01"),))
    assert not any("other" in name for name in found)


def test_days_are_the_workshops(git: Git, content: Path) -> None:
    """23:30 in Greenwich is the next day in Copenhagen."""
    (content / "sessions" / "a.yml").write_text(SESSION)
    commit(git, "2025-03-08T23:30:00+0000")
    assert history(content, ZONE)["sessions/a.yml"].first == day("2025-03-09")
    assert history(content, ZoneInfo("UTC"))["sessions/a.yml"].first == day("2025-03-08")


def test_another_name_is_no_change(git: Git, content: Path) -> None:
    file = content / "sessions" / "a.yml"
    file.write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    file = file.rename(content / "sessions" / "ünders pår.yml")
    commit(git, "2025-04-01T12:00:00+0000")
    file.write_text(SESSION.replace("2h30", "3h"))
    commit(git, "2025-05-01T12:00:00+0000")
    (content / "sessions" / "2025").mkdir()
    file.rename(content / "sessions" / "2025" / "b.yml")
    (content / "sessions" / "2025" / "b.yml").write_text(SESSION.replace("2h30", "4h"))
    commit(git, "2025-06-01T12:00:00+0000")
    found = history(content, ZONE)
    assert found["sessions/2025/b.yml"] == FileHistory(
        day("2025-03-09"), (day("2025-05-01"), day("2025-06-01"))
    )
    assert [name for name in found if name.startswith("sessions/")] == ["sessions/2025/b.yml"]


def test_two_files_that_exchange_their_names(git: Git, content: Path) -> None:
    a, b = content / "sessions" / "a.yml", content / "sessions" / "b.yml"
    a.write_text(SESSION * 3)
    commit(git, "2025-03-09T12:00:00+0000")
    b.write_text("quite something else\n" * 30)
    commit(git, "2025-03-10T12:00:00+0000")
    a.rename(content / "c")
    b.rename(a)
    (content / "c").rename(b)
    commit(git, "2025-04-01T12:00:00+0000")
    found = history(content, ZONE)
    # Git itself tells no exchange: both files stay and are other ones, which shows as a change.
    assert found["sessions/a.yml"] == FileHistory(day("2025-03-09"), (day("2025-04-01"),))
    assert found["sessions/b.yml"] == FileHistory(day("2025-03-10"), (day("2025-04-01"),))


def test_a_name_that_was_anothers(git: Git, content: Path) -> None:
    a, b = content / "sessions" / "a.yml", content / "sessions" / "b.yml"
    a.write_text("an old file\n" * 20)
    commit(git, "2025-01-01T12:00:00+0000")
    a.unlink()
    commit(git, "2025-02-01T12:00:00+0000")
    b.write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    b.rename(a)
    commit(git, "2025-04-01T12:00:00+0000")
    assert history(content, ZONE)["sessions/a.yml"] == FileHistory(day("2025-03-09"), ())


def test_taken_away_and_back_again_hides_nothing(git: Git, content: Path) -> None:
    file = content / "sessions" / "a.yml"
    for when, text in (("03-09", SESSION), ("04-01", None), ("05-01", SESSION + "next: More.\n")):
        if text:
            file.write_text(text)
        else:
            file.unlink()
        commit(git, f"2025-{when}T12:00:00+0000")
    assert history(content, ZONE)["sessions/a.yml"] == FileHistory(
        day("2025-03-09"), (day("2025-04-01"), day("2025-05-01"))
    )
    file.unlink()
    commit(git, "2025-06-01T12:00:00+0000")
    assert "sessions/a.yml" not in history(content, ZONE)


def test_branches_that_were_brought_together(git: Git, content: Path) -> None:
    (content / "sessions" / "a.yml").write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    git("checkout", "-q", "-b", "phone")
    (content / "sessions" / "b.yml").write_text(SESSION.replace("03-08", "03-11"))
    commit(git, "2025-03-12T12:00:00+0000")
    git("checkout", "-q", "main")
    (content / "sessions" / "c.yml").write_text(SESSION.replace("03-08", "03-13"))
    commit(git, "2025-03-14T12:00:00+0000")
    git("merge", "-q", "--no-ff", "-m", "Together", "phone", when="2025-04-01T12:00:00+0000")
    found = history(content, ZONE)
    assert found["sessions/b.yml"] == FileHistory(day("2025-03-12"), ())
    assert found["sessions/c.yml"] == FileHistory(day("2025-03-14"), ())


def test_figures_of_the_book(git: Git, content: Path) -> None:
    sessions = {"a": "2025-03-08", "b": "2025-03-09", "c": "2025-03-20", "d": "2025-04-20"}
    for name, on in sessions.items():
        if name != "d":
            text = SESSION.replace("2025-03-08", on)
            (content / "sessions" / f"{name}.yml").write_text(text)
            commit(git, {"a": "2025-03-08", "b": "2025-03-12", "c": "2025-04-19"}[name] + "T12:00Z")
    (content / "sessions" / "d.yml").write_text(SESSION.replace("2025-03-08", "2025-04-20"))
    found = written(read(content).book, history(content, ZONE))
    assert [row.days for row in found.rows] == [0, 3, 30, None]
    assert found.known == (0, 3, 30)
    assert found.median == 3
    assert found.soon == 2
    assert found.amended == 0


# No history to be had.


def test_without_a_history(content: Path) -> None:
    with pytest.raises(NoHistoryError, match="not kept in a version history"):
        history(content, ZONE)
    assert past(content, ZONE).silent == "the book is not kept in a version history"
    assert commit_of(content) == ""


def test_before_the_first_commit(git: Git, content: Path) -> None:
    assert git("status")
    assert past(content, ZONE).silent == "nothing was committed yet"


def test_without_git(git: Git, content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    commit(git, "2025-03-09T12:00:00+0000")
    monkeypatch.setenv("PATH", str(content))
    assert past(content, ZONE).silent == "the program git is not on this computer"


def test_a_shallow_copy_does_not_date_everything_to_its_end(
    git: Git, content: Path, tmp_path: Path
) -> None:
    (content / "sessions" / "a.yml").write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    commit(git, "2025-08-09T12:00:00+0000")
    copy = tmp_path / "copy"
    git("clone", "-q", "--depth", "1", f"file://{tmp_path}", str(copy))
    assert "shallow copy" in past(copy / "content", ZONE).silent


def test_a_damaged_history(git: Git, content: Path, tmp_path: Path) -> None:
    (content / "sessions" / "a.yml").write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    for path in (tmp_path / ".git" / "objects").rglob("*"):
        if path.is_file():
            path.chmod(0o644)
            path.write_bytes(b"broken")
    assert past(content, ZONE).silent


def test_variables_of_a_hook_lead_nowhere_else(
    git: Git, content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Git sets these while it runs a hook, of whatever repository."""
    commit(git, "2025-03-09T12:00:00+0000")
    monkeypatch.setenv("GIT_DIR", "/nowhere")
    monkeypatch.setenv("GIT_INDEX_FILE", "/nowhere/index")
    assert commit_of(content) == git("rev-parse", "HEAD")


# Nothing in a book is run.


def test_settings_of_a_repository_start_nothing(
    git: Git, content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (content / "sessions" / "a.yml").write_text(SESSION)
    commit(git, "2025-03-09T12:00:00+0000")
    (content / "sessions" / "a.yml").write_text(SESSION + "next: More.\n")
    (content / ".gitattributes").write_text("* diff=evil filter=evil\n")
    commit(git, "2025-03-10T12:00:00+0000")
    blob = git("rev-parse", "HEAD:content/sessions/a.yml")
    missing = (blob, git("rev-parse", "HEAD^{tree}"))
    canary = tmp_path / "canary"
    evil = tmp_path / "evil.sh"
    evil.write_text(f'#!/bin/sh\necho "$0 $@" >> {canary}\nexit 1\n')
    evil.chmod(0o755)
    for name in (
        "core.fsmonitor",
        "core.pager",
        "core.editor",
        "core.sshCommand",
        "core.askPass",
        "core.gitProxy",
        "core.alternateRefsCommand",
        "diff.external",
        "diff.evil.command",
        "diff.evil.textconv",
        "filter.evil.clean",
        "filter.evil.smudge",
        "filter.evil.process",
        "gpg.program",
        "gpg.ssh.program",
        "credential.helper",
        "pager.log",
        "sequence.editor",
        "uploadpack.packObjectsHook",
        "interactive.diffFilter",
        "remote.origin.uploadpack",
    ):
        git("config", name, str(evil))
    git("config", "alias.log", f"!{evil}")
    git("config", "alias.rev-parse", f"!{evil}")
    git("config", "log.showSignature", "true")
    git("config", "remote.origin.url", f"ext::{evil}")
    git("config", "remote.origin.promisor", "true")
    git("config", "core.repositoryFormatVersion", "1")
    git("config", "extensions.partialClone", "origin")
    git("config", "protocol.ext.allow", "always")
    git("config", "core.hooksPath", str(tmp_path / "hooks"))
    (tmp_path / "hooks").mkdir()
    for hook in ("post-index-change", "reference-transaction", "fsmonitor-watchman"):
        shutil.copy(evil, tmp_path / "hooks" / hook)
    monkeypatch.setenv("GIT_EXTERNAL_DIFF", str(evil))
    monkeypatch.setenv("GIT_PAGER", str(evil))
    assert len(history(content, ZONE)["sessions/a.yml"].later) == 1
    assert not canary.exists(), canary.read_text()
    # A part of the history that is missing is not fetched either.
    for name in missing:
        (tmp_path / ".git" / "objects" / name[:2] / name[2:]).unlink()
    assert past(content, ZoneInfo("UTC")).silent
    assert not canary.exists(), canary.read_text()
    # They are no empty threats: without our care git does run it.
    command = ["git", "-C", str(content), "log", "--name-status"]
    subprocess.run(command, check=False, capture_output=True, timeout=60)
    assert canary.exists()
