"""Pictures and clips that are not there: what is said of them, however many there are."""

import unicodedata
from pathlib import Path

import pytest

from buildbook.records import checks
from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.checks.missing import CLIP, PICTURE, Medium, Missing
from buildbook.records.problems import Place, Problem

PLACE = Place("sessions/one.yml", ("photos", 0, "file"))


def book(folder: Path, *files: str) -> Book:
    photos = frozenset(f for f in files if f.endswith(".jpg"))
    file = BookFile.model_construct(title="A book")
    return Book(file, photo_files=photos, clip_files=frozenset(files) - photos, folder=folder)


def told(missing: Missing, file: str) -> Problem:
    (problem,) = missing.told(file, PLACE)
    return problem


@pytest.mark.parametrize(("medium", "ending"), [(PICTURE, "jpg"), (CLIP, "mp4")])
def test_a_name_with_other_accents_than_on_the_disk(
    tmp_path: Path, medium: Medium, ending: str
) -> None:
    """Some disks keep `é` as two characters (Unicode's form NFD), and it looks the same."""
    name = f"spar-côté.{ending}"
    there = unicodedata.normalize("NFD", name)
    problem = told(Missing(book(tmp_path, there), medium), name)
    assert problem.code == f"{medium.code}-looks-alike"
    assert "other accents" in problem.message


@pytest.mark.parametrize(
    "named", ["2025/IMG_0042.JPG", "photos/y2025/img_0042.jpg", "IMG_0042.heic"]
)
def test_a_picture_in_another_folder_or_form_is_found_by_its_name(
    tmp_path: Path, named: str
) -> None:
    there = Missing(book(tmp_path, "2025/03/IMG_0042.jpg", "2025/03/IMG_0043.jpg"), PICTURE)
    assert told(there, named).advice == "did you mean `2025/03/IMG_0042.jpg`?"


def test_a_renamed_folder_of_many_pictures(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is found in one step; only for a few is all that is there gone through."""
    searched = []
    monkeypatch.setattr(
        checks.missing, "nearest", lambda word, _, **__: searched.append(word) or ""
    )
    files = [f"2025/rib-{n}.jpg" for n in range(500)]
    missing = Missing(book(tmp_path, *files), PICTURE)
    for file in files:
        assert told(missing, file.replace("2025", "y2025")).advice == f"did you mean `{file}`?"
    assert searched == []
    for n in range(500):
        assert told(missing, f"2025/skin-{n}.jpg").advice == "copy it there, or mend the name"
    assert 0 < len(searched) < 50
