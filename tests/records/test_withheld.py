"""Pictures whose blur could not be read are shown nowhere, however the slip was made."""

from datetime import date
from pathlib import Path

import pytest

from buildbook.records.read import read

FILES = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
    "sections.yml": "section: t\ntitle: T\nsteps: [{step: s, title: S, without parts: yes}]\n",
    "squawks.yml": "{squawk: 1, title: Dent, found: 2025-01-01, by: ada, photo: face.jpg}\n",
    "photos/face.jpg": "a picture",
    "photos/rib.jpg": "a picture",
}
GOOD = """date: 2025-01-01
step: t/s
hours: 1
photos:
  - {file: rib.jpg, caption: A rib}
  - file: face.jpg
    caption: At work
    blur: 0.1, 0.1, 0.2, 0.2
"""


def withheld(folder: Path, session: str, **more: str) -> set[str]:
    for name, text in {**FILES, "sessions/a.yml": session, **more}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return set(read(folder, date(2025, 12, 31)).book.withheld)


def test_a_blur_that_can_be_read_withholds_nothing(tmp_path: Path) -> None:
    assert withheld(tmp_path, GOOD) == set()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("0.1, 0.1, 0.2, 0.2", "the face"),
        ("0.1, 0.1, 0.2, 0.2", "0.9, 0.9, 0.9, 0.9"),
        ("    blur: 0.1, 0.1, 0.2, 0.2", '    blur: "0.1'),  # the list cannot be parsed
        ("date: 2025-01-01", "date: soon"),  # the session is lost
        ("    caption: At work\n", ""),  # the photo is lost
    ],
)
def test_a_slip_withholds_the_picture_though_a_squawk_shows_it(
    tmp_path: Path, old: str, new: str
) -> None:
    assert old in GOOD
    assert "face.jpg" in withheld(tmp_path, GOOD.replace(old, new))


def test_field_names_may_be_spelled_in_any_way(tmp_path: Path) -> None:
    odd = GOOD.replace("photos:", "Photos:").replace("blur: 0.1", "BLUR: x 0.1")
    assert withheld(tmp_path, odd.replace("- file: face", "- File: face")) == {"face.jpg"}


def test_another_session_that_shows_it_plainly_does_not_let_it_out(tmp_path: Path) -> None:
    broken = GOOD.replace("0.1, 0.1, 0.2, 0.2", "the face")
    plain = "date: 2025-01-02\nstep: t/s\nhours: 1\nphotos: {file: face.jpg, caption: At work}\n"
    assert withheld(tmp_path, broken, **{"sessions/b.yml": plain}) == {"face.jpg"}


def test_a_slip_in_another_kind_of_record_withholds_nothing(tmp_path: Path) -> None:
    assert withheld(tmp_path, GOOD, **{"lessons.yml": "- {lesson: x, title: Y}\n"}) == set()
