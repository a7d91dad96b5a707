"""What was read of a book is kept between runs: nothing stale is shown, nothing foreign opened."""

import os
import pickle
from pathlib import Path

import pytest
from sites import build
from test_incremental import Changes, difference, tree, write

from buildbook.records.read import read
from buildbook.records.shelf import Shelf
from mkdocs_buildbook import cupboard
from mkdocs_buildbook.cupboard import Cupboard
from mkdocs_buildbook.incremental import build_site


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user of their own, with a key of their own; whatever changed is kept."""
    for name in ("HOME", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setattr(cupboard, "_FEW", 0)
    return tmp_path / "home"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    write(tmp_path)
    return tmp_path / "content"


def kept(content: Path) -> Cupboard:
    """Read a book, and put away what was read."""
    shelf = Shelf()
    read(content, shelf=shelf)
    place = Cupboard(content.parent / "cache", content)
    place.put_away(shelf)
    return place


def test_what_was_put_away_is_taken_out(content: Path) -> None:
    kept(content)
    shelf = Cupboard(content.parent / "cache", content).take_out()
    again, anew = read(content, shelf=shelf), read(content)
    assert shelf.files
    assert again.findings() == anew.findings()
    said = [[s.model_dump() for s in r.book.sessions.values()] for r in (again, anew)]
    assert said[0] == said[1]
    before = dict(shelf.files)
    read(content, shelf=shelf)
    assert all(shelf.files[name].records is one.records for name, one in before.items())


def test_a_file_whose_time_was_put_back_is_read(content: Path) -> None:
    file = content / "sessions" / "more-2.yml"
    os.utime(file, ns=(10**18, 10**18))
    kept(content)
    file.write_text(file.read_text().replace("Session 2", "Session 9"))
    os.utime(file, ns=(10**18, 10**18))
    shelf = Cupboard(content.parent / "cache", content).take_out()
    sessions = read(content, shelf=shelf).book.sessions.values()
    assert "Session 9." in [s.notes for s in sessions]
    assert "Session 2." not in [s.notes for s in sessions]


class Trap:
    """A pickle that writes a file when it is opened."""

    def __init__(self, file: Path) -> None:
        self.file = file

    def __reduce__(self) -> tuple[object, tuple[object, ...]]:
        return Path.touch, (self.file,)


def test_what_another_user_packed_is_not_opened(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = kept(content)
    file, sprung = tmp_path / "cache" / "records", tmp_path / "sprung"
    good = file.read_bytes()
    trap = pickle.dumps(Trap(sprung))
    for raw in (good[:32] + trap, bytes(32) + trap, trap, b"", good[:-1], good + b"."):
        file.write_bytes(raw)
        assert not place.take_out().files
    file.write_bytes(good)
    assert place.take_out().files
    assert not Cupboard(tmp_path / "cache", tmp_path / "elsewhere").take_out().files
    for name in ("HOME", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "other"))
    assert not place.take_out().files
    assert not sprung.exists()
    pickle.loads(trap)  # it would have been seen
    assert sprung.exists()


def test_the_key_is_this_users_alone(content: Path, home: Path) -> None:
    kept(content)
    [key] = home.rglob("key")
    assert key.stat().st_size == 32
    assert key.stat().st_mode & 0o077 == 0


def test_another_program_does_not_open_it(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept(content)
    monkeypatch.setattr(cupboard, "program", lambda: "of another version")
    assert not Cupboard(content.parent / "cache", content).take_out().files


def test_where_nothing_can_be_kept_nothing_is(content: Path, home: Path) -> None:
    home.write_text("no folder")
    kept(content)
    assert not (content.parent / "cache" / "records").exists()


def test_builds_with_it_are_what_whole_builds_give(tmp_path: Path, content: Path) -> None:
    settings = tmp_path / "mkdocs.yml"
    build_site(settings, None, strict=False)
    assert (tmp_path / ".buildbook" / "cache" / "records").stat().st_size > 1000
    changes, done = Changes(content, 11), []
    for n in range(8):
        done.append(changes.any_change())
        site = build_site(settings, None, strict=False)
        records = tmp_path / ".buildbook" / "cache" / "records"
        aside = records.rename(tmp_path / "aside")  # the whole build reads all records
        whole = build(settings, tmp_path / f"whole-{n}").folder
        aside.replace(records)
        assert difference(tree(site), tree(whole)) == [], done
