"""Squawks laid side by side."""

from datetime import date
from pathlib import Path

from buildbook.ledger.ledger import Ledger, derive
from buildbook.ledger.squawks import SectionCount
from buildbook.records.read import read

FILES = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
    "parts.yml": "- {part: R-1, name: Rib}\n",
    "sections/tail.yml": "section: tail\ntitle: Tail\nsteps: [{step: a, title: A, parts: R-1}]\n",
    "sections/wing.yml": "section: wing\ntitle: Wing\nsteps: [{step: b, title: B}]\n",
    "sessions/a.yml": "date: 2025-01-10\nstep: tail/a\nhours: 1\n"
    "squawks: {squawk: 1, title: Crack, pieces: R-1-01, cause: In a hurry.}\n",
    "sessions/b.yml": "date: 2025-03-01\nstep: wing/b\nhours: 1\nsquawks: [2, 3]\n",
    "squawks.yml": """- {squawk: 2, title: Dent, found: 2025-02-27, step: wing/b,
   cause: in a  hurry, closed: {date: 2025-03-01, by: ada}}
- {squawk: 3, title: Scratch, found: 2025-02-01, step: wing/b, cause: Swarf,
   disposition: {decision: rework, date: 2025-02-02, by: ada}}
- {squawk: 4, title: Unknown}
""",
}


def ledger(folder: Path) -> Ledger:
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    reading = read(folder, date(2026, 1, 1))
    assert not reading.errors
    return derive(reading.book)


def test_ages_are_counted_to_the_last_session_or_to_the_closing(tmp_path: Path) -> None:
    facts = ledger(tmp_path).squawks.of
    # 10 January to 1 March: 21 days of January, 28 of February, 1 of March.
    assert [facts[n].days for n in (1, 2, 3, 4)] == [50, 2, 28, None]
    assert [facts[n].section for n in (1, 2, 3, 4)] == ["tail", "wing", "wing", None]
    assert [facts[n].closed_in for n in (1, 2, 3)] == [None, "2025-03-01", None]


def test_open_ones_by_section(tmp_path: Path) -> None:
    assert ledger(tmp_path).squawks.by_section == (
        SectionCount("tail", 1, 0, 50),
        SectionCount("wing", 0, 1, 28),
        SectionCount(None, 1, 0, None),
    )


def test_a_cause_that_comes_again(tmp_path: Path) -> None:
    assert ledger(tmp_path).squawks.causes == (("In a hurry.", (1, 2)),)
