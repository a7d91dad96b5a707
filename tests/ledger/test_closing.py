"""What a step still lacks before it is closed."""

from datetime import date
from pathlib import Path

from buildbook.ledger.closing import lacks
from buildbook.ledger.ledger import derive
from buildbook.records.read import read

FILES = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
    "operations.yml": "- {operation: rivet, title: Rivet}\n",
    "parts.yml": "- {part: R-1, name: Rib, quantity: 3, route: rivet}\n",
    "sections.yml": """section: tail
title: Tail
steps:
  - step: close
    title: Close
    parts: R-1
    operations: rivet
    inspections: [Inside clean]
    required photos: [Inside]
    closes: yes
""",
}
DONE = {
    "sessions/a.yml": "date: 2025-03-01\nstep: tail/close\noperation: rivet\nparts: R-1\n"
    "pieces: all\nhours: 2\nfinished: yes\nphotos: {file: a.jpg, caption: Inside, shows: Inside}\n",
    "signoffs.yml": "{step: tail/close, inspection: Inside clean, date: 2025-03-02, by: ada}\n",
    "photos/a.jpg": "a picture",
}
SQUAWK = "{squawk: 1, title: Crack, found: 2025-02-01, by: ada, before: tail/close}\n"


def said(folder: Path, files: dict[str, str]) -> list[tuple[str, str]]:
    for name, text in {**FILES, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    reading = read(folder, date(2025, 12, 31))
    assert not reading.errors
    return [(x.what, x.said) for x in lacks(derive(reading.book), reading.book, "tail/close")]


def test_a_step_not_begun_lacks_everything(tmp_path: Path) -> None:
    assert said(tmp_path, {"squawks.yml": SQUAWK}) == [
        ("work", "no session says that the step is finished"),
        ("pieces", "3 pieces of R-1 to do: Rivet"),
        ("photo", "photo asked for: Inside"),
        ("inspection", "not signed off: Inside clean"),
        ("squawk", "squawk 1 is open: Crack"),
    ]


def test_a_step_that_has_everything_lacks_nothing(tmp_path: Path) -> None:
    closed = SQUAWK.replace("}\n", ", closed: {date: 2025-02-02, by: ada}}\n")
    assert said(tmp_path, {**DONE, "squawks.yml": closed}) == []


def test_a_photo_that_another_step_asked_for_does_not_count(tmp_path: Path) -> None:
    other = "photos: {file: a.jpg, caption: Inside}\n"
    session = DONE["sessions/a.yml"].replace(", shows: Inside", "")
    assert other in session
    files = {**DONE, "sessions/a.yml": session}
    assert said(tmp_path, files) == [("photo", "photo asked for: Inside")]


def test_a_held_piece_is_named(tmp_path: Path) -> None:
    session = DONE["sessions/a.yml"].replace("all", "01 to 02").replace("finished: yes\n", "")
    held = "{squawk: 1, title: Crack, found: 2025-02-01, by: ada, pieces: R-1-03}\n"
    lacking = said(tmp_path, {**DONE, "sessions/a.yml": session, "squawks.yml": held})
    assert ("pieces", "held by a squawk: R-1-03") in lacking
    assert ("pieces", "1 piece of R-1 to do: Rivet") in lacking


ASKED = "    required readings: {reading: gap, max: 1 mm, count: 2}\n"


def test_a_reading_that_is_asked_for(tmp_path: Path) -> None:
    files = {**DONE, "sections.yml": FILES["sections.yml"] + ASKED}
    assert said(tmp_path, files) == [("reading", "not measured: gap")]
    files["sessions/a.yml"] += "readings: {reading: Gap, values: '0.8, 0.9 mm'}\n"
    assert said(tmp_path, files) == []


def test_a_lot_that_was_past_its_date(tmp_path: Path) -> None:
    files = {
        **DONE,
        "lots.yml": "{lot: glue, title: Glue, expires: 2025-02-27}\n",
        "sessions/a.yml": DONE["sessions/a.yml"] + "lots: glue\n",
    }
    for name, text in {**FILES, **files}.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    book = read(tmp_path, date(2025, 12, 31)).book
    [lack] = lacks(derive(book), book, "tail/close")
    assert (lack.what, lack.said) == (
        "lot",
        "lot glue was 2 days past its date when it was used on 2025-03-01",
    )


REOPENED = {
    "sessions/b.yml": "date: 2025-04-01\nstep: tail/close\nhours: 1\nreopened: A nut was loose\n"
}


def test_a_step_opened_again_is_inspected_again(tmp_path: Path) -> None:
    assert said(tmp_path, {**DONE, **REOPENED}) == [
        ("work", "opened again on 2025-04-01, and not finished since"),
        ("inspection", "not signed off again: Inside clean"),
    ]


def test_a_step_closed_again_keeps_what_was_before(tmp_path: Path) -> None:
    files = {
        **DONE,
        "sessions/b.yml": REOPENED["sessions/b.yml"] + "finished: yes\n",
        "signoffs.yml": f"- {DONE['signoffs.yml']}"
        "- {step: tail/close, inspection: Inside clean, date: 2025-04-01, by: ada}\n",
    }
    assert said(tmp_path, files) == []
    ledger = derive(read(tmp_path, date(2025, 12, 31)).book)
    stage = ledger.stages["tail/close"]
    assert [(t.finished, str(t.date)) for t in stage.turns] == [
        (True, "2025-03-01"),
        (False, "2025-04-01"),
        (True, "2025-04-01"),
    ]
    assert [str(s.date) for s in stage.signed] == ["2025-04-01"]
    assert [str(s.date) for s in stage.lapsed] == ["2025-03-02"]
    assert ledger.progress.steps["tail/close"].finished == date(2025, 4, 1)


def test_a_step_opened_again_is_not_finished(tmp_path: Path) -> None:
    said(tmp_path, {**DONE, **REOPENED})
    progress = derive(read(tmp_path, date(2025, 12, 31)).book).progress.steps["tail/close"]
    assert (progress.state, progress.finished) == ("begun", None)
