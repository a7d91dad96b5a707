"""Bags after RFC 8493, held against the Library of Congress's own package (bagit-python 1.9)."""

import hashlib
import os
import subprocess
import zipfile
from datetime import date
from pathlib import Path

import bagit
import pytest

from buildbook.handover.bag import (
    CannotReadFileError,
    FolderSink,
    Item,
    ZipSink,
    decoded,
    encoded,
    info_of,
    is_bag,
    verify_bag,
    write_bag,
)

DAY = date(2025, 11, 15)
TWO = [Item("abc.txt", b"abc", 3), Item("empty.txt", b"", 0)]
ABC_256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
EMPTY_256 = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
ABC_512 = (
    "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a"
    "2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
)
"""NIST, Cryptographic Standards and Guidelines: Examples with Intermediate Values, SHA-256 and
SHA-512, one-block message `abc`; the digest of nothing is that of FIPS 180-4's test vectors."""


def made(folder: Path, items: list[Item] = TWO, **tags: bytes) -> Path:
    tag_files = {f"{name}.txt": data for name, data in tags.items()}
    write_bag(FolderSink(folder, DAY), items, [("Bagging-Date", "2025-11-15")], tag_files)
    return folder


def packed(file: Path, items: list[Item] = TWO) -> Path:
    write_bag(ZipSink(file, file.stem, DAY), items, [("Bagging-Date", "2025-11-15")], {})
    return file


def test_its_files_are_those_of_the_standard(tmp_path: Path) -> None:
    """RFC 8493, 2.1.1, 2.1.3, 2.2.2 and 2.2.1: declaration, payload manifest, metadata, tags."""
    bag = made(tmp_path / "bag", README=b"Read me.\n")
    assert (bag / "bagit.txt").read_bytes() == (
        b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    )
    assert (bag / "manifest-sha256.txt").read_text() == (
        f"{ABC_256}  data/abc.txt\n{EMPTY_256}  data/empty.txt\n"
    )
    assert (bag / "manifest-sha512.txt").read_text().startswith(f"{ABC_512}  data/abc.txt\n")
    assert info_of(bag) == {"Bagging-Date": "2025-11-15", "Payload-Oxum": "3.2"}
    tags = {
        line.split("  ")[1]: line.split("  ")[0]
        for line in (bag / "tagmanifest-sha256.txt").read_text().splitlines()
    }
    assert set(tags) == {
        "README.txt",
        "bag-info.txt",
        "bagit.txt",
        "manifest-sha256.txt",
        "manifest-sha512.txt",
    }
    for name, digest in tags.items():
        assert hashlib.sha256((bag / name).read_bytes()).hexdigest() == digest


def test_other_programs_find_it_whole(tmp_path: Path) -> None:
    bag = made(
        tmp_path / "bag", [*TWO, Item("deep/er/\N{LATIN SMALL LETTER O WITH STROKE}", b"x" * 9, 9)]
    )
    found = bagit.Bag(str(bag))
    found.validate()
    assert found.version_info == (1, 0)
    assert verify_bag(bag) == []
    for algorithm in (256, 512):
        for lists in (f"manifest-sha{algorithm}.txt", f"tagmanifest-sha{algorithm}.txt"):
            subprocess.run([f"sha{algorithm}sum", "-c", "--quiet", lists], cwd=bag, check=True)


def test_one_in_a_zip_file_holds_one_folder(tmp_path: Path) -> None:
    """RFC 8493, 4.2: the name of the folder is that of the file."""
    bag = packed(tmp_path / "bag.zip")
    assert verify_bag(bag) == []
    with zipfile.ZipFile(bag) as found:
        assert found.testzip() is None
        assert {name.split("/")[0] for name in found.namelist()} == {"bag"}
        found.extractall(tmp_path / "out")
    bagit.Bag(str(tmp_path / "out" / "bag")).validate()


def test_the_same_files_make_the_same_bytes(tmp_path: Path) -> None:
    one, other = packed(tmp_path / "bag.zip"), tmp_path / "again" / "bag.zip"
    other.parent.mkdir()
    assert one.read_bytes() == packed(other).read_bytes()
    folders = [made(tmp_path / name) for name in ("a", "b")]
    for path in sorted(p for p in folders[0].rglob("*") if p.is_file()):
        twin = folders[1] / path.relative_to(folders[0])
        assert path.read_bytes() == twin.read_bytes()
        assert path.stat().st_mtime == twin.stat().st_mtime


