"""`buildbook import sessions`: shown first, written when told, and never over what is there."""

import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from fencroft import make_book

from buildbook.cli.main import cli
from buildbook.records.read import read

LOG = """\
Date,Section,Step,Hours,Who,Work done,Weather
8.3.2025,Fin,Skeleton,"2,5",Ada Fen & Ben,"Deburred FN-01.
It took ""long"".",cold
9.3.2025,Rudder,Spar,0:45,,Counted rivets,
9.3.2025,Fin,Ribs,1,,Looked at them,
"""


@pytest.fixture(autouse=True)
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = make_book(tmp_path)
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return folder


def bring(*words: str) -> Result:
    return CliRunner().invoke(cli, ["import", "sessions", *words], catch_exceptions=False)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_the_dry_run_shows_all_and_writes_nothing(tmp_path: Path) -> None:
    before = files(tmp_path)
    result = bring("log.csv", "--dates", "day-first")
    assert result.exit_code == 1
    for line in (
        "log.csv: 3 rows; UTF-8; columns parted by commas",
        "  notes: column `Work done`",
        "  kept in the notes: `Weather`; --map can say more",
        "content/sessions/2025-03-08.yml:",
        "  who: [ada, ben]",
        "    - Weather: cold",
        "log.csv:5: no session yet:",
        "log.csv:5:14: error: there is no step `Fin / Ribs` [no-step]",
        '  say which it is: --read-as "Fin / Ribs=fin/skeleton"',
        "nothing is written; --write writes 2 sessions, and keeps 1 draft in .buildbook/drafts",
    ):
        assert line in result.output.splitlines(), result.output
    assert files(tmp_path) == before


def test_what_is_shown_is_written(content: Path) -> None:
    shown = bring("log.csv", "--dates", "day-first").output
    result = bring("log.csv", "--dates", "day-first", "--write")
    assert "saved as content/sessions/2025-03-08.yml" in result.output
    for file in (content / "sessions").glob("*.yml"):
        for line in file.read_text(encoding="utf-8").splitlines()[1:]:
            assert line.strip() in shown
    check = CliRunner().invoke(cli, ["check"], catch_exceptions=False)
    assert (check.exit_code, check.output.splitlines()[0]) == (0, "no problems")


def test_running_it_again_changes_nothing(tmp_path: Path) -> None:
    bring("log.csv", "--dates", "day-first", "--write")
    before = files(tmp_path)
    result = bring("log.csv", "--dates", "day-first", "--write")
    assert "  log.csv:2: content/sessions/2025-03-08.yml" in result.output
    assert "  log.csv:5: .buildbook/drafts/log-line-5.yml" in result.output
    assert result.output.endswith("nothing to bring in\n")
    assert files(tmp_path) == before


def test_rows_that_are_added_later_are_brought_in(content: Path, tmp_path: Path) -> None:
    bring("log.csv", "--dates", "day-first", "--write")
    there = content / "sessions" / "2025-03-08.yml"
    there.write_bytes(there.read_bytes() + b"next: Drill it\n")  # the builder went on with it
    before = files(tmp_path)
    more = LOG.replace("\n", "\n2025-03-08,Fin,Skeleton,1,,More,\n", 1)
    (tmp_path / "log.csv").write_text(more, encoding="utf-8")
    bring("log.csv", "--dates", "day-first", "--write")
    now = files(tmp_path)
    assert {name: now[name] for name in before if name != "log.csv"} == {
        name: data for name, data in before.items() if name != "log.csv"
    }
    assert now.keys() - before.keys() == {"content/sessions/2025-03-08-skeleton.yml"}


def test_a_file_of_that_name_is_left_alone(content: Path) -> None:
    (content / "sessions").mkdir()
    taken = content / "sessions" / "2025-03-08.yml"
    taken.write_text("date: 2024-01-01\nstep: fin/close\nhours: 1\n", encoding="utf-8")
    bring("log.csv", "--dates", "day-first", "--write")
    assert taken.read_text(encoding="utf-8").startswith("date: 2024-01-01")
    assert (content / "sessions" / "2025-03-08-2.yml").is_file()


def test_a_draft_is_completed_and_saved(tmp_path: Path, content: Path) -> None:
    bring("log.csv", "--dates", "day-first", "--write")
    draft = tmp_path / ".buildbook/drafts/log-line-5.yml"
    text = draft.read_text(encoding="utf-8")
    assert "Looked at them\n\n  - Section: Fin\n  - Step: Ribs\n" in text
    said = text.replace("hours: 1", "step: fin/close\ntitle: Ribs\nhours: 1")
    draft.write_text(said, encoding="utf-8")
    done = CliRunner().invoke(cli, ["write", "--from", str(draft), "--save"])
    assert done.exit_code == 0, done.output
    assert not draft.exists()
    assert "nothing to bring in" in bring("log.csv", "--dates", "day-first", "--write").output
    assert len(read(content).book.sessions) == 3


def test_words_may_be_said_to_stand_for_a_name(content: Path) -> None:
    bring("log.csv", "--dates", "day-first", "--write")
    options = ("--dates", "day-first", "--read-as", "Fin / Ribs=fin/skeleton", "--write")
    result = bring("log.csv", *options)
    assert result.exit_code == 0
    assert "no longer needed: the draft .buildbook/drafts/log-line-5.yml" in result.output
    assert [s.step for s in read(content).book.sessions.values()].count("fin/skeleton") == 2


