"""Bringing pictures in: their fate, their place, their session; and adding to session files."""

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from buildbook.cli.main import cli
from buildbook.incoming.pictures import Arrival, Fate, Survey, clock_setting
from buildbook.incoming.sessionfile import CannotAddError, as_lines, with_entries
from buildbook.records.read import read
from buildbook.records.yamlfile import read_yaml

SESSION = """# after supper
date: 2025-03-08
step: tail/ribs
from: 19:30
to: 21:45   # Juni timed it
notes: |
  Drilled.
"""


@pytest.fixture
def content(tmp_path: Path) -> Path:
    files = {
        "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: Europe/Berlin\n",
        "people.yml": "- {person: ada, name: Ada}\n",
        "sections.yml": "section: tail\ntitle: Tail\nsteps:\n"
        "  - {step: ribs, title: Ribs, without parts: yes}\n",
        "sessions/a.yml": SESSION,
        "sessions/b.yml": "date: 2025-03-09\ntitle: One\nstep: tail/ribs\nhours: 1\n",
        "sessions/c.yml": "date: 2025-03-09\ntitle: Two\nstep: tail/ribs\nhours: 1\n",
    }
    for name, text in files.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return tmp_path / "content"


def picture(
    path: Path, taken: str = "2025:03:08 20:00:00", seed: int = 0, ending: str = ""
) -> Path:
    """Draw a picture that looks unlike those with another seed."""
    image = Image.new("RGB", (320, 240), (40 * seed % 255, 90, 160))
    draw = ImageDraw.Draw(image)
    for i in range(6):
        x, y = (seed * 97 + i * 53) % 300, (seed * 61 + i * 71) % 220
        draw.rectangle(
            (x, y, x + 40 + 9 * seed % 60, y + 30), fill=(255 - 40 * i, 20 * seed, 30 * i)
        )
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Lumen", "Pocket 3"
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path, exif=exif, format=ending or None)
    return path


def fates(content: Path, *files: Path, clock: timedelta | None = None) -> list[Arrival]:
    survey = Survey(
        read(content, date(2025, 12, 31)).book, {"Lumen Pocket 3": clock or timedelta()}
    )
    return [survey.look_at(f) for f in files]


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def test_a_picture_taken_during_a_session_belongs_to_it(content: Path, tmp_path: Path) -> None:
    (found,) = fates(content, picture(tmp_path / "IMG 0042.JPG"))
    assert (found.fate, found.sessions) == (Fate.NEW, ("2025-03-08",))
    assert found.file == "2025/03/2025-03-08-200000-img-0042.jpg"
    assert found.camera == "Lumen Pocket 3"


def test_two_sessions_on_a_date_leave_the_choice_to_the_builder(
    content: Path, tmp_path: Path
) -> None:
    (found,) = fates(content, picture(tmp_path / "a.jpg", "2025:03:09 10:00:00"))
    assert found.sessions == ("2025-03-09-one", "2025-03-09-two")
    (none,) = fates(content, picture(tmp_path / "b.jpg", "2025:04:01 10:00:00"))
    assert (none.sessions, none.why) == ((), "no session on 2025-04-01")


def test_a_wrong_camera_clock_is_set_right(content: Path, tmp_path: Path) -> None:
    late = picture(tmp_path / "a.jpg", "2025:03:09 07:30:00")
    (found,) = fates(content, late, clock=timedelta(hours=11))
    assert (str(found.taken), found.sessions) == ("2025-03-08 20:30:00+01:00", ("2025-03-08",))
    assert clock_setting("Lumen Pocket 3=-1:05") == ("Lumen Pocket 3", -timedelta(minutes=65))
    with pytest.raises(ValueError, match="is not a camera and its error"):
        clock_setting("Lumen")


