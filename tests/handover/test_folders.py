"""Folders are whole or not there, and what was there before stays until then."""

import errno
import os
from pathlib import Path

import pytest

from buildbook.handover.folders import CannotWriteError, replace_folder

MARK = "mark.txt"


def fill_with(words: str):
    def fill(folder: Path) -> None:
        (folder / MARK).write_text(words)
        (folder / "inside").mkdir()

    return fill


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_new_and_again(tmp_path: Path) -> None:
    target = tmp_path / "out"
    for words in ("one", "two"):
        replace_folder(target, fill_with(words), mark=MARK)
        assert (target / MARK).read_text() == words
    assert left_in(tmp_path) == ["out"]
    assert target.stat().st_mode & 0o777 == 0o755


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    replace_folder(tmp_path / "out", fill_with("one"), mark=MARK)
    assert (tmp_path / "out" / MARK).is_file()


def test_the_old_one_stays_when_something_goes_wrong(tmp_path: Path) -> None:
    target = tmp_path / "out"
    replace_folder(target, fill_with("one"), mark=MARK)

    def full(folder: Path) -> None:
        (folder / MARK).write_text("half")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(CannotWriteError) as told:
        replace_folder(target, full, mark=MARK)
    assert str(told.value) == (
        f"cannot write {target}: the disk is full; what was there before is as it was"
    )
    assert (target / MARK).read_text() == "one"
    assert left_in(tmp_path) == ["out"]

    def stopped(_: Path) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        replace_folder(target, stopped, mark=MARK)
    assert left_in(tmp_path) == ["out"]


def test_killed_between_the_two_names(tmp_path: Path) -> None:
    """The old folder has lost its name and the new one has none yet: the old one comes back."""
    (tmp_path / ".out.old").mkdir()
    (tmp_path / ".out.old" / MARK).write_text("one")

    def fails(_: Path) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with pytest.raises(CannotWriteError):
        replace_folder(tmp_path / "out", fails, mark=MARK)
    assert (tmp_path / "out" / MARK).read_text() == "one"


def test_when_the_new_name_cannot_be_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "out"
    replace_folder(target, fill_with("one"), mark=MARK)
    rename = Path.rename

    def refuse(self: Path, to: Path) -> Path:
        if self.name.endswith(".part"):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return rename(self, to)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(CannotWriteError):
        replace_folder(target, fill_with("two"), mark=MARK)
    assert (target / MARK).read_text() == "one"
    assert left_in(tmp_path) == ["out"]


def test_other_things_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "letter.txt").write_text("dear")
    (tmp_path / "file").write_text("x")
    (tmp_path / "link").symlink_to(tmp_path / "own")
    for name, said in (
        ("own", "is there already and holds other things; name another folder"),
        ("file", "is there already and is no folder; name another one"),
        ("link", "is there already and is no folder; name another one"),
    ):
        with pytest.raises(CannotWriteError, match=said):
            replace_folder(tmp_path / name, fill_with("one"), mark=MARK)
    with pytest.raises(CannotWriteError, match="there is no such folder"):
        replace_folder(tmp_path / "no" / "out", fill_with("one"), mark=MARK)
    with pytest.raises(CannotWriteError, match="would be in the folder of records"):
        replace_folder(tmp_path / "own" / "out", fill_with("one"), mark=MARK, content=tmp_path)
    assert left_in(tmp_path / "own") == ["letter.txt"]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_only_be_read(tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(CannotWriteError, match="you may not write there"):
            replace_folder(tmp_path / "out", fill_with("one"), mark=MARK)
    finally:
        tmp_path.chmod(0o755)


def test_a_path_too_long(tmp_path: Path) -> None:
    with pytest.raises(CannotWriteError, match="the path is too long"):
        replace_folder(tmp_path / ("x" * 250), fill_with("one"), mark=MARK)
