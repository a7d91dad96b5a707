"""`buildbook write`: by questions, in one line, from rough notes."""

import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import click
import pytest
from click.testing import CliRunner, Result
from fencroft import make_book, read_clean
from keys import CTRL_C, CTRL_D, Keyboard, keyboard

from buildbook.cli.asking import Question, offered
from buildbook.cli.main import cli
from buildbook.records.read import read

TODAY = datetime.now(ZoneInfo("Europe/Copenhagen")).date().isoformat()
LINE = "fin/skeleton 2h30 match-drilled the hinge brackets"


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return make_book(tmp_path)


def run(*words: str, stdin: str | bytes | None = None, keys: Keyboard | None = None) -> Result:
    if keys:
        keys.leave()
    return CliRunner().invoke(cli, ["write", *words], input=stdin, catch_exceptions=False)


def sessions(content: Path) -> list[Path]:
    return sorted(content.glob("sessions/**/*.yml"))


def drafts(content: Path) -> list[Path]:
    return sorted((content.parent / ".buildbook" / "drafts").glob("*"))


def test_one_line_is_shown_and_not_saved_off_a_terminal(content: Path) -> None:
    result = run("--quick", LINE)
    assert result.exit_code == 1, result.output
    for words in ("recognised:", "step: fin/skeleton", "hours: 2h30", "kept as notes: 1 line"):
        assert words in result.output
    assert f"content/sessions/{TODAY}.yml" in result.output
    assert "notes: match-drilled the hinge brackets" in result.output
    assert "nothing is saved; --save does" in result.output
    assert not sessions(content)


def test_one_line_is_saved(content: Path) -> None:
    result = run("--quick", LINE, "--date", "2025-03-08", "--save")
    assert result.exit_code == 0, result.output
    (file,) = sessions(content)
    assert file.read_text() == (
        "# yaml-language-server: $schema=../../.buildbook/schema/sessions.json\n"
        "date: 2025-03-08\nstep: fin/skeleton\nhours: 2h30\n"
        "notes: match-drilled the hinge brackets\n"
    )
    assert "2025-03-08" in read_clean(content).book.sessions
    schema = json.loads((content.parent / ".buildbook/schema/sessions.json").read_text())
    assert schema["title"] == "buildbook: sessions"


def test_a_second_one_never_writes_over_the_first(content: Path) -> None:
    for _ in range(3):
        assert run("--quick", LINE, "--date", "2025-03-08", "--save").exit_code == 0
    assert [f.name for f in sessions(content)] == [
        "2025-03-08-skeleton-2.yml",
        "2025-03-08-skeleton.yml",
        "2025-03-08.yml",
    ]
    assert len(read_clean(content).book.sessions) == 3


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("fin/skeletn 2h ribs", "it lacks its date or step"),
        ("fin/skeleton ribs", "the session does not say how long it took"),
        ("fin/skeleton 30h ribs", "30 hours do not fit into one day"),
    ],
)
def test_what_is_not_right_is_kept_as_a_draft(content: Path, line: str, said: str) -> None:
    result = run("--quick", line, "--save")
    assert result.exit_code == 1
    assert said in result.output
    assert not sessions(content)
    (draft,) = drafts(content)
    assert "ribs" in draft.read_text()
    assert draft.name in result.output


NOTES = """\
2025-03-08 fin/skeleton deburr 2h30
Deburred FN-02-L 01 to 03.
The others wait.

Sun 9 March 2025, rudder/spar 45 min. Counted.
10/3/2025 rudder/spar 1h more
"""


