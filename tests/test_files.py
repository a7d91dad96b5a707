"""Files are written whole, durably, and never over one that is there unless that is meant."""

import errno
import os
import threading
from pathlib import Path

import pytest

from buildbook.files import PARTIAL, alone, make_folder, write_new, write_whole


def leftovers(folder: Path) -> list[str]:
    return [p.name for p in folder.iterdir() if p.name.endswith(PARTIAL)]


def test_a_new_file_is_written(tmp_path: Path) -> None:
    write_new(tmp_path / "a.yml", b"one")
    assert (tmp_path / "a.yml").read_bytes() == b"one"
    assert not leftovers(tmp_path)


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_bytes(b"mine")
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "a.yml", b"other")
    assert (tmp_path / "a.yml").read_bytes() == b"mine"
    assert not leftovers(tmp_path)


def test_it_is_left_alone_on_a_disk_without_hard_links_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "no hard links")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    write_new(tmp_path / "a.yml", b"mine")
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "a.yml", b"other")
    assert (tmp_path / "a.yml").read_bytes() == b"mine"


def test_of_many_who_write_one_name_one_wins(tmp_path: Path) -> None:
    won: list[int] = []

    def write(n: int) -> None:
        try:
            write_new(tmp_path / "a.yml", str(n).encode())
        except FileExistsError:
            return
        won.append(n)

    threads = [threading.Thread(target=write, args=(n,)) for n in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [str(n) for n in won] == [(tmp_path / "a.yml").read_text()]
    assert not leftovers(tmp_path)


@pytest.mark.parametrize("durable", [True, False])
def test_a_file_is_replaced_and_keeps_its_permissions(tmp_path: Path, durable: bool) -> None:
    path = tmp_path / "a.yml"
    path.write_bytes(b"old")
    path.chmod(0o600)
    write_whole(path, b"new", durable=durable)
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o600
    assert not leftovers(tmp_path)


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "a.yml").write_bytes(b"old")
    (tmp_path / "a.yml").symlink_to(tmp_path / "there" / "a.yml")
    write_whole(tmp_path / "a.yml", b"new")
    assert (tmp_path / "a.yml").is_symlink()
    assert (tmp_path / "there" / "a.yml").read_bytes() == b"new"


def test_when_it_fails_the_old_file_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.yml"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert not leftovers(tmp_path)


def test_the_disk_is_asked_for_file_and_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    real = os.fsync

    def note(handle: int) -> None:
        synced.append(Path(f"/proc/self/fd/{handle}").resolve().name)
        real(handle)

    if not Path("/proc/self/fd").is_dir():
        pytest.skip("no /proc to see what is asked for")
    monkeypatch.setattr(os, "fsync", note)
    make_folder(tmp_path / "x" / "y")
    assert synced == [tmp_path.name, "x"]
    synced.clear()
    write_new(tmp_path / "x" / "y" / "a.yml", b"one")
    assert len(synced) == 2
    assert synced[0].endswith(PARTIAL)
    assert synced[1] == "y"


def test_one_at_a_time(tmp_path: Path) -> None:
    inside: list[int] = []
    most: list[int] = []

    def work(n: int) -> None:
        with alone(tmp_path / "lock"):
            inside.append(n)
            most.append(len(inside))
            inside.remove(n)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1] * 20
