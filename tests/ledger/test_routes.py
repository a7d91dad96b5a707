"""Pieces along their routes: what is done, what is next, what holds it, what is left."""

from datetime import date
from pathlib import Path

import pytest

from buildbook.ledger.ledger import Ledger, derive
from buildbook.ledger.routes import CellState
from buildbook.records.read import Reading, read

BOOK = """
title: Book
aircraft: {model: Alder A-1}
builder: ada
time zone: UTC
"""
PEOPLE = "- {person: ada, name: Ada}\n- {person: ben, name: Ben}\n"
OPERATIONS = "".join(
    f"- {{operation: {name}, title: {name}}}\n" for name in ("label", "deburr", "prime", "rivet")
)
SECTION = """
section: tail
title: Tail
steps:
  - {step: ribs, title: Ribs, parts: [R-1, R-2], operations: [label, deburr, prime]}
  - {step: close, title: Close, parts: [R-1], operations: [rivet]}
"""
PARTS = """
- part: R-1
  name: Rib
  quantity: 4
  route: [label, deburr, rivet]
  not needed: {prime: inside the tank}
  pieces:
    - {piece: 01 to 02, side: port, position: 1 to 2}
    - {piece: "03", side: starboard, position: 1, scrapped: 2025-02-01, why: dented}
    - {piece: "04", side: starboard, position: 2}
    - {piece: "05", side: starboard, position: 1, replaces: "03"}
    - {piece: "06", spare: yes}
- part: R-2
  name: Skin
  route: [deburr, prime]
"""


def book(tmp_path: Path, **files: str) -> Reading:
    """Write a small book and read it; keys are file names with `__` for `/`."""
    base = {"book": BOOK, "people": PEOPLE, "operations": OPERATIONS, "parts": PARTS}
    for name, text in {**base, "sections__tail": SECTION, **files}.items():
        path = tmp_path / f"{name.replace('__', '/')}.yml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return read(tmp_path, date(2025, 12, 31))


def session(day: str, operation: str, pieces: str, step: str = "tail/ribs", more: str = "") -> str:
    return (
        f"date: {day}\nstep: {step}\noperation: {operation}\nparts: R-1\npieces: {pieces}\n"
        f"hours: 1\n{more}"
    )


def states(ledger: Ledger, part: str = "R-1") -> dict[str, str]:
    """One letter a cell: Done, Next, Waiting, Held, not needed (-), Unrecorded, scrapped (x)."""
    letters = {
        CellState.DONE: "D",
        CellState.NEXT: "N",
        CellState.WAITING: "W",
        CellState.HELD: "H",
        CellState.NOT_NEEDED: "-",
        CellState.UNRECORDED: "U",
        CellState.OFF: "x",
    }
    sheet = ledger.routes.sheets[part]
    return {r.piece.mark: "".join(letters[c.state] for c in r.cells) for r in sheet.rows}


def codes(reading: Reading) -> list[str]:
    return [f.code for f in reading.findings()]


def test_a_new_part_waits_at_the_start_of_its_route(tmp_path: Path) -> None:
    ledger = derive(book(tmp_path).book)
    assert ledger.routes.sheets["R-1"].operations == ("label", "deburr", "rivet", "prime")
    assert states(ledger) == {
        "01": "NWW-", "02": "NWW-", "03": "xxx-", "04": "NWW-", "05": "NWW-", "06": "NWW-",
    }  # fmt: skip


def test_all_means_the_pieces_that_were_there_on_that_day(tmp_path: Path) -> None:
    before = session("2025-01-10", "label", "all")
    after = session("2025-02-10", "deburr", "all")
    reading = book(tmp_path, sessions__a=before, sessions__b=after)
    # 03 was labelled before it was scrapped; 05 came after and has yet to be labelled.
    assert states(derive(reading.book)) == {
        "01": "DDN-", "02": "DDN-", "03": "Dxx-", "04": "DDN-", "05": "NDW-", "06": "NWW-",
    }  # fmt: skip
    found = [f for f in reading.findings() if f.code == "out-of-order"]
    assert [f.message for f in found] == ["`deburr` comes before `label` on R-1-05"]
    assert (found[0].file, found[0].line) == ("sessions/b.yml", 5)


