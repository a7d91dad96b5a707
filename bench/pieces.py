"""Pieces by the thousand: how long sheets and pace take beyond reading.

    python bench/pieces.py [--parts 10] [--pieces 2000] [--operations 12]

Prints processor seconds for a book of `parts` x `pieces` pieces, two thirds of the work done.
Twice the parts should take twice the time.
"""

import argparse
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

from buildbook.ledger.ledger import derive
from buildbook.records.read import read

T = TypeVar("T")
_RUN = 200  # pieces done in one session


def write_book(folder: Path, parts: int, pieces: int, operations: int) -> int:
    """Write a book; return the number of its sessions."""
    names = [f"op-{i}" for i in range(operations)]
    route = ", ".join(names)
    numbers = [f"P-{i}" for i in range(parts)]
    (folder / "sections").mkdir()
    (folder / "sessions").mkdir()
    texts = {
        "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
        "people.yml": "- {person: ada, name: Ada}\n",
        "operations.yml": "".join(f"- {{operation: {n}, title: {n}}}\n" for n in names),
        "parts.yml": "".join(
            f"- {{part: {n}, name: Clip, quantity: {pieces}, route: [{route}]}}\n" for n in numbers
        ),
        "sections/a.yml": "section: a\ntitle: A\nsteps:\n  - {step: s, title: S, estimate: 100h, "
        f"parts: [{', '.join(numbers)}]}}\n",
    }
    for name, text in texts.items():
        (folder / name).write_text(text)
    day, sessions = date(2020, 1, 1), 0
    for operation in names[: operations * 2 // 3]:
        for number in numbers:
            for first in range(1, pieces + 1, _RUN):
                last = min(first + _RUN - 1, pieces)
                day += timedelta(days=1)
                sessions += 1
                (folder / f"sessions/{sessions}.yml").write_text(
                    f"date: {day}\nstep: a/s\noperation: {operation}\nparts: {number}\n"
                    f"pieces: {first} to {last}\nhours: 3\n"
                )
    return sessions


def timed(name: str, call: Callable[[], T]) -> T:
    """Call, and print the processor seconds it took."""
    start = time.process_time()
    result = call()
    print(f"{name:<28} {time.process_time() - start:6.2f} s")
    return result


def main() -> None:
    """Measure one book."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--parts", type=int, default=10)
    parser.add_argument("--pieces", type=int, default=2000)
    parser.add_argument("--operations", type=int, default=12)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sessions = write_book(folder, args.parts, args.pieces, args.operations)
        print(
            f"{args.parts * args.pieces:,} pieces, {args.operations} operations, "
            f"{sessions} sessions"
        )
        book = timed("read and check", lambda: read(folder, date(2100, 1, 1))).book
        ledger = timed("derive (sheets, pace, ...)", lambda: derive(book))
        done = sum(
            c.times > 0 for s in ledger.routes.sheets.values() for r in s.rows for c in r.cells
        )
        print(f"{done:,} cells done")


if __name__ == "__main__":
    main()