def _flip(path: Path, at: int = 0) -> None:
    data = bytearray(path.read_bytes())
    data[at] ^= 1
    path.write_bytes(data)


CHANGES = {
    "a byte": (
        lambda bag: _flip(bag / "data" / "abc.txt"),
        "data/abc.txt was changed: it is not what it was when the archive was made",
    ),
    "a file less": (lambda bag: (bag / "data/empty.txt").unlink(), "data/empty.txt is missing"),
    "a file more": (
        lambda bag: (bag / "data/new.txt").write_text("new"),
        "data/new.txt was added: no list names it",
    ),
    "what it says of itself": (
        lambda bag: _flip(bag / "bag-info.txt", 20),
        "bag-info.txt was changed: it is not what it was when the archive was made",
    ),
    "the other list": (
        lambda bag: (bag / "manifest-sha512.txt").write_text(f"{'0' * 128}  data/abc.txt\n"),
        "data/abc.txt: its sha512 is another, though others fit: a list was changed",
    ),
    "a link": (
        lambda bag: (
            (bag / "data/abc.txt").unlink(),
            (bag / "data/abc.txt").symlink_to("/dev/null"),
        ),
        "data/abc.txt cannot be read: it is a link and no file",
    ),
    "a list that leads out": (
        lambda bag: (bag / "manifest-sha256.txt").write_text(f"{ABC_256}  ../abc.txt\n"),
        "a list names ../abc.txt, which would be outside the archive",
    ),
    "no list": (
        lambda bag: [path.unlink() for path in bag.glob("manifest-*")],
        "it holds no list of its files (`manifest-sha256.txt`), so nothing can be told",
    ),
    "no declaration": (
        lambda bag: (bag / "bagit.txt").unlink(),
        "it holds no `bagit.txt`, which every such archive has",
    ),
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_change_is_told(what: str, tmp_path: Path) -> None:
    bag = made(tmp_path / "bag")
    change, said = CHANGES[what]
    change(bag)
    assert said in verify_bag(bag)
    if what != "a list that leads out":  # which bagit-python refuses to open
        with pytest.raises(bagit.BagError):
            bagit.Bag(str(bag)).validate()


def test_any_byte_of_a_zip_file(tmp_path: Path) -> None:
    """Whichever byte of a picture is flipped, it is told: tried at every tenth."""
    bag = packed(tmp_path / "bag.zip", [Item("photo.jpg", os.urandom(900), 900)])
    data = bag.read_bytes()
    with zipfile.ZipFile(bag) as found:
        photo = found.read("bag/data/photo.jpg")
    start = data.index(photo)
    for at in range(start, start + len(photo), 10):
        changed = bytearray(data)
        changed[at] ^= 1
        bag.write_bytes(changed)
        assert verify_bag(bag) == ["data/photo.jpg was changed: the ZIP file is damaged there"], at


def test_a_zip_file_cut_short(tmp_path: Path) -> None:
    bag = packed(tmp_path / "bag.zip")
    bag.write_bytes(bag.read_bytes()[:-30])
    assert is_bag(bag)
    assert verify_bag(bag) == ["the ZIP file is damaged: its list of files cannot be read"]


def test_names_with_odd_characters(tmp_path: Path) -> None:
    """RFC 8493, 2.1.3: per cent, CR and LF are written out in lists."""
    names = ["100 %.txt", "a\nb.txt", "c\rd.txt", "%0A.txt"]
    bag = made(tmp_path / "bag", [Item(name, b"x", 1) for name in names])
    lines = (bag / "manifest-sha256.txt").read_bytes().decode().split("\n")
    assert [line.partition("  ")[2] for line in lines if line] == [
        "data/100 %25.txt",
        "data/a%0Ab.txt",
        "data/c%0Dd.txt",
        "data/%250A.txt",
    ]
    assert verify_bag(bag) == []
    for name in names:
        assert decoded(encoded(name)) == name


def test_a_file_gone_between_looking_and_reading(tmp_path: Path) -> None:
    gone = tmp_path / "photo.jpg"
    with pytest.raises(CannotReadFileError, match=r"photo\.jpg is no longer there"):
        made(tmp_path / "bag", [Item("photo.jpg", gone, 10)])