def test_equal_pictures_are_brought_in_once_and_similar_ones_are_told(
    content: Path, tmp_path: Path
) -> None:
    first = picture(tmp_path / "a.jpg")
    copy = Path(shutil.copy(first, tmp_path / "b.jpg"))
    smaller = tmp_path / "c.jpg"
    Image.open(first).resize((160, 120)).save(smaller)
    other = picture(tmp_path / "d.jpg", seed=5)
    found = fates(content, first, copy, smaller, other)
    assert [a.fate for a in found] == [Fate.NEW, Fate.TWICE, Fate.NEW, Fate.NEW]
    assert [bool(a.alike) for a in found] == [False, False, True, False]


def test_bad_files_are_named_and_the_rest_goes_on(content: Path, tmp_path: Path) -> None:
    empty, text = tmp_path / "empty.jpg", tmp_path / "noté 🛩.jpg"
    empty.write_bytes(b"")
    text.write_text("not a picture")
    cut = picture(tmp_path / "cut.jpg")
    cut.write_bytes(cut.read_bytes()[:900])
    dated = picture(tmp_path / "zero.png", "0000:00:00 00:00:00", seed=3)
    found = fates(content, empty, text, cut, tmp_path / "gone.jpg", dated)
    assert [a.fate for a in found] == [Fate.BAD] * 4 + [Fate.NEW]
    for arrival in found[:4]:
        assert arrival.said.startswith(arrival.source.name)
    assert (found[4].file, found[4].why) == (
        "undated/undated-zero.png",
        "it does not say when it was taken",
    )


def test_names_that_differ_only_in_capitals_get_names_of_their_own(
    content: Path, tmp_path: Path
) -> None:
    found = fates(content, picture(tmp_path / "x" / "A.jpg"), picture(tmp_path / "a.JPG", seed=7))
    assert len({a.file.casefold() for a in found}) == 2


def test_nothing_is_written_without_being_told(content: Path, tmp_path: Path) -> None:
    picture(tmp_path / "in" / "a.jpg")
    result = run("photos", "add", tmp_path / "in", "--content", content)
    assert "1 to copy" in result.output
    assert "to paste into" in result.output
    assert not (content / "photos").exists()
    assert (content / "sessions/a.yml").read_text() == SESSION


def test_written_entries_keep_every_byte_and_pass_the_check(content: Path, tmp_path: Path) -> None:
    picture(tmp_path / "in" / "a.jpg")
    picture(tmp_path / "in" / "b.jpg", "2025:03:08 21:00:00", seed=4)
    first = run("photos", "add", tmp_path / "in", "--content", content, "--write")
    assert "2 copied" in first.output
    written = (content / "sessions/a.yml").read_text()
    assert written.startswith(SESSION)
    assert "- file: 2025/03/2025-03-08-200000-a.jpg" in written
    assert [f for f in read(content, date(2025, 12, 31)).findings() if f.severity == "error"] == []
    again = run("photos", "add", tmp_path / "in", "--content", content, "--write")
    assert "nothing new" in again.output
    assert (content / "sessions/a.yml").read_text() == written


def test_a_run_that_stopped_before_the_entries_is_finished_by_the_next(
    content: Path, tmp_path: Path
) -> None:
    source = picture(tmp_path / "in" / "a.jpg")
    target = content / "photos/2025/03/2025-03-08-200000-a.jpg"
    target.parent.mkdir(parents=True)
    shutil.copy(source, target)
    run("photos", "add", tmp_path / "in", "--content", content, "--write")
    assert "2025-03-08-200000-a.jpg" in (content / "sessions/a.yml").read_text()
    assert [p.name for p in target.parent.iterdir()] == [target.name]


def test_the_camera_clock_is_remembered(content: Path, tmp_path: Path) -> None:
    picture(tmp_path / "in" / "a.jpg", "2025:03:09 07:30:00")
    words = ("photos", "add", tmp_path / "in", "--content", content)
    run(*words, "--clock", "Lumen Pocket 3=+11:00")
    assert "2025-03-08 20:30, 2025-03-08" in run(*words).output