def test_sides_and_runs_name_pieces(tmp_path: Path) -> None:
    port = session("2025-03-01", "label", "port")
    run = session("2025-03-02", "label", "[04 to 05]")
    reading = book(tmp_path, sessions__a=port, sessions__b=run)
    done = {mark for mark, row in states(derive(reading.book)).items() if row[0] == "D"}
    assert done == {"01", "02", "04", "05"}
    assert codes(reading) == []


def test_rework_is_noticed_and_can_be_acknowledged(tmp_path: Path) -> None:
    first = session("2025-03-01", "label", "01")
    again = session("2025-03-02", "label", "01 to 02")
    reading = book(tmp_path, sessions__a=first, sessions__b=again)
    assert [f.message for f in reading.findings()] == ["`label` was already done on R-1-01"]
    assert derive(reading.book).routes.sheets["R-1"].rows[0].cells[0].times == 2
    meant = session("2025-03-02", "label", "01 to 02", more="knowingly: the ink had run\n")
    assert codes(book(tmp_path, sessions__b=meant)) == []


def test_work_on_a_scrapped_piece_and_work_said_not_to_be_needed(tmp_path: Path) -> None:
    scrap = session("2025-03-01", "label", "03")
    tank = session("2025-03-02", "prime", "01")
    reading = book(tmp_path, sessions__a=scrap, sessions__b=tank)
    assert codes(reading) == ["work-on-scrap", "not-needed-done"]


def test_an_open_squawk_holds_a_piece_until_it_is_closed(tmp_path: Path) -> None:
    squawk = "- {squawk: 1, title: Crack, found: 2025-03-01, by: ada, pieces: R-1-01}\n"
    ledger = derive(book(tmp_path, squawks=squawk).book)
    assert states(ledger)["01"] == "HWW-"
    assert ledger.routes.sheets["R-1"].rows[0].held_by == (1,)
    closed = squawk.replace("}\n", ", closed: {date: 2025-03-02, by: ada}}\n")
    assert states(derive(book(tmp_path, squawks=closed).book))["01"] == "NWW-"


def test_a_finished_step_leaves_no_piece_next_that_was_not_named(tmp_path: Path) -> None:
    work = "date: 2025-03-01\nstep: tail/ribs\nhours: 2\nfinished: yes\n"
    ledger = derive(book(tmp_path, sessions__a=work).book)
    assert states(ledger)["01"] == "UUN-"
    # Four pieces to fit are left to rivet, and nothing of the finished step.
    assert ledger.routes.remaining == {("tail/close", "R-1", "rivet"): 4}


def test_a_single_piece_is_named_by_its_part_number(tmp_path: Path) -> None:
    work = "date: 2025-03-01\nstep: tail/ribs\noperation: deburr\nparts: R-2\nhours: 1\n"
    reading = book(tmp_path, sessions__a=work, sessions__b=work.replace("-01", "-02"))
    assert states(derive(reading.book), "R-2") == {"01": "DN"}
    assert codes(reading) == []  # two evenings on one skin are no rework


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("quantity: 4", "quantity: 4\n  port: 1\n  starboard: 3"), "too-many-on-a-side"),
        (("quantity: 4", "quantity: 4\n  port: 2\n  starboard: 1"), "quantity-disagrees"),
        (("name: Rib", "name: Rib, left side"), "hand-or-side"),
        (("why: dented", "why: port-hand flange dented"), "hand-or-side"),
    ],
)
def test_sides_and_hands_that_contradict_are_noticed(
    tmp_path: Path, change: tuple[str, str], code: str
) -> None:
    assert code in codes(book(tmp_path, parts=PARTS.replace(*change)))


def test_a_left_hand_part_on_either_side_is_fine(tmp_path: Path) -> None:
    parts = PARTS.replace("name: Rib", "name: Rib\n  hand: left\n  notes: Left-hand rib.")
    assert codes(book(tmp_path, parts=parts)) == []
