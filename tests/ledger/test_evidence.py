"""The account: what is behind each task, on a small book worked out by hand."""

from pathlib import Path
from typing import Any

import pytest
from sites import BASE

from buildbook.ledger.evidence import Evidence
from buildbook.ledger.ledger import derive
from buildbook.records.read import read

TASKS = """\
- task: parts
  number: "1"
  title: Parts made
  group: Tail
  steps: fin/skeleton
  maker: 5
  assembly: 2
  fabrication: 3
- {task: closing, title: Closed, group: Tail, steps: [fin/close, fin/skeleton], assembly: 10}
- {task: bare, title: Nothing behind it, group: Wings, steps: fin/close, fabrication: 10}
- {task: nowhere, title: Without a step, group: Wings, help: 9, assembly: 1}
- {task: kit, title: By the maker, group: Wings, maker: 10}
- {task: open, title: Nobody said, group: Wings, steps: fin/skeleton}
- {task: floats, title: Floats, group: Wings, applies: no, why: Wheels.}
"""
ONE = """\
date: 2025-03-08
who: ada, ben
hours: 2h
step: fin/skeleton
photos:
  - {file: a.jpg, caption: Ada at work, who: ada}
  - {file: b.jpg, caption: A rib}
  - {file: gone.jpg, caption: Not there}
"""
TWO = "date: 2025-03-09\nwho: ben\nhours: 1h\nstep: fin/skeleton\n"
SIGNED = "- {step: fin/skeleton, inspection: Twist, date: 2025-03-10, by: ben}\n"


@pytest.fixture
def found(tmp_path: Path) -> Evidence:
    files: dict[str, Any] = {**BASE, "tasks.yml": TASKS, "signoffs.yml": SIGNED}
    files |= {"sessions/1.yml": ONE, "sessions/2.yml": TWO}
    files |= {"photos/a.jpg": "x", "photos/b.jpg": "x"}
    for name, text in files.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return derive(read(tmp_path).book).evidence


def test_what_is_behind_a_task(found: Evidence) -> None:
    row = found.groups[0].rows[0]
    assert row.sessions == ("2025-03-08", "2025-03-09")
    assert dict(row.minutes) == {"ben": 180, "ada": 120}
    assert list(row.minutes) == ["ben", "ada"]
    assert [shot.photo.file for shot in row.shots] == ["a.jpg", "b.jpg"]
    assert row.at_work == 1
    assert len(row.signed) == 1


def test_claimed_with_nothing_behind_it(found: Evidence) -> None:
    """What the maker did needs no record of the builder's; a step nobody worked on is none."""
    assert [row.task.task for row in found.bare] == ["bare", "nowhere"]


def test_groups_in_the_order_of_the_list_and_their_sums(found: Evidence) -> None:
    tail, wings = found.groups
    assert (tail.name, wings.name) == ("Tail", "Wings")
    assert tail.shares.tenths == (5, 0, 12, 3)
    assert wings.shares.tenths == (10, 9, 1, 10)
    assert wings.shares.tasks == 4  # not the floats
    assert found.whole.tasks == 6
    assert found.whole.builder == 26
    assert [row.task.task for row in found.unshared] == ["open"]


def test_hours_do_not_decide(found: Evidence) -> None:
    """The same tasks without any session come to the same shares."""
    assert found.whole.tenths == (15, 9, 13, 13)
