"""What the command lines of each page find when they are run: which book, which files beside it.

Everything that is not run, and everything that is not expected to end well, stands in this file
with its reason.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import clipmaker
import scratch

NOT_RUN = {
    "pip install .": "asks a package registry; a test of the wheel installs it",
    "python3 run.py demo": "sets up the environment these tests run in; its parts are run below",
    "python3 run.py test": "runs these tests",
    "buildbook clock in fin/skeleton --at 19:30": "a time of day that may be still to come",
    "buildbook clock out --at 21:40": "a time of day that may be still to come",
    "buildbook clock in fin/s": "half a name, for the Tab key to complete",
    "buildbook write": "asks questions: tests/cli/test_write_command.py answers them",
    "cd my-book": "every page is run inside its book",
}
"""Command lines that are not run, and why."""

_LINE = "409a691db75bc6e38c5c469bf01d742dd795711c4b38662d3376ad29026963d8"
_QUICK = 'buildbook write --quick "fin/skeleton 2h30 match-drilled the hinge brackets"'
MOVE_IN = 'buildbook import sessions log.csv --map "Datum=date" --map "Total=" --dates day-first'
ENDS_WITH = {
    ("close-a-stage", "buildbook check --before-closing fin/skeleton"): (1, "things are missing"),
    ("notices", "buildbook check --before-closing elevators/balance"): (1, "things are missing"),
    ("inspector", "buildbook check --before-closing fin/skeleton"): (1, "things are missing"),
    ("README", "buildbook check --before-closing STEP"): (1, "things are missing"),
    ("move-in", MOVE_IN): (1, "not all of it is understood"),
    (
        "move-in",
        f'{MOVE_IN} --read-as "Fin / Ribs=fin/skeleton" --write',
    ): (1, "Zoe is nobody the book knows"),
    ("look-up", "buildbook look-up bend 2024-T3 .025"): (2, "the table has no such row"),
    ("readings", "buildbook check"): (1, "a value is outside its limit"),
    ("write-a-session", _QUICK): (1, "not saved: there is nobody to say yes"),
    ("write-a-session", "buildbook write --from notes.txt"): (1, "not saved, as above"),
    ("write-a-session", "buildbook write --from .buildbook/drafts/2025-03-08.yml"): (
        1,
        "not saved, as above",
    ),
    (
        "seal",
        f"buildbook verify seal.txt --seal {_LINE}",
    ): (1, "that line is of another book's seal"),
}
"""Command lines that do not end with 0 as shown, with what they end with, and why."""

STANDS_FOR = {
    "DIR": "stills",
    "FOLDER": "tables",
    "STEP": "fin/skeleton",
    "SESSION": "2025-03-01",
    "FIELD=VALUE": "hours=2h",
    "FILE.pdf": "sheet.pdf",
    "FILE.mp4": "film.mp4",
    "OTHER.mp4": "montage.mp4",
    "FILE.csv": "parts.csv",
    "FORM.csv": "form.csv",
    "LOG.csv": "log.csv",
    "CLIP...": "first.mp4 second.mp4",
}
"""Words in capitals that a reader puts something else for."""

SHORTENED = {
    "buildbook clips montage": ("--seconds 2", "a film of two minutes takes minutes"),
}
"""What is put behind a command so that running it does not take long, and why."""

MASKED = ("exports", "publish")
"""Pages with counts that grow with the demo book and the kinds of page: numbers may be others."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Where the command lines of a page are run."""

    book: str = "fencroft"
    prepare: Callable[[Path], None] | None = None
    """Puts files into the book's folder before the first of them."""
    before: dict[int, Callable[[Path], None]] = field(default_factory=dict)
    """What a reader does before the command with this number, counted from 1."""
    typed: dict[str, str] = field(default_factory=dict)
    """What is answered to the questions of a command."""


def _files(**texts: str) -> Callable[[Path], None]:
    def put(book: Path) -> None:
        for name, text in texts.items():
            scratch.write(book / name, text)

    return put


def _pictures(book: Path) -> None:
    scratch.picture(book / "home" / "from-the-phone" / "IMG_0412.jpg")


def _films(book: Path) -> None:
    _pictures(book)
    for n in range(3):
        scratch.picture(book / "stills" / f"{n}.jpg", f"2025:03:08 20:{n:02}:00")
    for name in ("long", "first", "second", "third"):
        clipmaker.make(book / f"{name}.mp4", frames=60, told=clipmaker.TOLD)


PACKING_LIST = "Part number,Description,Qty\nFN-01,Rear spar,1\n"
LOG = "Date,Step,Hours\n2025-04-02,fin/skeleton,1\n"
FORM = "Task,A,B,C,D\nFin ribs made,5,0,2,3\n"


def _readme(book: Path) -> None:
    _films(book)
    scratch.write(book / "parts.csv", PACKING_LIST)
    scratch.write(book / "form.csv", FORM)
    scratch.write(book / "log.csv", LOG)


