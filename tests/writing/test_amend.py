"""Corrections: what a session said before is kept, by git or by the record."""

import os
import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest

from buildbook.records.yamlfile import read_yaml
from buildbook.writing.amend import amended, differences, in_history
from buildbook.writing.fieldlines import CannotChangeError, with_field

DAY = date(2025, 11, 17)
SESSION = b"""\
date: 2025-11-16
step: fin/skeleton
hours: 2h30
work:
  - {step: a/b, hours: 1h}
  - {step: c/d, hours: 2h}
photos:
  - file: a.jpg
    caption: A
notes: |
  Two
  lines.
"""


def amendments(raw: bytes) -> list[dict[str, str]]:
    file = read_yaml("s", raw)
    assert not file.problems
    return file.data.get("amendments", [])


def test_what_it_was_and_why() -> None:
    changed = with_field(SESSION, ("hours",), "2h45")
    raw = amended(changed, SESSION, DAY, why="Miscounted the break.", by="ada")
    assert raw.startswith(changed)
    assert amendments(raw) == [
        {
            "date": "2025-11-17",
            "field": "hours",
            "was": "2h30",
            "why": "Miscounted the break.",
            "by": "ada",
        }
    ]


@pytest.mark.parametrize(
    ("old", "new", "entries"),
    [
        (b"hours: 1h}", b"hours: 75 min}", [("work 1 hours", "1h")]),
        (b"  Two\n", b"  Three\n", [("notes", "Two\nlines.\n")]),
        (b"notes: |\n  Two\n  lines.\n", b"", [("notes", "Two\nlines.\n")]),
        (b"hours: 2h30\n", b"hours: 2h30\nnext: More.\n", [("next", None)]),
        (b"caption: A", b"caption: B", [("photos 1 caption", "A")]),
        (
            b"    caption: A\n",
            b"    caption: A\n  - file: b.jpg\n",
            [("photos", "- file: a.jpg\n  caption: A\n")],
        ),
        (
            b"  - {step: c/d, hours: 2h}\n",
            b"",
            [("work", "- step: a/b\n  hours: 1h\n- step: c/d\n  hours: 2h\n")],
        ),
        (b"hours: 2h30", b"hours: 2h30  # a comment", []),
    ],
)
def test_every_changed_field_is_told(
    old: bytes, new: bytes, entries: list[tuple[str, str | None]]
) -> None:
    assert SESSION.count(old) == 1
    raw = amended(SESSION.replace(old, new), SESSION, DAY)
    assert [(a["field"], a.get("was")) for a in amendments(raw)] == entries


def test_earlier_amendments_stay() -> None:
    once = amended(with_field(SESSION, ("hours",), "2h"), SESSION, DAY)
    twice = amended(with_field(once, ("hours",), "3h"), once, DAY)
    assert [a["was"] for a in amendments(twice)] == ["2h30", "2h"]
    for tampered in (once.replace(b"was: 2h30", b"was: 2h"), SESSION):
        with pytest.raises(CannotChangeError, match="stay as they are"):
            amended(tampered, once, DAY)


def test_lists_of_words_are_told_as_they_are_written_on_a_line() -> None:
    (one,) = differences({"who": ["ada", "ben"]}, {"who": "ada"})
    assert one == (("who",), ["ada", "ben"])
    before = b"date: 2025-11-16\nwho: [ada, ben]\n"
    raw = amended(with_field(before, ("who",), "ada"), before, DAY)
    assert amendments(raw)[0]["was"] == "ada, ben"


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    if not shutil.which("git"):
        pytest.skip("no git")
    for name in [n for n in os.environ if n.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", str(tmp_path))
    git(tmp_path, "init", "-q")
    return tmp_path


def git(folder: Path, *words: str) -> None:
    name = ["-c", "user.name=Ada", "-c", "user.email=ada@example.org"]
    subprocess.run(["git", "-C", str(folder), *name, *words], check=True, capture_output=True)


def test_a_committed_file_is_in_history(repository: Path) -> None:
    file = repository / "a b.yml"
    file.write_bytes(SESSION)
    assert in_history(file) == ""
    git(repository, "add", ".")
    assert in_history(file) == ""
    git(repository, "commit", "-qm", "first")
    commit = in_history(file)
    assert len(commit) >= 7
    file.write_bytes(SESSION + b"# more\n")
    assert in_history(file) == ""
    git(repository, "add", ".")
    assert in_history(file) == ""
    git(repository, "commit", "-qm", "second")
    assert in_history(file) not in ("", commit)


def test_ignored_files_and_other_folders_are_not(repository: Path, tmp_path: Path) -> None:
    (repository / ".gitignore").write_text("content/\n")
    (repository / "content").mkdir()
    file = repository / "content" / "a.yml"
    file.write_bytes(SESSION)
    git(repository, "add", ".")
    git(repository, "commit", "-qm", "first")
    assert in_history(file) == ""
    assert in_history(tmp_path / "nowhere" / "a.yml") == ""


def test_without_git_nothing_is_in_history(
    repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = repository / "a.yml"
    file.write_bytes(SESSION)
    git(repository, "add", ".")
    git(repository, "commit", "-qm", "first")
    monkeypatch.setenv("PATH", "")
    assert in_history(file) == ""
