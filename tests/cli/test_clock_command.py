"""`buildbook clock`: the time kept, the session written, and clocks that were forgotten."""

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from fencroft import make_book, read_clean
from keys import CTRL_C, Keyboard, keyboard

import buildbook.cli.clock
from buildbook.cli.main import cli
from buildbook.ledger.time import work_minutes
from buildbook.records.read import read
from buildbook.writing import draft


class Wall:
    """A clock on the wall that the test sets."""

    def __init__(self) -> None:
        self.now = datetime(2025, 3, 8, 18, 30, tzinfo=UTC)  # 19:30 in Copenhagen

    def __call__(self) -> datetime:
        return self.now

    def later(self, **time: int) -> None:
        self.now += timedelta(**time)


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    wall = Wall()
    monkeypatch.setattr(buildbook.cli.clock, "_now", wall)
    return wall


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return make_book(tmp_path)


def run(*words: str, keys: Keyboard | None = None) -> Result:
    if keys:
        keys.leave()
    return CliRunner().invoke(cli, ["clock", *words], catch_exceptions=False)


def good(*words: str, keys: Keyboard | None = None) -> str:
    result = run(*words, keys=keys)
    assert result.exit_code == 0, result.output
    return result.output


def refused(*words: str, keys: Keyboard | None = None) -> str:
    result = run(*words, keys=keys)
    assert result.exit_code == 2, result.output
    return result.output


def running(content: Path) -> list[dict]:
    return json.loads((content.parent / ".buildbook/clock.json").read_text())["running"]


def test_an_evening(content: Path, wall: Wall) -> None:
    said = good("in", "fin/skeleton", "--operation", "deburr")
    assert said.startswith("ada at work on fin/skeleton since 19:30\n")
    assert "Two people for the long spar." in said
    assert "Deburr: Wear eye protection." in said
    assert "Clamp the work" not in said
    wall.later(minutes=30)
    assert "paused at 20:00, after 30 min of work" in good("pause")
    wall.later(minutes=15)
    assert "ada: fin/skeleton (deburr) since 19:30, 30 min, paused since 20:00" in good("status")
    assert "at work again since 20:15" in good("in")
    wall.later(hours=1, minutes=45)
    said = good("out", "--notes", "Ribs: deburred.", "--parts", "FN-02-L", "--pieces", "01 to 02")
    assert "saved as content/sessions/2025-03-08.yml" in said
    book = read_clean(content).book
    session = book.sessions["2025-03-08"]
    assert str(session.start), str(session.end) == ("19:30", "22:00")
    assert (session.pause, session.notes, session.operation) == (15, "Ribs: deburred.", "deburr")
    assert work_minutes(book, session) == [135]
    assert running(content) == []
    assert "no clock runs" in good("status")


def test_without_an_operation_all_cautions_of_the_step_are_shown(content: Path, wall: Wall) -> None:
    said = good("in", "fin/skeleton")
    for words in (
        "Deburr: Wear eye protection.",
        "Drill: No gloves",
        "Drill: Clamp the work.",
        "Aluminium dust: ",
        "rules come first.",
    ):
        assert words in said
    assert content
    assert wall


def test_it_survives_the_end_of_the_program(content: Path) -> None:

    program = "from buildbook.cli.main import main; main()"
    command = [sys.executable, "-c", program, "clock"]
    for words in (["in", "fin/close"], ["pause"], ["resume"], ["status"]):
        done = subprocess.run(
            [*command, *words], cwd=content.parent, capture_output=True, text=True, check=True
        )
    assert "ada: fin/close since" in done.stdout
    assert "running" in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["in", "fin/skeletn"], "there is no step `fin/skeletn`; did you mean `fin/skeleton`?"),
        (
            ["in", "fin/close", "--operation", "dril"],
            "there is no operation `dril`; did you mean `drill`?",
        ),
        (
            ["in", "fin/close", "--who", "bne"],
            "there is no person `bne`; known people: ada, ben, ines",
        ),
        (["in", "fin/close", "--who", " , "], "`--who` names nobody"),
        (["in", "fin/close", "--at", "noon"], "`noon` is not a time of day"),
        (["in"], "no clock runs; say on what"),
        (["out"], "no clock runs; `buildbook clock in fin/skeleton` starts one"),
        (["pause"], "no clock runs"),
        (["resume"], "no clock runs"),
        (["drop"], "no clock runs"),
        (["in", "fin/close", "--content", "elsewhere"], "there is no folder elsewhere"),
    ],
)
@pytest.mark.usefixtures("content", "wall")
def test_what_cannot_be_done_is_said(words: list[str], said: str) -> None:
    assert said in refused(*words)


@pytest.mark.usefixtures("content")
def test_in_twice(wall: Wall) -> None:
    good("in", "fin/skeleton", "--who", "ada, ben")
    wall.later(minutes=5)
    said = refused("in", "fin/close", "--who", "ben & ines")
    assert "ben already at work on fin/skeleton, since 19:30; `buildbook clock out`" in said
    assert "the clock is not paused" in refused("in")
    good("pause")
    assert "paused already" in refused("pause")


