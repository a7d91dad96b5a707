"""Writes sessions in child processes that are killed at random moments, and looks at what is left.

    python killed.py FOLDER TIMES SEED

The folder of records is there already. Each child saves new sessions, changes an old one and runs
a clock, as fast as it can, and says after each what is done. Between kills, and after the last,
what is on the disk must be all that was said to be done, and nothing half-written. Prints what
happened as JSON.
"""

import json
import os
import random
import signal
import sys
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from buildbook.files import PARTIAL, write_whole
from buildbook.records.read import Reading, read
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.amend import amended
from buildbook.writing.draft import Trial, save, session_text
from buildbook.writing.fieldlines import with_field
from buildbook.writing.timecard import TimeCard, TimeCards

FIRST = date(2000, 1, 1)
NOTES = "Drilled: 'the' \"ribs\" # and more.\n" * 40
OLD = "sessions/1999-01-01.yml"


def new_session(n: int) -> tuple[str, bytes]:
    """Make the file of the n-th new session."""
    day = (FIRST + timedelta(days=n)).isoformat()
    file = f"sessions/{day}.yml"
    fields = {"date": day, "step": "fin/skeleton", "hours": f"{n % 600 + 1} min", "notes": NOTES}
    return file, session_text(fields, file).encode()


def child(content: Path, reading: Reading, first: int, says: int) -> None:
    """Write until killed."""
    cards = TimeCards(content.parent / ".buildbook")
    n = first
    while True:
        file, raw = new_session(n)
        made = save(content, Trial(file, raw, reading, ()))
        os.write(says, f"new {n} {made}\n".encode())
        old = (content / OLD).read_bytes()
        hours = f"{n + 1} min"
        changed = amended(with_field(old, ("hours",), hours), old, FIRST)
        os.write(says, f"try {hours}\n".encode())
        write_whole(content / OLD, changed)
        os.write(says, f"old {hours}\n".encode())
        with cards.changing() as running:
            running[:] = [TimeCard((str(n),), "fin/skeleton", datetime.now(UTC))]
        os.write(says, f"clock {n}\n".encode())
        n += 1


def once(content: Path, reading: Reading, first: int, wait: float) -> list[str]:
    """Run a child, kill it after a while, and return what it said."""
    hears, says = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(hears)
        try:
            child(content, reading, first, says)
        finally:
            os._exit(3)  # a child never gets here unless something failed
    os.close(says)
    time.sleep(wait)
    os.kill(pid, signal.SIGKILL)
    heard = b""
    while more := os.read(hears, 65536):
        heard += more
    os.close(hears)
    _, status = os.waitpid(pid, 0)
    if not os.WIFSIGNALED(status):
        raise SystemExit(f"the child ended by itself: {status}")
    return heard.decode().splitlines()


def main(folder: str, times: str, seed: str) -> None:
    """Kill children and check what they leave."""
    content, chance = Path(folder), random.Random(int(seed))
    reading = read(content)
    said_done: set[int] = set()
    next_new, allowed, between = 0, {"1 min"}, 0
    for _ in range(int(times)):
        lines = once(content, reading, next_new, chance.uniform(0.0, 0.06))
        for line in lines:
            word, _, rest = line.partition(" ")
            if word == "new":
                number, _, file = rest.partition(" ")
                assert file == new_session(int(number))[0], f"written beside: {line}"
                said_done.add(int(number))
            elif word == "try":
                allowed.add(rest)
            elif word == "old":
                allowed = {rest}
        next_new, found = check(content, said_done, next_new)
        between += found
        old = read_yaml(OLD, (content / OLD).read_bytes())
        assert not old.problems, old.problems
        assert old.data["hours"] in allowed, (old.data["hours"], allowed)
        allowed = {old.data["hours"]}
        TimeCards(content.parent / ".buildbook").read()
    left = [p.name for p in content.rglob(f"*{PARTIAL}")]
    assert all(name.startswith(".") for name in left), left
    after = read(content)
    findings = [f"{f.file}: {f.message}" for f in after.findings()]
    print(  # noqa: T201
        json.dumps(
            {
                "killed": int(times),
                "sessions": len(said_done),
                "unsaid": between,
                "partial": len(left),
                "read": len(after.book.sessions),
                "findings": findings[:5],
            }
        )
    )


def check(content: Path, said_done: set[int], next_new: int) -> tuple[int, int]:
    """Look at every new session; return the next free number, and how many were not said."""
    unsaid = 0
    n = next_new
    while True:
        file, raw = new_session(n)
        path = content / file
        if not path.exists():
            assert n not in said_done, f"lost: {file}"
            return n, unsaid
        assert path.read_bytes() == raw, f"half-written: {file}"
        if n not in said_done:  # killed after it was written, before it was said
            unsaid += 1
            said_done.add(n)
        n += 1


if __name__ == "__main__":
    main(*sys.argv[1:])
