"""Lists of tasks brought in: the general one, and an authority's as a CSV."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sites import BASE

from buildbook.cli.bring import bring
from buildbook.incoming.table import NoTableError, read_table
from buildbook.incoming.tasklist import general, task_file, tasks_in
from buildbook.records.read import read
from buildbook.reference.tasklist import GENERAL

CSV = """\
Form 4;;;;;
No;Task;Kit maker;Commercial assistance;Builder assembly;Fabrication
;Fuselage;;;;
F1;Frames made, "as drawn";0,5;;0,2;0,3
F2;Skins riveted on;;;1,0;
;Floats;;;;
F3;Floats fitted;n/a;n/a;n/a;n/a
F4;Paint;;;;
"""


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    for name, text in BASE.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    return folder


def run(content: Path, *words: str) -> Result:
    return CliRunner().invoke(bring, ["tasks", *words, "--content", str(content)])


def test_the_general_list_is_clean_and_unshared(content: Path) -> None:
    done = run(content, "--general", "--write")
    assert done.exit_code == 0, done.output
    reading = read(content)
    assert [p.message for p in reading.problems] == []
    assert len(reading.book.tasks) == len(GENERAL)
    assert not any(task.is_shared for task in reading.book.tasks.values())


def test_the_general_list_has_the_groups_such_lists_have() -> None:
    groups = list(dict.fromkeys(task.group for task in GENERAL))
    for name in ("Fuselage", "Wings", "Tail", "Controls", "Landing gear", "Propulsion", "Cockpit"):
        assert name in groups
    assert len({task.task for task in GENERAL}) == len(GENERAL)
    assert all(task.title for task in GENERAL)


def test_an_authoritys_list(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "form 4.csv"
    file.write_text(CSV, encoding="utf-8")
    done = run(content, str(file), "--write")
    assert done.exit_code == 0, done.output
    book = read(content).book
    assert [(t.number, t.group, t.shares) for t in book.tasks.values()] == [
        ("F1", "Fuselage", (5, 0, 2, 3)),
        ("F2", "Fuselage", (0, 0, 10, 0)),
        ("F3", "Floats", (0, 0, 0, 0)),
        ("F4", "Floats", (0, 0, 0, 0)),
    ]
    assert book.tasks["f1"].title == 'Frames made, "as drawn"'
    assert not book.tasks["f3"].applies
    assert not book.tasks["f4"].is_shared


def test_nothing_is_written_unasked_and_nothing_twice(content: Path) -> None:
    done = run(content, "--general")
    assert "nothing is written" in done.output
    assert not (content / "tasks.yml").exists()
    (content / "tasks.yml").write_text("[]\n")
    again = run(content, "--general", "--write")
    assert (again.exit_code, "is there already" in again.output) == (2, True)
    assert (content / "tasks.yml").read_text() == "[]\n"


def test_rows_that_are_not_clear(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("task,group,a,b,c,d\nOne,G,5,,4,\n,G,,,,\nTwo,G,,,10,\nThree,G,x,,,\n")
    done = run(content, str(file), "--write")
    assert done.exit_code == 2
    assert "line 2: the shares add up to 9 tenths, not to 10" in done.output
    assert "line 3: there is no task" in done.output
    assert "line 5: `x` is not a number of tenths" in done.output
    done = run(content, str(file), "--write", "--leave-out")
    assert done.exit_code == 1
    assert list(read(content).book.tasks) == ["two"]


def test_lists_that_are_none(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("colour,size\nred,3\n")
    done = run(content, str(file))
    assert (done.exit_code, "no column is headed `task`" in done.output) == (2, True)
    assert run(content).exit_code == 2
    assert run(content, str(file), "--general").exit_code == 2
    assert run(content, str(tmp_path / "none.csv")).exit_code == 2
    with pytest.raises(NoTableError):
        tasks_in(read_table(b"a,b\n1,2\n"))


def test_names_are_short_and_never_twice() -> None:
    table = read_table(b"task,group\nRibs of the left wing made,W\nRibs of the left flap,W\n")
    assert [t["task"] for t in tasks_in(table).tasks] == ["ribs-of-the-left", "ribs-of-the-left-2"]


def test_odd_words_are_quoted() -> None:
    table = read_table(b'task,group,remarks\n"yes: [no] #1",null,"a\'b ""c"""\n')
    text = task_file(tasks_in(table).tasks, "x")
    assert 'title: "yes: [no] #1"' in text
    assert 'group: "null"' in text


def test_the_source_is_named() -> None:
    assert "# From general.\n" in task_file(general().tasks, "general")
