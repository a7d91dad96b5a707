"""Pictures that are broken or odd: each gets a sentence that names it, and the rest go on."""

import os
import sys
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildbook.cli.main import cli
from buildbook.incoming.pictures import ENDINGS, Fate, Survey, named
from buildbook.media.kinds import Kind
from buildbook.records.photo import PICTURE_ENDINGS
from buildbook.records.read import read

sys.path.insert(0, str(Path(__file__).parents[1] / "media"))
from bad_files import NOT_USED, USED, encoded, with_date

EVERY = {**NOT_USED, **USED}


@pytest.fixture
def content(tmp_path: Path) -> Path:
    files = {
        "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: Europe/Berlin\n",
        "people.yml": "- {person: ada, name: Ada}\n",
        "sections.yml": "section: tail\ntitle: Tail\nsteps:\n"
        "  - {step: ribs, title: Ribs, without parts: yes}\n",
        "sessions/a.yml": "date: 2025-03-08\nstep: tail/ribs\nhours: 1\n",
    }
    for name, text in files.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return tmp_path / "content"


@pytest.fixture
def phone(tmp_path: Path) -> Path:
    folder = tmp_path / "phone"
    folder.mkdir()
    for name, (data, _) in EVERY.items():
        (folder / name).write_bytes(data)
    (folder / "good.jpg").write_bytes(with_date("2025:03:08 20:00:00"))
    return folder


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def test_every_file_gets_a_sentence_and_the_good_ones_are_copied(
    content: Path, phone: Path
) -> None:
    result = run("photos", "add", phone, "--content", content, "--alike", "--write")
    assert result.return_value == 1, "some need a look"
    lines = result.output.splitlines()
    for name, (_, said) in EVERY.items():
        shown = named(Path(name))
        (line,) = (ln for ln in lines if ln.startswith((f"{shown}:", f"{shown} ")))
        assert said in line, line
    copied = {
        p.relative_to(content / "photos").as_posix() for p in (content / "photos").rglob("*.*")
    }
    assert len(copied) == len(USED) + 1
    assert len({name.casefold() for name in copied}) == len(copied), "on any kind of disk"
    assert all(name.isascii() and " " not in name for name in copied)
    assert {Path(name).suffix for name in copied} <= PICTURE_ENDINGS
    assert "good.jpg" in (content / "sessions/a.yml").read_text()
    assert not [
        p for p in content.parent.rglob("*.jpg") if "photos" not in p.parts and p.parent != phone
    ]
    # What was copied is a picture to the book too.
    assert read(content, date(2025, 12, 31)).book.photo_files == copied


def test_names_are_shown_without_what_a_terminal_would_obey() -> None:
    assert named(Path("two\nlines\x1b[31m.jpg")) == "two�lines�[31m.jpg"
    assert named(Path(os.fsdecode(b"\xff.jpg"))).encode() == "�.jpg".encode()


def test_what_is_no_file_is_not_waited_for(content: Path, tmp_path: Path) -> None:
    folder = tmp_path / "odd"
    folder.mkdir()
    os.mkfifo(folder / "pipe.jpg")
    (folder / "gone.jpg").symlink_to("nowhere.jpg")
    (folder / "folder.jpg").mkdir()
    (folder / "folder.jpg" / "inside.jpg").write_bytes(encoded("JPEG"))
    output = run("photos", "add", folder, "--content", content).output
    assert "pipe.jpg is not a file" in output
    assert "gone.jpg cannot be read" in output
    assert "inside.jpg: undated" in output


def test_a_file_outside_by_dots_is_brought_in_under_a_plain_name(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "phone").mkdir()
    (tmp_path / "phone/good.jpg").write_bytes(with_date("2025:03:08 20:00:00"))
    monkeypatch.chdir(content)
    result = run("photos", "add", "../phone/good.jpg", "--content", content, "--write")
    assert result.return_value == 0, result.output
    (copied,) = (content / "photos").rglob("*.jpg")
    assert copied.relative_to(content).as_posix() == "photos/2025/03/2025-03-08-200000-good.jpg"


def test_a_date_to_come_is_right_when_the_clock_was_wrong(content: Path, tmp_path: Path) -> None:
    from datetime import timedelta  # noqa: PLC0415

    file = tmp_path / "a.jpg"
    file.write_bytes(with_date("2025:03:10 20:00:00"))
    book = read(content, date(2025, 12, 31)).book
    today = date(2025, 3, 8)
    late = Survey(book, {}, today).look_at(file)
    assert (late.fate, late.taken, late.sessions) == (Fate.NEW, None, ())
    assert late.file.startswith("undated/")
    right = Survey(book, {"": timedelta(days=2)}, today).look_at(file)
    assert right.sessions == ("2025-03-08",)


def test_every_kind_has_an_ending_the_book_knows() -> None:
    assert set(ENDINGS) == set(Kind)
    assert {ending for endings in ENDINGS.values() for ending in endings} == PICTURE_ENDINGS
