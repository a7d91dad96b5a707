"""Pictures and clips that look like one that is there: found among many, and offered, not taken."""

import os
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from clipmaker import TOLD, make
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from test_bringing_in import content, picture  # noqa: F401 - a fixture

from buildbook.cli.main import cli
from buildbook.incoming import looks as module
from buildbook.incoming.looks import ALIKE, APART, Look, Looks, looks_of
from buildbook.incoming.pictures import Arrival, Survey
from buildbook.records.read import read

HASH = st.integers(0, 2**64 - 1)


@given(st.lists(HASH, max_size=40), HASH, st.lists(st.integers(0, 63), max_size=9))
def test_none_is_missed_and_none_is_made_up(some: list[int], one: int, changed: list[int]) -> None:
    """Against comparing with each, with one among them that differs in a few bits."""
    near = one
    for bit in changed:
        near ^= 1 << bit
    every = [*some, near]
    looks = Looks()
    for number, value in enumerate(every):
        looks.add(str(number), Look(value, None))
    close = [str(n) for n, v in enumerate(every) if (v ^ one).bit_count() <= ALIKE]
    assert list(looks.like(Look(one, None))) == close


def test_the_next_piece_is_not_the_same_picture() -> None:
    """The same work minutes later looks the same; without a time nothing tells them apart."""
    then = datetime(2025, 3, 8, 20, 0)  # noqa: DTZ001 - as cameras write it
    assert Look(7, then).is_like(Look(7, then + APART))
    assert not Look(7, then).is_like(Look(7, then + APART + timedelta(seconds=1)))
    assert Look(7, then).is_like(Look(7, None))
    assert not Look(7, None, 60.0).is_like(Look(7, None, 63.0))
    assert Look(7, None, 60.0).is_like(Look(7, None, 60.5)), "coded anew, a frame shorter"
    assert not Look(7, None, 0.1).is_like(Look(7, None)), "a clip is no picture"


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def test_a_copy_sent_by_a_friend_is_known_by_its_looks(content: Path, tmp_path: Path) -> None:  # noqa: F811
    """Sent on by a messenger a picture comes back smaller, coded anew, and without its date."""
    original = picture(tmp_path / "phone/IMG 1.jpg")
    assert run("photos", "add", original, "--content", content, "--write").return_value == 0
    sent = tmp_path / "sent.jpg"
    Image.open(original).resize((200, 150)).save(sent, quality=60)
    told = run("photos", "add", sent, "--content", content, "--write")
    there = "2025/03/2025-03-08-200000-img-1.jpg"
    assert "sent.jpg: undated, no session (it does not say when it was taken)" in told.output
    assert f"looks like {there} (--alike takes it)" in told.output
    assert told.return_value == 1
    assert "1 left out" in told.output
    assert len(list((content / "photos").rglob("*.jpg"))) == 1
    run("photos", "add", sent, "--content", content, "--write", "--alike")
    assert len(list((content / "photos").rglob("*.jpg"))) == 2


def test_many_that_look_alike_are_not_all_named(content: Path, tmp_path: Path) -> None:  # noqa: F811
    for number in range(6):
        picture(tmp_path / f"{number}.jpg", f"2025:03:08 20:00:{number:02}")
    said = run("photos", "add", *sorted(tmp_path.glob("*.jpg")), "--content", content).output
    assert "5.jpg" in said
    assert "and 2 more (--alike takes it)" in said


def clips_looked_at(content: Path, *files: Path) -> list[Arrival]:  # noqa: F811
    survey = Survey(read(content, date(2025, 12, 31)).book, {}, date(2025, 12, 31))
    return [survey.look_at(file) for file in files]


def test_a_clip_coded_anew_is_known_and_another_one_is_not(
    content: Path,  # noqa: F811
    tmp_path: Path,
) -> None:
    first = make(tmp_path / "a.mov", frames=40, told=TOLD)
    sent = make(tmp_path / "b.mp4", frames=40, codec="mpeg4", size=(128, 96))
    longer = make(tmp_path / "c.mp4", frames=55)
    one, two, three = clips_looked_at(content, first, sent, longer)
    assert (one.alike, two.alike, three.alike) == ((), (one.file,), ())


def test_only_what_is_new_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = tmp_path / "cache" / "looks.json"
    photos = tmp_path / "photos"
    for number in range(3):
        picture(photos / f"{number}.jpg", seed=number)
    make(photos / "a.mp4", frames=20)
    (photos / "bad.jpg").write_bytes(b"nothing")
    names = ["0.jpg", "1.jpg", "2.jpg", "a.mp4", "bad.jpg", "gone.jpg"]
    opened: list[list[str]] = []

    def told(files: list[str]) -> list[str]:
        opened.append(files)
        return files

    first = looks_of(photos, names, kept, told)
    assert opened.pop() == ["0.jpg", "1.jpg", "2.jpg", "a.mp4", "bad.jpg"]
    os.utime(photos / "1.jpg", (1, 1))
    again = looks_of(photos, names[1:], kept, told)
    assert opened.pop() == ["1.jpg"]
    for name, look in first._all[1:]:
        assert name in again.like(look)
    for damaged in ("", "{", "[]", '{"kept as": 1, "looks": {"0.jpg": 7}}'):
        kept.write_text(damaged)
        assert looks_of(photos, names, kept, told)._all == first._all
    monkeypatch.setattr(module, "write_whole", None)
    assert looks_of(photos, names, kept)._all == first._all, "nothing new, so nothing is written"


def test_what_was_looked_at_is_kept_when_the_rest_is_not_waited_for(tmp_path: Path) -> None:
    photos, kept = tmp_path / "photos", tmp_path / "looks.json"
    for number in range(3):
        picture(photos / f"{number}.jpg", seed=number)

    def impatient(files: list[str]):
        yield from files[:2]
        raise KeyboardInterrupt

    names = ["0.jpg", "1.jpg", "2.jpg"]
    with pytest.raises(KeyboardInterrupt):
        looks_of(photos, names, kept, impatient)
    left: list[str] = []
    looks_of(photos, names, kept, lambda files: left.extend(files) or files)
    assert left == ["2.jpg"]
