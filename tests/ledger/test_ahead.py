"""What comes next, on a small book followed by hand."""

from pathlib import Path

import pytest

from buildbook.ledger.ahead import StepAhead, ahead, in_runs
from buildbook.ledger.ledger import derive
from buildbook.ledger.progress import StepState
from buildbook.records.book import Book
from buildbook.records.read import read

FILES = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
    "operations.yml": (
        "- {operation: deburr, title: Deburr}\n- {operation: drill, title: Drill}\n"
        "- {operation: prime, title: Prime}\n"
    ),
    "parts.yml": (
        "- {part: RB-1, name: Rib, quantity: 5, route: 'deburr, drill, prime'}\n"
        "- {part: SP-1, name: Spar, route: 'deburr, drill'}\n"
    ),
    "lessons.yml": "- {lesson: 1, title: File is blunt, operations: deburr}\n"
    "- {lesson: 2, title: Mask the edge, operations: prime}\n",
    "squawks.yml": "- {squawk: 1, title: Bent flange, found: 2031-01-02, pieces: RB-1-04}\n"
    "- {squawk: 2, title: Jig out of true, found: 2031-01-02, before: fin/ribs}\n"
    "- {squawk: 3, title: Settled, found: 2031-01-02, step: fin/ribs,\n"
    "   closed: {date: 2031-01-03, by: ada}}\n",
    "sections/fin.yml": """\
section: fin
title: Fin
steps:
  - {step: count, title: Count, without parts: yes}
  - step: ribs
    title: Ribs
    parts: RB-1, SP-1
    operations: deburr, drill
    estimate: 5h
    required photos: All ribs
  - {step: paint, title: Paint, parts: RB-1, operations: prime}
""",
    "sections/rudder.yml": """\
section: rudder
title: Rudder
steps:
  - {step: plan, title: Plan, without parts: yes}
""",
    "sessions/2031-01-01.yml": "{date: 2031-01-01, step: fin/count, hours: 1h, finished: yes}\n",
    "sessions/2031-01-02.yml": """\
date: 2031-01-02
work:
  - {step: fin/ribs, operation: deburr, parts: RB-1, pieces: 01 to 04, hours: 1h}
  - {step: fin/ribs, operation: drill, parts: RB-1, pieces: 01 to 02, hours: 1h}
""",
}


@pytest.fixture
def book(tmp_path: Path) -> Book:
    for name, text in FILES.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    return read(tmp_path).book


def by_name(book: Book, section: str | None = None) -> dict[str, StepAhead]:
    return {step.step: step for step in ahead(derive(book), book, section)}


def test_unfinished_steps_in_order(book: Book) -> None:
    assert list(by_name(book)) == ["fin/ribs", "fin/paint", "rudder/plan"]
    assert list(by_name(book, "rudder")) == ["rudder/plan"]
    assert not by_name(book, "elsewhere")


def test_pieces_along_their_routes(book: Book) -> None:
    ribs = by_name(book)["fin/ribs"]
    assert (ribs.state, ribs.clock, ribs.estimate) == (StepState.BEGUN, 120, 300)
    tasks = {(t.part, t.operation): t for t in ribs.work}
    assert [t.operation for t in ribs.work] == ["deburr", "deburr", "drill", "drill"]
    assert tasks["RB-1", "deburr"].ready == ("05",)
    assert tasks["RB-1", "drill"].ready == ("03",)
    assert tasks["RB-1", "drill"].held == (("04", (1,)),)
    assert tasks["RB-1", "drill"].waiting == 1
    assert tasks["SP-1", "deburr"].ready == ("01",)
    assert tasks["SP-1", "drill"].waiting == 1


def test_later_steps_have_what_is_ready_for_them(book: Book) -> None:
    paint = by_name(book)["fin/paint"]
    (task,) = paint.work
    assert (task.ready, task.waiting) == (("01", "02"), 3)
    assert paint.state is StepState.AHEAD
    assert paint.lacks == ()


def test_squawks_lessons_and_what_is_lacking(book: Book) -> None:
    steps = by_name(book)
    assert steps["fin/ribs"].squawks == (2,)
    assert steps["fin/ribs"].lessons == (1,)
    assert steps["fin/paint"].lessons == (2,)
    assert "photo asked for: All ribs" in [lack.said for lack in steps["fin/ribs"].lacks]


def test_every_piece_left_is_ready_held_or_waiting(book: Book) -> None:
    ledger = derive(book)
    counted = {
        (step.step, t.part, t.operation): len(t.ready) + len(t.held) + t.waiting
        for step in ahead(ledger, book)
        for t in step.work
    }
    assert counted == ledger.routes.remaining


@pytest.mark.parametrize(
    ("marks", "runs"),
    [
        ([], []),
        (["01", "02", "03", "07"], ["01 to 03", "07"]),
        (["09", "10", "11"], ["09 to 11"]),
        (["9", "10"], ["9 to 10"]),
        (["09", "010"], ["09", "010"]),
        (["99", "100"], ["99 to 100"]),
        (["A1", "A2", "B3"], ["A1 to A2", "B3"]),
        (["x", "y"], ["x", "y"]),
        (["02", "01"], ["02", "01"]),
    ],
)
def test_runs(marks: list[str], runs: list[str]) -> None:
    from buildbook.records.labels import expand_run  # noqa: PLC0415

    assert in_runs(marks) == runs
    assert [m for run in runs for m in expand_run(run)] == marks