_STEP = """\
section: fin
title: Fin
steps:
  - step: skeleton
    title: Skeleton
    parts: P-001
    closes: yes
    inspections: Inside clean
    required readings:
      - reading: edge distance
        min: 0.25 in
        source: Plans, sheet 3
        parts: P-001
        count: 4
"""
_MEASURED = """\
date: 2025-03-08
step: fin/skeleton
hours: 2h
readings:
  - reading: edge distance
    part: P-001
    values: 0.27, 0.251, 0.24, 0.28 in
    tool: calipers
"""
_SQUAWK = """\
squawks:
  - squawk: 1
    title: Hole too near the edge
    parts: P-001
"""


def _stage(book: Path) -> None:
    content = book / "content"
    scratch.write(content / "sections" / "first.yml", _STEP)
    cited = _MEASURED.replace("    tool:", "    squawk: 1\n    tool:")
    scratch.write(content / "sessions" / "first.yml", cited + _SQUAWK)


def _opened_again(book: Path) -> None:
    scratch.write(
        book / "content" / "sessions" / "done.yml",
        "date: 2025-03-10\nfinished: yes\nwork:\n"
        + "".join(
            f"  - {{step: fin/skeleton, operation: {o}, parts: P-001, pieces: all, hours: 1h{f}}}\n"
            for o, f in (("label", ""), ("deburr", ""), ("drill", ", finished: yes"))
        ).replace("finished: yes\nwork", "work"),
    )
    scratch.write(
        book / "content" / "sessions" / "again.yml",
        "date: 2025-04-02\nstep: fin/skeleton\nhours: 45 min\n"
        "reopened: A rib had come loose\nfinished: yes\n",
    )
    scratch.write(
        book / "content" / "signoffs.yml",
        "- {step: fin/skeleton, inspection: Inside clean, date: 2025-03-12, by: me}\n",
    )


def _measured(book: Path) -> None:
    content = book / "content"
    scratch.write(content / "sections" / "first.yml", _STEP)
    scratch.write(content / "sessions" / "2025-03-08.yml", _MEASURED)
    (content / "sessions" / "first.yml").unlink()


def _handed_over(book: Path) -> None:
    line = "buildbook hand-over --edition owner --archive --to for-the-owner"
    scratch.shell(line, book)


def _no_tasks(book: Path) -> None:
    (book / "content" / "tasks.yml").unlink()


def _closed_in_a_photo(book: Path) -> None:
    _pictures(book)
    scratch.picture(book / "content" / "photos" / "close.jpg", "2025:03:20 20:00:00")
    scratch.write(
        book / "content" / "sessions" / "close.yml",
        "date: 2025-03-20\nstep: fin/close\nhours: 1h\nphotos:\n"
        "  - {file: close.jpg, caption: The skin is on}\n",
    )


def _an_hour_later(book: Path) -> None:
    """Let the clock have begun an hour ago: less than a minute of work is no session."""
    path = book / ".buildbook" / "clock.json"
    kept = json.loads(path.read_text(encoding="utf-8"))
    for card in kept["running"]:
        began = datetime.fromisoformat(card["began"]) - timedelta(hours=1)
        card["began"] = began.isoformat()
    path.write_text(json.dumps(kept), encoding="utf-8")


NOTES = """\
2025-03-08 fin/skeleton deburr 2h30
Deburred FN-02-L 04 to 06. The file is blunt.
next: buy files

Sun 9 March 2025, rudder/spar 45 min. Counted the rivets.
"""
DRAFT = "date: 2025-03-08\nstep: fin/close\nhours: 1h\nnotes: Looked inside.\n"

SHEET = """\
Datum;Section;Step;Hours;Who;Work done;Weather;Total
2.4.2025;Fin;Skeleton;2,5;Ada Fen & Ben Fen;Deburred FN-01.;cold;2,5
3.4.2025;Rudder;Spar;0:45;;Counted rivets.;;3,25
4.4.2025;Fin;Ribs;1h;Zoe;Looked at them.;;4,25
"""
DATED = """\
---
hours: 1:30
who: ada, ben
mood: good
---
Deburred FN-01. The file is blunt.

next: buy files
"""

SCENES = {
    "README": Scene(prepare=_readme),
    "close-a-stage": Scene("starter", _stage, before={2: _opened_again}),
    "readings": Scene("starter", _measured),
    "look-up": Scene("starter"),
    "photos": Scene(prepare=_closed_in_a_photo),
    "as-built": Scene("demo"),
    "clips": Scene(prepare=_films),
    "evidence": Scene(prepare=_files(**{"form.csv": FORM}), before={3: _no_tasks}),
    "exports": Scene("demo"),
    "notices": Scene("demo"),
    "move-in": Scene(
        prepare=_files(**{"log.csv": SHEET, "notes/2025-04-05 fin skeleton.md": DATED})
    ),
    "hand-over": Scene(before={3: _handed_over}),
    "write-a-session": Scene(
        prepare=_files(**{"notes.txt": NOTES, ".buildbook/drafts/2025-03-08.yml": DRAFT}),
        before={4: _an_hour_later},
        typed={"buildbook clock out": "Drilled two holes.\n\n\n\ny\n"},
    ),
}
"""By the page's name; another page finds the small book as it is."""
