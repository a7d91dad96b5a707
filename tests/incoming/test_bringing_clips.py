"""Bringing clips in: their time, their place, their session, and what they give away."""

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from clipmaker import TOLD, make

from buildbook.cli.main import cli
from buildbook.incoming.pictures import Arrival, Fate, Survey
from buildbook.records.read import read

SESSION = """# after supper
date: 2025-03-08
step: tail/ribs
from: 19:30
to: 21:45   # Juni timed it
notes: |
  Drilled.
"""
TODAY = date(2025, 12, 31)


@pytest.fixture
def content(tmp_path: Path) -> Path:
    files = {
        "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: Europe/Berlin\n",
        "people.yml": "- {person: ada, name: Ada}\n",
        "sections.yml": "section: tail\ntitle: Tail\nsteps:\n"
        "  - {step: ribs, title: Ribs, without parts: yes}\n",
        "sessions/a.yml": SESSION,
    }
    for name, text in files.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return tmp_path / "content"


def clip(path: Path, told: dict[str, str] | None = None, number: int = 3) -> Path:
    return make(path, frames=number, told=TOLD if told is None else told)


def looked_at(
    content: Path, *files: Path, clocks: dict[str, timedelta] | None = None
) -> list[Arrival]:
    survey = Survey(read(content, TODAY).book, clocks or {}, TODAY)
    return [survey.look_at(file) for file in files]


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def test_the_camera_s_own_time_counts(content: Path, tmp_path: Path) -> None:
    (found,) = looked_at(content, clip(tmp_path / "IMG 0042.MOV"))
    assert (found.fate, found.sessions, found.is_clip) == (Fate.NEW, ("2025-03-08",), True)
    assert found.file == "2025/03/2025-03-08-193005-img-0042.mov"
    assert found.camera == "Lumen Pocket 3"


def test_utc_becomes_the_book_s_time(content: Path, tmp_path: Path) -> None:
    """ISO/IEC 14496-12, 8.2.2.3: the creation time of an MP4 file is in UTC."""
    late = clip(tmp_path / "a.mp4", {"creation_time": "2025-03-08T23:10:00Z"})
    (found,) = looked_at(content, late)
    assert found.file == "2025/03/2025-03-09-001000-a.mp4"
    summer = clip(tmp_path / "b.mp4", {"creation_time": "2025-07-01T18:00:00Z"})
    assert "2025-07-01-200000" in looked_at(content, summer)[0].file


def test_a_camera_s_wrong_clock_is_set_right(content: Path, tmp_path: Path) -> None:
    (found,) = looked_at(
        content, clip(tmp_path / "a.mov"), clocks={"Lumen Pocket 3": timedelta(minutes=65)}
    )
    assert f"{found.taken:%H:%M}" == "18:25"


def test_without_a_time_it_is_undated(content: Path, tmp_path: Path) -> None:
    (found,) = looked_at(content, clip(tmp_path / "a.mp4", {}))
    assert (found.file, found.why) == ("undated/undated-a.mp4", "it does not say when it was taken")


def test_equal_clips_are_brought_in_once(content: Path, tmp_path: Path) -> None:
    first = clip(tmp_path / "a.mov")
    copy = Path(shutil.copy(first, tmp_path / "b.mov"))
    there = content / "photos" / "c.mov"
    there.parent.mkdir()
    assert [a.fate for a in looked_at(content, first, copy)] == [Fate.NEW, Fate.TWICE]
    shutil.copy(first, there)
    (known,) = looked_at(content, copy)
    assert (known.fate, known.file, known.sessions) == (Fate.KNOWN, "c.mov", ("2025-03-08",))


def test_names_follow_the_content(content: Path, tmp_path: Path) -> None:
    path = clip(tmp_path / "a.mp4")
    renamed = path.rename(tmp_path / "a.jpg")
    (found,) = looked_at(content, renamed)
    assert found.file.endswith("-a.mp4")
    assert found.remarks == ("it is a clip, so its name will end in .mp4",)


def test_bad_clips_are_named_and_the_rest_goes_on(content: Path, tmp_path: Path) -> None:
    empty, text, cut = (tmp_path / name for name in ("empty.mp4", "noté 🛩.mov", "cut.mp4"))
    empty.write_bytes(b"")
    text.write_text("not a clip")
    cut.write_bytes(clip(tmp_path / "x.mp4").read_bytes()[:900])
    found = looked_at(content, empty, text, cut, clip(tmp_path / "good.mov"))
    assert [a.fate for a in found] == [Fate.BAD] * 3 + [Fate.NEW]
    for arrival in found[:3]:
        assert arrival.said.startswith(arrival.source.name)


def test_entries_go_into_clips_and_keep_every_byte(content: Path, tmp_path: Path) -> None:
    clip(tmp_path / "in" / "a.mov")
    clip(tmp_path / "in" / "deep" / "b.mp4", number=5)
    shown = run("photos", "add", tmp_path / "in", "--content", content)
    assert "clips:\n  - file: 2025/03/2025-03-08-193005-a.mov" in shown.output
    assert not (content / "photos").exists()
    done = run("photos", "add", tmp_path / "in", "--content", content, "--write")
    assert "2 copied" in done.output
    written = (content / "sessions/a.yml").read_text()
    assert written.startswith(SESSION)
    assert written.count("caption: caption to be written") == 2
    assert "photos:" not in written
    book = read(content, TODAY)
    assert not book.errors
    (session,) = book.book.sessions.values()
    assert [c.file for c in session.clips] == [
        "2025/03/2025-03-08-193005-a.mov",
        "2025/03/2025-03-08-193005-b.mp4",
    ]
    again = run("photos", "add", tmp_path / "in", "--content", content, "--write")
    assert "nothing new" in again.output
    assert (content / "sessions/a.yml").read_text() == written


def test_more_clips_are_added_to_those_that_are_there(content: Path, tmp_path: Path) -> None:
    old = (
        SESSION + "clips:\n  - link: https://example.org/1\n    caption: Another's\nnext: Prime.\n"
    )
    (content / "sessions/a.yml").write_text(old)
    clip(tmp_path / "in" / "a.mov")
    run("photos", "add", tmp_path / "in", "--content", content, "--write")
    written = (content / "sessions/a.yml").read_text()
    assert [line for line in written.splitlines() if line in old.splitlines()] == old.splitlines()
    assert len(read(content, TODAY).book.sessions["2025-03-08"].clips) == 2


def test_privacy_tells_kinds_and_no_values(content: Path, tmp_path: Path) -> None:
    (content / "photos").mkdir()
    make(content / "photos/a.mov", told=TOLD, sound="aac", frames=5)
    make(content / "photos/b.mov", sound="aac", frames=5)
    (content / "photos/c.mp4").write_text("nothing")
    (content / "sessions/a.yml").write_text(
        SESSION + "clips:\n  - {file: b.mov, caption: B, silent: yes}\n"
        "  - {file: a.mov, caption: A, blur: '0.1, 0.1, 0.2, 0.2'}\n"
    )
    said = run("photos", "privacy", "--content", content).output
    assert "a.mov: where it was taken, a person's name, a description" in said
    assert "c.mp4: is not a clip of a kind that can be read here" in said
    assert "a.mov has sound, which is published" in said
    assert "a.mov has boxes in its `blur`, which stay where they are" in said
    assert "b.mov" not in said
    assert not any(word in said for word in ("SECRET", "02.25", "Lumen"))
    assert tmp_path.exists()