def test_privacy_names_what_originals_hold_and_never_the_place(content: Path) -> None:
    path = content / "photos/a.jpg"
    path.parent.mkdir()
    exif = Image.Exif()
    exif[0x013B] = "Ada Secret"
    exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 12.0, 33.0)})
    exif.get_ifd(0x8769)[0xA431] = "SN-778"
    Image.new("RGB", (9, 9)).save(path, exif=exif)
    said = run("photos", "privacy", "--content", content).output
    assert "a.jpg: where it was taken, the photographer's name, the camera's serial number" in said
    assert not any(word in said for word in ("54", "Secret", "778"))


ENTRY = [{"file": "2025/03/a.jpg", "caption": 'Rib: "nose", #40'}]


@pytest.mark.parametrize(
    "text",
    [
        "date: 2025-03-08\nphotos:\n- file: x.jpg\n  caption: X\n# end\nnext: prime\n",
        "photos:\n    -   file: x.jpg\n        caption: >\n          a b\n\nnext: c\n",
        "date: 2025-03-08\r\nphotos:\r\n  - file: x.jpg\r\n    caption: X\r\nnext: prime\r\n",
        "date: 2025-03-08",
        "date: 2025-03-08\nphotos:\n",
    ],
)
def test_entries_are_added_to_files_of_every_layout(tmp_path: Path, text: str) -> None:
    path = tmp_path / "s.yml"
    path.write_bytes(text.encode())
    if text.endswith("photos:\n"):
        with pytest.raises(CannotAddError):
            with_entries(path, ENTRY)
        return
    added = with_entries(path, ENTRY).decode()
    data = read_yaml("s.yml", added.encode()).data
    assert data["photos"][-1] == ENTRY[0]
    kept = [ln for ln in added.splitlines() if ln in text.splitlines()]
    assert kept == text.splitlines()


def test_a_list_in_brackets_is_left_to_the_builder(tmp_path: Path) -> None:
    path = tmp_path / "s.yml"
    path.write_text("date: 2025-03-08\nphotos: [{file: x.jpg, caption: X}]\n")
    with pytest.raises(CannotAddError, match="in brackets"):
        with_entries(path, ENTRY)


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1))
@settings(max_examples=200)
def test_any_caption_comes_back_as_it_was(caption: str) -> None:
    lines = "\n".join(as_lines([{"file": "a.jpg", "caption": caption}]))
    assert read_yaml("s", lines.encode()).data["photos"][0]["caption"] == caption


@pytest.mark.parametrize("where", ["copying", "entering"])
def test_a_run_that_is_stopped_is_finished_by_the_next(
    content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    for number in range(4):
        picture(tmp_path / "phone" / f"{number}.jpg", seed=number)
    copy, begun = shutil.copyfile, []

    def stop(source: Path, target: Path) -> None:
        begun.append(source)
        if len(begun) > 2:
            target.write_bytes(source.read_bytes()[:100])
            raise KeyboardInterrupt
        copy(source, target)

    def stop_entering(*_: object) -> bytes:
        raise KeyboardInterrupt

    words = ("photos", "add", tmp_path / "phone", "--content", content, "--write")
    with monkeypatch.context() as patched:
        if where == "copying":
            patched.setattr("buildbook.incoming.pictures.shutil.copyfile", stop)
        else:
            patched.setattr("buildbook.cli.photos.with_entries", stop_entering)
        run(*words)
    there = sorted(p.name for p in (content / "photos").rglob("*") if p.is_file())
    assert there == [f"2025-03-08-200000-{n}.jpg" for n in range(2 if where == "copying" else 4)]
    assert (content / "sessions/a.yml").read_text() == SESSION, "what is written is whole"
    assert run(*words).return_value == 0
    written = (content / "sessions/a.yml").read_text()
    assert written.startswith(SESSION)
    assert [f"-{n}.jpg" in written for n in range(4)] == [True] * 4
    assert written.count("- file:") == 4
    assert "nothing new" in run(*words).output