def test_a_step_for_all_that_name_none(content: Path, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("Date,Hours\n2025-03-08,1\n", encoding="utf-8")
    assert bring("a.csv", "--step", "fin/close", "--write").exit_code == 0
    assert read(content).book.sessions["2025-03-08"].step == "fin/close"
    wrong = bring("a.csv", "--step", "fin/clos")
    assert wrong.exit_code == 2
    assert "there is no step `fin/clos`; did you mean `fin/close`?" in wrong.output


def test_columns_by_number(content: Path, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("2025-03-08,fin/close,1,Riveted\n", encoding="utf-8")
    maps = [f"--map={n}={f}" for n, f in enumerate(("date", "step", "hours", "notes"), 1)]
    assert bring("a.csv", "--no-header", *maps, "--write").exit_code == 0
    assert read(content).book.sessions["2025-03-08"].notes == "Riveted"


def test_a_folder_of_notes(content: Path, tmp_path: Path) -> None:
    notes = tmp_path / "notes"
    (notes / "2025").mkdir(parents=True)
    (notes / ".trash").mkdir()
    (notes / "2025/2025-03-08 fin skeleton.md").write_text("2h Cut.\n", encoding="utf-8")
    (notes / ".trash/2025-03-09.md").write_text("2h fin/close\n", encoding="utf-8")
    (notes / "a.jpg").write_bytes(b"")
    result = bring("notes", "--write")
    assert "notes: 1 file, 1 note" in result.output
    assert "not read: a.jpg; pictures come in with `buildbook photos add`" in result.output
    assert [s.step for s in read(content).book.sessions.values()] == ["fin/skeleton"]
    assert "nothing to bring in" in bring("notes", "--write").output
    moved = notes / "2025/2025-03-08 fin skeleton.md"
    moved.rename(notes / moved.name)
    assert "nothing to bring in" in bring("notes", "--write").output


def workbook(path: Path) -> Path:
    """Make a file as spreadsheets save it: a ZIP archive (ECMA-376, part 2)."""
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
    return path


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("log.xlsx", None, "open it in a spreadsheet and save it as CSV"),
        ("log.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "save it as CSV"),
        ("log.pdf", b"%PDF-1.7", "save it as CSV"),
        ("empty.csv", b"", "there is nothing in it"),
        ("open.csv", b'date,notes\n2025-03-08,"never closed\n', "is never closed"),
        ("cut.csv", b"\xff\xfed\x00a", "save it again as UTF-8"),
        ("nodate.csv", b"a,b\n1,2\n", "no column holds the date; the first row says `a`, `b`"),
    ],
)
def test_files_that_cannot_be_read(
    tmp_path: Path, name: str, data: bytes | None, told: str
) -> None:
    if data is None:
        workbook(tmp_path / name)
    else:
        (tmp_path / name).write_bytes(data)
    before = files(tmp_path)
    result = bring(name, "--write")
    assert (result.exit_code, told in " ".join(result.output.split())) == (2, True), result.output
    assert files(tmp_path) == before


def test_what_is_not_there_or_holds_no_notes(tmp_path: Path) -> None:
    assert "cannot be read" in bring("nothing.csv").output
    (tmp_path / "none").mkdir()
    assert "there are no notes in none" in bring("none").output
    assert "write the words and the name" in bring("log.csv", "--read-as", "Zoe").output


def test_what_is_written_as_windows_writes_it(content: Path, tmp_path: Path) -> None:
    text = "Date;Step;Hours;Notes\r\n2025-03-08;fin/close;1,5;Löcher entgratet\r\n"
    (tmp_path / "a.csv").write_bytes(text.encode("cp1252"))
    result = bring("a.csv", "--write")
    assert "Windows-1252, which is a guess: look at letters with accents" in result.output
    assert read(content).book.sessions["2025-03-08"].notes == "Löcher entgratet"


def test_line_ends_and_comments_of_others_do_not_hide_what_was_brought_in(content: Path) -> None:
    bring("log.csv", "--dates", "day-first", "--write")
    for path in (content / "sessions").glob("*.yml"):
        path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))  # as git may do on Windows
    result = bring("log.csv", "--dates", "day-first")
    assert "  log.csv:2: content/sessions/2025-03-08.yml" in result.output
    assert "nothing to bring in" in result.output


MANY = 150
PROGRAM = "import sys; from buildbook.cli.main import main; sys.argv[0] = 'buildbook'; main()"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows sends Ctrl-C to the tests as well")
def test_stopped_by_ctrl_c_it_goes_on_later(content: Path, tmp_path: Path) -> None:
    rows = "".join(
        f"2024-{n // 28 + 1:02}-{n % 28 + 1:02},fin/close,1,n {n}\n" for n in range(MANY)
    )
    (tmp_path / "long.csv").write_text(f"Date,Step,Hours,Notes\n{rows}", encoding="utf-8")
    command = [sys.executable, "-c", PROGRAM, "import", "sessions", "long.csv", "--write"]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    while running.poll() is None and not list((content / "sessions").glob("*.yml")):
        time.sleep(0.01)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate()
    written = {path.name: path.read_bytes() for path in (content / "sessions").iterdir()}
    assert not [name for name in written if not name.endswith(".yml")], "no half file is left"
    assert not read(content).errors
    if running.returncode == 2:  # it may have been quicker
        assert "run it again to go on" in out
        assert "stopped" in err
    bring("long.csv", "--write")
    now = {path.name: path.read_bytes() for path in (content / "sessions").iterdir()}
    assert {name: now[name] for name in written} == written
    assert sorted(s.notes for s in read(content).book.sessions.values()) == sorted(
        f"n {n}" for n in range(MANY)
    )
