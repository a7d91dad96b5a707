"""When records were written, from the version history: one question to git, whatever the book."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, tzinfo
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple
from zoneinfo import ZoneInfo

from buildbook.handover.versions import NoHistoryError, log, where
from buildbook.ledger.written import FileHistory, Past


class _Change(NamedTuple):
    """A file in a commit."""

    status: str
    """`A`, `M`, `D`, `T`, or `R` for a file that got another name and did not change."""
    path: str
    old: str
    """The name before; the same unless it got another."""


class _Commit(NamedTuple):
    """A commit."""

    when: int
    """Seconds since 1970."""
    changes: list[_Change]


def past(content: Path, zone: ZoneInfo) -> Past:
    """Tell what the version history says of a content folder, or why it says nothing."""
    try:
        return Past(history(content, zone))
    except NoHistoryError as error:
        return Past({}, str(error))


def history(content: Path, zone: ZoneInfo) -> Mapping[str, FileHistory]:
    """Read when every file of a content folder came into the history, and when it was changed.

    By path in that folder, of the files that are there now. Days are by the workshop's clock.
    Raises NoHistoryError.
    """
    return _history(str(content.resolve()), where(content), zone)


@lru_cache(maxsize=4)  # a book that is served is read again after every change
def _history(content: str, commit: str, zone: ZoneInfo) -> Mapping[str, FileHistory]:
    return MappingProxyType(_followed(_commits(log(Path(content), commit)), zone))


def _commits(said: bytes) -> Iterator[_Commit]:
    """Part what `git log` says, newest first."""
    words = iter(said.decode("utf-8", "surrogateescape").split("\0"))
    commit: _Commit | None = None
    for word in words:
        status = word.strip("\n")
        if status.startswith("\x01"):
            if commit:
                yield commit
            stamp, _, status = status[1:].partition("\n")
            commit = _Commit(int(stamp), [])
        if not status or not commit:
            continue
        old = next(words, "")
        path = next(words, "") if status[0] in "RC" else old
        kind = "M" if status[0] == "R" and status != "R100" else status[0]
        commit.changes.append(_Change(kind, path, old))
    if commit:
        yield commit


def _followed(commits: Iterable[_Commit], zone: tzinfo) -> dict[str, FileHistory]:
    """Follow every file through its names, from now backwards.

    A file that was taken away and came back is the same file: its first day is the first of all,
    and its coming back is a later change. To get another name is no change.
    """
    now: dict[str, str] = {}
    """The name a file has today, by the name it had where the walk has got to; empty for one whose
    name another file has today."""
    gone: set[str] = set()
    days: dict[str, list[date]] = {}
    for commit in commits:
        day = datetime.fromtimestamp(commit.when, zone).date()
        names = {change.path: now.get(change.path, change.path) for change in commit.changes}
        for status, path, _ in commit.changes:
            name = names[path]
            if not name:
                continue
            if status == "D" and name not in days:
                gone.add(name)
            if status != "R":
                days.setdefault(name, []).append(day)
        moved = {c.old: names[c.path] for c in commit.changes if c.old != c.path}
        now |= {c.path: "" for c in commit.changes if c.old != c.path} | moved
    found = {}
    for name, some in days.items():
        if name not in gone:
            first, *later = sorted(some)
            found[name] = FileHistory(first, tuple(later))
    return found
