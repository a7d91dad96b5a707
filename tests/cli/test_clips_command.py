"""`buildbook clips`: short films from long ones, and from stills."""

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from click.testing import CliRunner, Result
from clipmaker import TOLD, frames_of, make, number_of
from PIL import Image

from buildbook.cli.main import cli
from buildbook.media.filmwriter import Film
from buildbook.media.montage import grid
from buildbook.media.reels import GROUND, Stills, placed, within

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def still(path: Path, grey: int, size: tuple[int, int] = (160, 120), taken: str = "") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    Image.new("RGB", size, (grey, grey, grey)).save(path, exif=exif, quality=95)
    return path


def greys(path: Path) -> list[int]:
    return [
        round(float(f[f.shape[0] // 2, f.shape[1] // 2].mean()) / 10) * 10 for f in frames_of(path)
    ]


def seconds(path: Path) -> float:
    with av.open(str(path)) as container:
        return (container.duration or 0) / 1_000_000


def test_a_clip_becomes_a_time_lapse(run: Run) -> None:
    make(Path("a.mp4"), frames=50)
    result = run("clips", "time-lapse", "a.mp4", "--to", "out.mp4", "--speed", "2")
    assert result.output == "out.mp4: 1 s, 160 x 120 pixels, 2 times as fast\n"
    assert [number_of(f) for f in frames_of(Path("out.mp4"))] == list(range(0, 50, 2))
    assert seconds(Path("out.mp4")) == pytest.approx(1, abs=0.02)
    with av.open("out.mp4") as container:
        assert not container.streams.audio
        assert set(container.metadata) == {"major_brand", "minor_version", "compatible_brands"}


def test_a_turned_clip_stands_upright(run: Run) -> None:
    make(Path("a.mov"), rotation=90)
    run("clips", "time-lapse", "a.mov", "--to", "out.mp4", "--seconds", "1")
    (first, *_) = frames_of(Path("out.mp4"))
    assert first.shape == (160, 120, 3)
    assert first[150, 10].min() > 200, "the white corner is below now"


def test_stills_go_by_in_the_order_they_were_taken(run: Run) -> None:
    for n, (name, grey) in enumerate((("c", 50), ("a", 150), ("b", 250))):
        still(Path("in") / f"{name}.jpg", grey, taken=f"2025:03:0{n + 1} 10:00:00")
    result = run("clips", "time-lapse", "in", "--to", "out.mp4", "--speed", "5")
    assert "0.6 s, 160 x 120 pixels, 5 stills a second" in result.output
    assert greys(Path("out.mp4")) == [50] * 5 + [150] * 5 + [250] * 5


def test_or_of_their_names_as_people_count(run: Run) -> None:
    for name, grey in (("img10", 150), ("img9", 50), ("img100", 250)):
        still(Path("in") / f"{name}.png", grey)
    run("clips", "time-lapse", "in", "--to", "out.mp4", "--seconds", "0.24")
    assert greys(Path("out.mp4")) == [50, 50, 150, 150, 250, 250]


def test_very_many_stills_are_thinned_out(run: Run) -> None:
    for n in range(40):
        still(Path("in") / f"{n:02}.png", 6 * n, size=(16, 16))
    run("clips", "time-lapse", "in", "--to", "out.mp4", "--seconds", "0.4")
    assert len(frames_of(Path("out.mp4"))) == 10


def test_stills_of_mixed_shapes_are_shown_whole(run: Run) -> None:
    for n, size in enumerate(((320, 240), (320, 240), (240, 320), (40, 10), (1, 1))):
        still(Path("in") / f"{n}.png", 250, size=size)
    result = run("clips", "time-lapse", "in", "--to", "out.mp4", "--speed", "25")
    assert "320 x 240" in result.output
    first, _, tall, flat, dot = frames_of(Path("out.mp4"))
    assert first.min() > 230
    for frame, across, down in ((tall, 180, 240), (flat, 320, 80), (dot, 240, 240)):
        lit = (frame.mean(axis=2) > 128).sum()
        assert lit == pytest.approx(across * down, rel=0.06)


def test_what_is_no_picture_is_told_and_left_out(run: Run) -> None:
    still(Path("in/a.jpg"), 100)
    Path("in/b.jpg").write_text("nothing")
    Path("in/notes.txt").write_text("not looked at")
    result = run("clips", "time-lapse", "in", "--to", "out.mp4", "--seconds", "1")
    assert (
        "b.jpg is not a picture of a kind that can be read here, and is left out" in result.stderr
    )
    assert Path("out.mp4").exists()


def test_a_still_cut_short_is_told_and_the_one_before_goes_on(run: Run) -> None:
    """Its header is whole, so what is wrong shows only when its turn comes."""
    for number, grey in enumerate((50, 100, 150, 200)):
        still(Path(f"in/{number}.jpg"), grey, (1200, 900))
    for cut in (Path("in/0.jpg"), Path("in/2.jpg")):
        cut.write_bytes(cut.read_bytes()[:-4000])
    result = run("clips", "time-lapse", "in", "--to", "out.mp4", "--speed", "25")
    assert result.return_value is None, result.output
    for name in ("0.jpg", "2.jpg"):
        assert result.output.count(f"{name} is cut short or damaged, and is left out") == 1
    assert greys(Path("out.mp4")) == [round(sum(GROUND) / 30) * 10, 100, 100, 200]
    for whole in ("1.jpg", "3.jpg"):
        (Path("in") / whole).unlink()
    none = run("clips", "time-lapse", "in", "--to", "none.mp4")
    assert "none.mp4 is not written: a source is cut short or damaged" in str(none.exception)
    assert not Path("none.mp4").exists()


def test_a_montage_shows_all_at_once(run: Run) -> None:
    make(Path("a.mov"), told=TOLD, frames=50)
    make(Path("b.mp4"), frames=25, size=(120, 160))
    for n, grey in enumerate((50, 250)):
        still(Path("c") / f"{n}.jpg", grey, taken="2025:04:05 10:00:00")
    result = run("clips", "montage", "a.mov", "b.mp4", "c", "--to", "m.mp4", "--seconds", "1")
    assert result.output.startswith("m.mp4: 3 clips, 1 s, ")
    laid = grid(3, (160, 120), 1280, None)
    frames = frames_of(Path("m.mp4"))
    assert len(frames) == 25
    assert frames[0].shape == (laid.size[1], laid.size[0], 3)
    for share in (0, 12, 24):
        frame = frames[share]
        (x, y), (width, height) = laid.corner(0), laid.tile
        assert number_of(frame[y : y + height, x : x + width]) == share * 2
        x, y = laid.corner(2)
        middle = frame[y + height // 2, x + width // 2].mean()
        assert middle == pytest.approx(50 if share < 13 else 250, abs=8)
    # Below each something is written.
    for number in range(3):
        x, y = laid.corner(number)
        line = frames[0][y + laid.tile[1] : y + laid.tile[1] + laid.line, x : x + laid.tile[0]]
        assert line.max() > 180
        assert np.median(line) == pytest.approx(GROUND[0], abs=4)


def test_at_the_same_speed_the_shorter_ends_before(run: Run) -> None:
    make(Path("a.mp4"), frames=50)
    make(Path("b.mp4"), frames=25)
    run("clips", "montage", "a.mp4", "b.mp4", "--to", "m.mp4", "--seconds", "1", "--same-speed")
    laid = grid(2, (160, 120), 1280, None)
    shown = []
    for frame in frames_of(Path("m.mp4")):
        x, y = laid.corner(1)
        shown.append(number_of(frame[y : y + laid.tile[1], x : x + laid.tile[0]]))
    assert shown[:12] == [i * 25 // 12 for i in range(12)]
    assert len(set(shown[13:])) == 1


def folder_of_nothing() -> None:
    Path("in").mkdir()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("time-lapse", "a.mp4", "--to", "a.mp4"), "a.mp4 is there already; name another file"),
        (("time-lapse", "a.mp4", "--to", "b.avi"), "b.avi must end in .mp4"),
        (("time-lapse", "a.mp4", "--to", "no/b.mp4"), "cannot write into no: there is no such"),
        (("time-lapse", "empty", "--to", "b.mp4"), "empty has no pictures in it"),
        (("time-lapse", "text.mp4", "--to", "b.mp4"), "text.mp4 is not a clip of a kind"),
        (
            ("time-lapse", "a.mp4", "--to", "b.mp4", "--seconds", "1", "--speed", "2"),
            "--seconds and --speed say the same thing",
        ),
        (("time-lapse", "a.mp4", "--to", "b.mp4", "--speed", "0.0001"), "the film would last"),
        (("montage", "text.mp4", "--to", "b.mp4"), "text.mp4 is not a clip of a kind"),
        (("montage", *["a.mp4"] * 17, "--to", "b.mp4"), "17 clips are too many for one film"),
    ],
)
def test_what_cannot_be_done_is_said_before_any_work(
    run: Run, words: tuple[str, ...], said: str
) -> None:
    make(Path("a.mp4"), frames=3)
    Path("text.mp4").write_text("nothing")
    Path("empty").mkdir()
    before = Path("a.mp4").read_bytes()
    result = run("clips", *words)
    assert result.exception is not None
    assert said in str(result.exception.message)  # type: ignore[attr-defined]
    assert sorted(p.name for p in Path().iterdir()) == ["a.mp4", "empty", "text.mp4"]
    assert Path("a.mp4").read_bytes() == before


@pytest.mark.parametrize("command", ["time-lapse", "montage"])
def test_a_run_that_is_stopped_leaves_nothing(
    run: Run, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    make(Path("a.mp4"))
    add, seen = Film.add, []

    def stop(film: Film, picture: Image.Image) -> None:
        seen.append(1)
        add(film, picture)
        if len(seen) == 10:
            raise KeyboardInterrupt

    monkeypatch.setattr(Film, "add", stop)
    run("clips", command, "a.mp4", "--to", "b.mp4", "--seconds", "2")
    assert len(seen) == 10
    assert [p.name for p in Path().iterdir()] == ["a.mp4"]


def test_a_file_that_appears_meanwhile_is_not_overwritten(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    make(Path("a.mp4"), frames=3)
    finish = Film.finish

    def interfere(film: Film) -> None:
        finish(film)
        Path("b.mp4").write_text("someone else's")

    monkeypatch.setattr(Film, "finish", interfere)
    result = run("clips", "time-lapse", "a.mp4", "--to", "b.mp4", "--seconds", "1")
    assert "there already" in str(result.exception.message)  # type: ignore[union-attr]
    assert Path("b.mp4").read_text() == "someone else's"


@pytest.mark.parametrize(
    ("count", "shape", "columns", "across"),
    [
        (1, (16, 9), None, 1),
        (4, (16, 9), None, 2),
        (9, (16, 9), None, 3),
        (2, (9, 16), None, 2),
        (4, (9, 16), None, 4),
        (3, (16, 9), 1, 1),
        (16, (4, 3), None, 4),
    ],
)
def test_the_grid_fits_its_size(
    count: int, shape: tuple[int, int], columns: int | None, across: int
) -> None:
    laid = grid(count, (shape[0] * 100, shape[1] * 100), 1280, columns)
    assert laid.columns == across
    assert max(laid.size) <= 1280
    assert all(side % 2 == 0 for side in (*laid.size, *laid.tile))
    assert laid.tile[0] / laid.tile[1] == pytest.approx(shape[0] / shape[1], rel=0.05)
    for number in range(count):
        x, y = laid.corner(number)
        assert x + laid.tile[0] <= laid.size[0]
        assert y + laid.tile[1] + laid.line <= laid.size[1]


def test_pictures_are_placed_whole() -> None:
    assert within((400, 300), (160, 120)) == (160, 120)
    assert within((300, 400), (160, 120)) == (90, 120)
    shown = np.asarray(placed(Image.new("RGB", (300, 400), "white"), (160, 120)))
    assert (shown.mean(axis=(0, 2)) > 128).sum() == 90
    assert tuple(shown[0, 0]) == GROUND


def test_a_folder_says_when_it_was_taken(tmp_path: Path) -> None:
    still(tmp_path / "in" / "a.jpg", 9, taken="2025:03:02 10:00:00")
    still(tmp_path / "in" / "b.jpg", 9, taken="2025:03:01 10:00:00")
    from datetime import UTC, date  # noqa: PLC0415

    assert Stills(tmp_path / "in").day(UTC) == date(2025, 3, 1)