def test_rough_notes(content: Path, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text(NOTES)
    result = run("--from", "notes.txt", "--save")
    assert result.exit_code == 1
    for words in (
        "note 1 of 3",
        "pieces: FN-02-L 01 to 03",
        "kept as notes: 2 lines",
        "saved as content/sessions/2025-03-08.yml",
        "saved as content/sessions/2025-03-09.yml",
        "note 3 of 3",
        "`10/3/2025` can be read in two ways",
    ):
        assert words in result.output
    book = read_clean(content).book
    assert list(book.sessions) == ["2025-03-08", "2025-03-09"]
    assert book.sessions["2025-03-08"].pieces == {"": ("01 to 03",)}
    (kept,) = drafts(content)
    assert "10/3/2025 rudder/spar 1h more" in kept.read_text()


def test_notes_may_be_piped_in(content: Path) -> None:
    result = run("--from", "-", "--save", stdin="2025-03-08 fin/skeleton 2h\nDrilled.\n")
    assert result.exit_code == 0, result.output
    assert len(sessions(content)) == 1


def test_a_draft_that_was_mended_is_saved_as_it_stands(content: Path) -> None:
    assert run("--quick", "fin/skeleton ribs", "--date", "2025-03-08", "--save").exit_code == 1
    (draft,) = drafts(content)
    result = run("--from", str(draft), "--save")
    assert result.exit_code == 1
    assert "the session does not say how long it took" in result.output
    text = draft.read_text() + "hours: 2h  # by the clock\n"
    draft.write_text(text)
    result = run("--from", str(draft), "--save")
    assert result.exit_code == 0, result.output
    (file,) = sessions(content)
    assert file.read_text() == text
    assert file.name == "2025-03-08.yml"
    assert not drafts(content)


@pytest.mark.parametrize("text", ["step: fin/skeleton\n", "- a\n", "", "date: [2025]\n"])
def test_a_draft_without_a_date(content: Path, tmp_path: Path, text: str) -> None:
    (tmp_path / "a.yml").write_text(text)
    result = run("--from", "a.yml", "--save")
    assert result.exit_code == 2
    assert "write its `date` and `step` into it first" in result.output
    assert not sessions(content)


def test_a_draft_with_an_odd_date_stays_inside_the_book(content: Path, tmp_path: Path) -> None:
    (tmp_path / "a.yml").write_text("date: ../../../x\nstep: fin/skeleton\nhours: 1\n")
    result = run("--from", "a.yml", "--save")
    assert result.exit_code == 1
    assert "`../../../x` is not a date" in result.output
    assert {p.name for p in tmp_path.iterdir()} == {"a.yml", "content"}
    assert not sessions(content)


@pytest.mark.parametrize(
    ("words", "stdin", "said"),
    [
        (["--quick", LINE, "--from", "x"], None, "give --quick or --from, not both"),
        (["--from", "nowhere.txt"], None, "nowhere.txt cannot be read: No such file"),
        (["--from", "-"], b"\xff\xfe", "is not UTF-8 text"),
        (["--from", "-"], "", "there is nothing in -"),
        (["--from", "-"], "2025-03-08 \0", "a character that cannot be seen"),
        (["--quick", LINE, "--date", "8/3/2025"], None, "`8/3/2025` is not a date"),
        (["--date", "2025-03-08"], None, "--date goes with --quick"),
        ([], None, "nobody is at the terminal"),
        (["--content", "elsewhere"], None, "there is no folder elsewhere"),
    ],
)
@pytest.mark.usefixtures("content")
def test_what_cannot_be_done_is_said(
    words: list[str], stdin: str | bytes | None, said: str
) -> None:
    result = run(*words, stdin=stdin)
    assert result.exit_code == 2
    assert said in result.output


def test_a_book_without_steps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = make_book(tmp_path)
    for file in content.glob("sections/*"):
        file.unlink()
    monkeypatch.chdir(tmp_path)
    result = run("--quick", LINE)
    assert result.exit_code == 2
    assert "the book has no steps yet" in result.output


# By questions ------------------------------------------------------------------------------------

ANSWERS = (
    "2025-03-08",
    "fin/skeleton",
    "19:30 to 22:00, break 15 min",
    ", ben",
    "drill",
    "FN-01, FN-02-L",
    "01 to 03",
    "Match-drilled: the ribs.\rTwo of them #40.\r",
    "Deburr.",
)
"""Who is asked with the builder filled in; the long text ends with an empty line."""


def answer(keys: Keyboard, *answers: str, erase: int = len(TODAY)) -> None:
    """Answer from the first question on; the date that is filled in is erased first."""
    keys.press("\x7f" * erase)
    keys.type(*answers)


def test_a_session_by_questions(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS, "y", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    (file,) = sessions(content)
    assert file.read_text().split("\n", 1)[1] == (
        "date: 2025-03-08\nstep: fin/skeleton\noperation: drill\nparts: [FN-01, FN-02-L]\n"
        "pieces:\n  FN-02-L: 01 to 03\nfinished: yes\nwho: [ada, ben]\n"
        'from: "19:30"\nto: "22:00"\nbreak: 15 min\n'
        "notes: |\n  Match-drilled: the ribs.\n  Two of them #40.\nnext: Deburr.\n"
    )
    assert not drafts(content)


def test_the_fewest_answers(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        keys.type("", "rudder/spar", "2h", "", "", "", "", "", "", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    (file,) = sessions(content)
    assert file.read_text().split("\n", 1)[1] == f"date: {TODAY}\nstep: rudder/spar\nhours: 2h\n"


def test_wrong_answers_are_asked_again(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        keys.type("")
        for wrong, right in (("fin/skeletn", "fin/skeleton"), ("long", "2h"), (", zoe", "")):
            keys.type(wrong)
            erase = len(wrong) + (3 if wrong.startswith(",") else 0)
            keys.press("\x7f" * erase)
            keys.type(right)
        keys.type("", "", "Drilled.\r", "", "n", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    session = read_clean(content).book.sessions[TODAY]
    assert (session.step, session.hours, session.notes) == ("fin/skeleton", 120, "Drilled.")


@pytest.mark.parametrize(
    ("text", "several", "words"),
    [
        ("", False, ["ada", "ben"]),
        ("A", False, ["ada"]),
        ("smith", False, ["ben"]),
        ("ada, b", True, ["ben"]),
        ("ada, ", True, ["ada", "ben"]),
        ("ada, b", False, []),
        ("zoe", True, []),
    ],
)
def test_words_are_offered_by_name_and_meaning(text: str, several: bool, words: list[str]) -> None:
    people = [("ada", "Ada Fen"), ("ben", "Ben Smith")]
    question = Question("who", "Who:", choices=lambda: people, several=several)
    found = list(offered(question, text))
    assert [word for _, word, _ in found] == words
    for part, _, _ in found:
        assert text.endswith(part)


@pytest.mark.parametrize("answered", range(len(ANSWERS) + 1))
@pytest.mark.parametrize("key", [CTRL_C, CTRL_D])
def test_stopping_at_any_question_loses_nothing(
    content: Path, monkeypatch: pytest.MonkeyPatch, answered: int, key: str
) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS[:answered])
        keys.press("half a wor" if key == CTRL_C else "")
        keys.press(key)
        result = run(keys=keys)
    assert result.exit_code == 1
    assert not sessions(content)
    kept = json.loads((content.parent / ".buildbook/drafts/session.json").read_text())
    said = "\n".join(kept.values())
    for text in ANSWERS[:answered]:
        for line in text.strip(", \r").split("\r"):
            assert line in said
    if key == CTRL_C and answered < len(ANSWERS):
        assert "half a wor" in said
    if any(kept.values()):
        assert "goes on with it" in result.output


def test_going_on_with_what_was_kept(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS[:-1])
        keys.press(CTRL_C)
        assert run(keys=keys).exit_code == 1
    with keyboard(monkeypatch) as keys:
        keys.type("y", *[""] * 7, "\r", "Deburr.", "n", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    session = read(content).book.sessions["2025-03-08"]
    assert session.notes == "Match-drilled: the ribs.\nTwo of them #40.\n"
    assert session.next == "Deburr."
    assert not drafts(content)


def test_beginning_anew_keeps_what_was_there(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS[:3])
        keys.press(CTRL_C)
        run(keys=keys)
    with keyboard(monkeypatch) as keys:
        keys.type("n", "", "rudder/spar", "2h", "", "", "", "", "", "n", "s")
        assert run(keys=keys).exit_code == 0
    (aside,) = drafts(content)
    assert json.loads(aside.read_text())["step"] == "fin/skeleton"


def test_a_draft_may_be_kept_instead(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        keys.type("", "rudder/spar", "2h", "", "", "", "", "", "n", "k")
        result = run(keys=keys)
    assert result.exit_code == 1
    assert not sessions(content)
    assert "step: rudder/spar" in (content.parent / f".buildbook/drafts/{TODAY}.yml").read_text()


def test_a_draft_may_be_edited_first(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    edits = iter(["hours: 2x\n", "hours: 3h\n"])

    def edit(text: str, **_: object) -> str:
        return "\n".join(ln for ln in text.split("\n") if not ln.startswith("hours")) + next(edits)

    monkeypatch.setattr(click, "edit", edit)
    with keyboard(monkeypatch) as keys:
        keys.type("", "rudder/spar", "2h", "", "", "", "", "", "n", "e", "e", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    assert "`2x` is not a duration" in result.output
    assert read_clean(content).book.sessions[TODAY].hours == 180


@pytest.mark.parametrize("own_time", [True, False], ids=["a time each", "one time for both"])
def test_another_piece_of_work(
    content: Path, monkeypatch: pytest.MonkeyPatch, own_time: bool
) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS, "n", "a")
        keys.type("rudder/spar", "45 min" if own_time else "", "deburr", "", "Looked at it.\r", "y")
        keys.type("s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    (file,) = sessions(content)
    assert "work:\n  - step: fin/skeleton\n    operation: drill\n" in file.read_text()
    session = read(content).book.sessions["2025-03-08"]
    first, second = session.work
    assert (first.step, first.operation, first.parts) == (
        "fin/skeleton", "drill", ("FN-01", "FN-02-L")
    )  # fmt: skip
    assert (second.step, second.operation, second.finished) == ("rudder/spar", "deburr", True)
    assert (first.notes, second.notes) == (
        "Match-drilled: the ribs.\nTwo of them #40.\n", "Looked at it."
    )  # fmt: skip
    assert second.hours == (45 if own_time else None)
    timed, untimed = (first, session) if own_time else (session, first)
    assert timed.start is not None
    assert untimed.start is None
    assert session.next == "Deburr."
    assert not drafts(content)


def test_stopping_in_another_piece_of_work_loses_nothing(
    content: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with keyboard(monkeypatch) as keys:
        answer(keys, *ANSWERS, "n", "a")
        keys.type("rudder/spar", "45 min")
        keys.press(CTRL_C)
        assert run(keys=keys).exit_code == 1
    assert not sessions(content)
    with keyboard(monkeypatch) as keys:
        keys.type("y", *[""] * 7, "\r", "", "n", "a", "", "", "", "", "", "n", "s")
        result = run(keys=keys)
    assert result.exit_code == 0, result.output
    _, second = read(content).book.sessions["2025-03-08"].work
    assert (second.step, second.hours) == ("rudder/spar", 45)


def test_a_line_is_asked_for_what_it_lacks(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        keys.type("rudder/spar", "2h", "y")
        result = run("--quick", "drilled the ribs", "--date", "2025-03-08", keys=keys)
    assert result.exit_code == 0, result.output
    session = read_clean(content).book.sessions["2025-03-08"]
    assert (session.step, session.hours, session.notes) == ("rudder/spar", 120, "drilled the ribs")


def test_a_line_that_is_not_wanted_is_kept(content: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with keyboard(monkeypatch) as keys:
        keys.type("n")
        result = run("--quick", LINE, keys=keys)
    assert result.exit_code == 1
    assert not sessions(content)
    (draft,) = drafts(content)
    assert "match-drilled" in draft.read_text()