def test_two_people_at_once(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(minutes=10)
    good("in", "rudder/spar", "--who", "ben")
    wall.later(minutes=50)
    assert len(good("status").splitlines()) == 2
    assert "several clocks run: ada on fin/skeleton; ben on rudder/spar" in refused("out")
    assert "no clock runs for ines" in refused("out", "--who", "ines")
    good("out", "--who", "ben", "--notes", "Counted.")
    good("out", "--notes", "Deburred.")
    book = read_clean(content).book
    assert {s.title: book.who(s, s) for s in book.sessions.values()} == {
        None: ("ben",),
        "Skeleton": ("ada",),
    }
    assert sorted(m for s in book.sessions.values() for m in work_minutes(book, s)) == [50, 60]


def test_a_forgotten_clock_is_never_guessed(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=13)
    assert "was it forgotten?" in good("status")
    said = refused("out", "--notes", "x")
    assert "runs since 2025-03-08 19:30" in said
    assert "`buildbook clock out --at 21:40`" in said
    assert "has not been 09:00" in refused("out", "--at", "9:00", "--notes", "x")
    good("out", "--at", "21:40", "--notes", "x")
    (session,) = read_clean(content).book.sessions.values()
    assert str(session.end) == "21:40"


def test_at_a_terminal_it_asks_when_work_ended(
    content: Path, wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=6)
    with keyboard(monkeypatch) as keys:
        keys.type("")  # no answer is no answer
        keys.type("noon")
        keys.press("\x7f" * 4)
        keys.type("0:15", "Worked late.\r")
        said = good("out", keys=keys)
    assert "was perhaps forgotten" in said
    (session,) = read_clean(content).book.sessions.values()
    assert (str(session.start), str(session.end)) == ("19:30", "00:15")
    assert session.notes == "Worked late."
    assert str(session.date) == "2025-03-08"


def test_it_may_well_have_gone_on_until_now(
    content: Path, wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=6)
    with keyboard(monkeypatch) as keys:
        keys.type("now", "")
        good("out", keys=keys)
    (session,) = read_clean(content).book.sessions.values()
    assert str(session.end) == "01:30"


def test_a_clock_left_paused_ended_then(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=2)
    good("pause")
    wall.later(hours=20)
    assert "is paused since 2025-03-08 21:30, another day" in refused("in")
    assert "is paused since 2025-03-08 21:30, and ends then" in refused("out", "--at", "22:00")
    good("out", "--notes", "x")
    (session,) = read_clean(content).book.sessions.values()
    assert (str(session.end), session.pause) == ("21:30", 0)


def test_times_may_be_told_afterwards(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton", "--at", "18:00")
    good("pause", "--at", "18:30")
    good("resume", "--at", "18:45")
    assert "has not been 18:20" in refused("pause", "--at", "18:20")
    good("out", "--at", "19:15", "--notes", "x")
    (session,) = read_clean(content).book.sessions.values()
    assert (str(session.start), str(session.end), session.pause) == ("18:00", "19:15", 15)
    assert wall


def test_the_night_in_which_an_hour_comes_twice(content: Path, wall: Wall) -> None:
    wall.now = datetime(2025, 10, 26, 0, 10, tzinfo=UTC)  # 2:10, summer time
    good("in", "fin/skeleton")
    wall.later(hours=1, minutes=20)  # 2:30, standard time
    good("out", "--notes", "x")
    book = read_clean(content).book
    (session,) = book.sessions.values()
    assert work_minutes(book, session) == [80]


def test_less_than_a_minute(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(seconds=20)
    assert "less than a minute of work" in refused("out", "--notes", "x")
    assert "forgotten: ada on fin/skeleton since 19:30" in good("drop")
    assert not list(content.glob("sessions/*"))


def test_a_session_with_a_mistake_keeps_the_clock(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=1)
    result = run("out", "--notes", "x", "--parts", "FN-99")
    assert result.exit_code == 1
    assert "there is no part `FN-99`" in result.output
    assert "the clock goes on" in result.output
    assert len(running(content)) == 1
    assert (content.parent / ".buildbook/drafts/2025-03-08.yml").is_file()
    good("out", "--notes", "x", "--parts", "FN-01")


def test_hidden_characters_are_refused(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=1)
    assert "cannot be seen" in refused("out", "--notes", "a\x00b")
    assert len(running(content)) == 1


def test_stopping_at_the_question_keeps_clock_and_words(
    content: Path, wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=1)
    with keyboard(monkeypatch) as keys:
        keys.press(f"Half a sent{CTRL_C}")
        assert run("out", keys=keys).exit_code == 1
    assert len(running(content)) == 1
    with keyboard(monkeypatch) as keys:
        keys.press("ence.\r\r")
        good("out", keys=keys)
    (session,) = read_clean(content).book.sessions.values()
    assert session.notes == "Half a sentence."


def test_a_crash_after_saving_doubles_nothing(
    content: Path, wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=1)
    real = draft.save

    def save_and_crash(*given: object) -> str:
        real(*given)  # type: ignore[arg-type]
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("buildbook.cli.saving.save", save_and_crash)
        assert run("out", "--notes", "x").exit_code == 1
    assert len(running(content)) == 1
    assert "was saved as sessions/2025-03-08.yml already" in good("status")
    assert running(content) == []
    assert len(read(content).book.sessions) == 1


def test_a_damaged_file_is_told(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    (content.parent / ".buildbook/clock.json").write_text("{")
    assert "clock.json is damaged" in refused("status")
    assert wall


def test_a_clock_set_back(content: Path, wall: Wall) -> None:
    good("in", "fin/skeleton")
    wall.later(hours=-1)
    assert "computer's clock stands before" in refused("out", "--notes", "x")
    assert content


def test_many_at_once_lose_no_clock(content: Path) -> None:
    """Programs that start at the same moment wait for one another."""
    people = "".join(f"- {{person: p{n}, name: P}}\n" for n in range(6))
    with (content / "people.yml").open("a") as file:
        file.write(people)
    program = "from buildbook.cli.main import main; main()"
    started = [
        subprocess.Popen(
            [sys.executable, "-c", program, "clock", "in", "fin/close", "--who", f"p{n}"],
            cwd=content.parent,
            stdout=subprocess.DEVNULL,
        )
        for n in range(6)
    ]
    assert [p.wait() for p in started] == [0] * 6
    assert sorted(c["who"][0] for c in running(content)) == [f"p{n}" for n in range(6)]
