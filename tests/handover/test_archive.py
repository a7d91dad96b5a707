"""Archives: what is in them for each edition, how they are divided, and what is told of them."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import bagit
import pytest
from sites import BASE, FOUR_LINES

from buildbook.handover.archive import (
    CannotSplitError,
    Made,
    contents,
    holds_records,
    long_paths,
    parse_size,
    split,
    verify_archive,
    write_archive,
)
from buildbook.handover.bag import CannotReadFileError, Item
from buildbook.handover.editions import edition
from buildbook.records.book import Book
from buildbook.records.read import read

PHOTO = b"\xff\xd8 as the camera wrote it"


@pytest.fixture
def book(tmp_path: Path) -> Book:
    content = tmp_path / "content"
    session = f"{FOUR_LINES}photos:\n  - file: 2025/spar.jpg\n    caption: The spar\n"
    files = {**BASE, "sessions/2025/one.yml": session, "photos/2025/spar.jpg": PHOTO}
    files["photos/2025/never-shown.jpg"] = b"\xff\xd8 other"
    files[".hidden"] = "not of the book"
    for name, data in files.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return read(content).book


@pytest.fixture
def made(tmp_path: Path) -> Made:
    folders = {}
    for name, file in (("site", "index.html"), ("pdf", "book.pdf"), ("tables", "book.sqlite")):
        folders[name] = tmp_path / "made" / name
        folders[name].mkdir(parents=True)
        (folders[name] / file).write_bytes(name.encode() * 100)
    small = tmp_path / "made" / "small.jpg"
    small.write_bytes(b"\xff\xd8 published")
    return Made(folders["site"], folders["pdf"], folders["tables"], {"2025-03-08-01.heic": small})


def names(items: list[Item]) -> list[str]:
    return [item.path for item in items]


def test_the_builders_own_has_the_records_as_they_are(book: Book, made: Made) -> None:
    items = list(contents(book, made))
    assert holds_records(book)
    records = {i.path.removeprefix("records/"): i for i in items if i.path.startswith("records/")}
    assert set(records) == {
        *BASE,
        "sessions/2025/one.yml",
        "photos/2025/spar.jpg",
        "photos/2025/never-shown.jpg",
    }
    assert not any(path.startswith("photos/") for path in names(items))
    for name in ("site/index.html", "pdf/book.pdf", "tables/book.sqlite"):
        assert name in names(items)


@pytest.mark.parametrize("name", ["public", "inspector", "owner"])
def test_others_have_no_record_as_it_is(book: Book, made: Made, name: str) -> None:
    items = list(contents(edition(book, name), made))
    assert not any(path.startswith("records/") for path in names(items))
    # Under the name of the edition, and with the ending of what it is.
    assert [i for i in names(items) if i.startswith("photos/")] == ["photos/2025-03-08-01.jpg"]
    assert not any(isinstance(i.source, Path) and book.folder in i.source.parents for i in items)


def test_one_that_holds_originals_has_those_it_shows(book: Book, made: Made) -> None:
    editions = book.file.editions
    owner = editions.owner.model_copy(update={"original_photos": True})
    file = book.file.model_copy(update={"editions": editions.model_copy(update={"owner": owner})})
    items = list(contents(edition(replace(book, file=file), "owner"), made))
    photos = [item for item in items if item.path.startswith("photos/")]
    assert names(photos) == ["photos/2025/spar.jpg"]
    assert isinstance(photos[0].source, Path)
    assert photos[0].source.read_bytes() == PHOTO


def test_everything_is_told_from_one_another(book: Book, made: Made, tmp_path: Path) -> None:
    items = list(contents(book, made))
    written = write_archive(book, "book-full", items, tmp_path, packed=False, most=None)
    (bag,) = written
    found = bagit.Bag(str(bag.path))
    found.validate()
    assert found.info["Bagging-Date"] == "2025-03-08"
    assert found.info["External-Identifier"] == "book-full"
    assert "Bag-Count" not in found.info
    assert (bag.files, bag.size) == (len(items), sum(item.size for item in items))
    readme = (bag.path / "README.txt").read_text(encoding="utf-8")
    for folder in {path.split("/")[0] for path in names(items)}:
        assert f"\n{folder}/ " in readme
    assert "sha256sum -c manifest-sha256.txt" in readme
    assert max(map(len, readme.splitlines())) <= 80
    assert verify_archive(bag.path) == []


def test_it_is_divided(book: Book, made: Made, tmp_path: Path) -> None:
    items = [
        *contents(book, made),
        *(Item(f"photos/{n:02}.jpg", b"x" * 9000, 9000) for n in range(9)),
    ]
    written = write_archive(book, "book", items, tmp_path, packed=True, most=60_000)
    assert len(written) > 1
    assert [w.path.name for w in written] == [
        f"book-part-{n}-of-{len(written)}.zip" for n in range(1, len(written) + 1)
    ]
    assert all(w.path.stat().st_size <= 60_000 for w in written)
    assert sum(w.files for w in written) == len(items)
    assert verify_archive(tmp_path) == []
    written[0].path.unlink()
    assert verify_archive(tmp_path) == [f"part 1 of {len(written)} is not here"]


def test_what_belongs_together_stays_together() -> None:
    site = [Item(f"site/{n}.html", b"", 10_000) for n in range(5)]
    months = [Item(f"photos/2025/{m:02}/{n}.jpg", b"", 10_000) for m in (1, 2) for n in range(4)]
    bags = split([*site, *months], 90_000)
    assert [names(bag) for bag in bags] == [names(site), names(months[:4]), names(months[4:])]
    # Unless it is too large for one.
    bags = split(site, 50_000)
    assert [len(bag) for bag in bags] == [2, 2, 1]


def test_a_file_that_is_larger_than_a_part() -> None:
    with pytest.raises(CannotSplitError) as told:
        split([Item("photos/film.mp4", b"", 5_000_000)], 1_000_000)
    assert str(told.value).startswith("photos/film.mp4 alone takes 5,0")
    assert str(told.value).endswith("more than 1,000,000; write a larger size after --split")


@pytest.mark.parametrize(
    ("written", "size"),
    [("4GB", 4 * 10**9), ("700 MB", 7 * 10**8), ("4 GiB", 2**32), ("1.5kb", 1500), ("90", 90)],
)
def test_sizes(written: str, size: int) -> None:
    """kB, MB, GB by the SI; KiB, MiB, GiB by IEC 80000-13."""
    assert parse_size(written) == size


@pytest.mark.parametrize("written", ["", "GB", "four GB", "4 GBit", "-4GB"])
def test_what_is_no_size(written: str) -> None:
    with pytest.raises(ValueError, match="is no size; write it as `4GB`"):
        parse_size(written)


def test_long_paths_are_told() -> None:
    long = Item("photos/" + "x" * 200, b"", 1)
    assert long_paths([long, Item("photos/short.jpg", b"", 1)]) == [long.path]


def test_what_is_no_archive(tmp_path: Path) -> None:
    assert verify_archive(tmp_path) == [f"{tmp_path} holds no archive"]
    with closing(sqlite3.connect(tmp_path / "some.zip")) as other:
        other.execute("CREATE TABLE t (x)")
    assert verify_archive(tmp_path / "some.zip") == [
        "the ZIP file is damaged: its list of files cannot be read"
    ]


@pytest.mark.parametrize("name", ["photos/2025/spar.jpg", "sessions/2025/one.yml"])
def test_what_went_away_since_it_was_read_is_told(
    tmp_path: Path, book: Book, made: Made, name: str
) -> None:
    """Gone before the files are listed: an archive without it would look whole."""
    (book.folder / name).unlink()
    items = list(contents(book, made))
    with pytest.raises(CannotReadFileError, match=f"{name} is no longer there"):
        write_archive(book, "book", items, tmp_path, packed=False, most=None)


def test_the_folder_of_a_hand_over_is_verified_by_its_archive(
    tmp_path: Path, book: Book, made: Made
) -> None:
    (tmp_path / "for-ada" / "archive").mkdir(parents=True)
    (tmp_path / "for-ada" / "pdf").mkdir()
    items = list(contents(book, made))
    write_archive(book, "book", items, tmp_path / "for-ada/archive", packed=True, most=None)
    assert verify_archive(tmp_path / "for-ada") == []
    assert verify_archive(tmp_path / "for-ada" / "pdf") == [
        f"{tmp_path / 'for-ada' / 'pdf'} holds no archive"
    ]
