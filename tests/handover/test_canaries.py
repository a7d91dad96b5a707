"""No edition holds what it is not to hold, in whatever it is written as.

A unique word stands in every field of every kind of record that can be private, in names of files,
in what cameras write and in hand-written pages. Each edition is written in every format, and each
word must be found exactly where its edition allows it.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from canaries import (
    FORMATS,
    Flock,
    files_in,
    flock,
    found_in,
    leaks,
    owner,
    paths,
    tables,
    write,
)

from buildbook.handover import editions
from buildbook.handover.editions import edition, holds
from buildbook.records.book import Book
from buildbook.records.kinds import KINDS
from buildbook.records.problems import Severity
from buildbook.records.read import read
from buildbook.records.readers import EDITIONS, FULL


@pytest.fixture(scope="module")
def planted() -> Flock:
    return flock()


@pytest.fixture(scope="module")
def content(planted: Flock, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(planted, tmp_path_factory.mktemp("canaries"))


def test_the_words_are_in_the_book(planted: Flock, content: Path) -> None:
    """Nothing was refused on the way in: all that follows would be a test of nothing."""
    reading = read(content)
    errors = [p for p in reading.alone if p.severity is Severity.ERROR]
    assert not errors, errors[:5]
    words = sum(not word.startswith("-") for word in planted.canaries)
    assert words > 250
    for kind in KINDS.values():
        if kind.name != "book":
            assert getattr(reading.book, kind.name), kind.name
        if kind.name not in ("book", "balance"):  # planted by hand, there is one of each
            takes_words = {
                (owner(kind.model, way).__name__, way[-1].attribute)
                for way in paths(kind.model)
                if way[-1].is_text and not way[-1].required and not way[-1].refers
            }
            assert takes_words - planted.fields <= {("Operation", "hazards")}, kind.name


@pytest.mark.parametrize("name", EDITIONS)
@pytest.mark.parametrize("form", FORMATS)
def test_an_edition_holds_what_it_may(
    planted: Flock, content: Path, tmp_path: Path, name: str, form: str
) -> None:
    held = holds(read(content).book, name)
    found = found_in(FORMATS[form](content, name, tmp_path / "out"))
    # An archive has the pictures as cameras wrote them where its edition says so.
    originals = {"metadata"} if form == "archive" and held.original_photos else set()
    assert leaks(planted, found, name, held).keys() == originals
    if form == "exports":
        allowed = planted.allowed(name, held)
        missing = {
            c.where
            for word, c in planted.canaries.items()
            if word in allowed and c.exported and word not in found
        }
        assert missing == set()
    else:
        assert "Session.notes, not private" in {planted.canaries[w].where for w in found}


def test_the_full_site_shows_what_is_private(planted: Flock, content: Path, tmp_path: Path) -> None:
    """What is found nowhere at all would be found in no edition either."""
    found = found_in(FORMATS["site"](content, FULL, tmp_path / "out"))
    shown = {planted.canaries[word].where for word in found}
    for where in ("Work.notes in Session", "Person.name", "page, private: yes", "file name"):
        assert any(where in w for w in shown), where
    assert len(shown) > 120


def test_it_can_fail(
    planted: Flock, content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the filter switched off, every way of leaking is seen."""

    def unfiltered(book: Book, name: str) -> editions.Cut:
        return editions.Cut(replace(book, edition=name), {})

    monkeypatch.setattr(editions, "cut", unfiltered)
    held = holds(read(content).book, "public")
    found = found_in(tables(content, "public", tmp_path / "tables"))
    leaked = leaks(planted, found, "public", held)
    for where in (
        "Work.notes in Session",
        "private Lot.title in Lot",
        "Disposition.correspondence",
        "Equipment.serial",
        "Squawk.title, not closed",
        "Person.name",
        "Person.person",
        "file name of a private photo",
        "Cost.what",
        "BookFile.workshop",
    ):
        assert where in leaked, where
    found = found_in(FORMATS["site"](content, "public", tmp_path / "site"))
    leaked = leaks(planted, found, "public", held)
    for where in ("page, private: yes", "page, editions: owner", "private Session.title"):
        assert any(w.startswith(where) for w in leaked), where


def test_what_cameras_write_is_seen_where_it_is(planted: Flock, content: Path) -> None:
    """The words in the pictures can be found: in the originals they are."""
    found = found_in(files_in(content))
    assert "metadata" in {planted.canaries[word].where for word in found}


def test_an_edition_is_cut_once(content: Path) -> None:
    book = edition(read(content).book, "public")
    with pytest.raises(ValueError, match="public edition"):
        edition(book, "owner")
