"""Evidence: who did which tasks, and which sessions, hours and pictures of the book show it.

Hours stand beside the shares and never decide them.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildbook.ledger.links import Links, Shot
from buildbook.ledger.time import Stint
from buildbook.records.book import Book
from buildbook.records.signoff import SignOff
from buildbook.records.task import Task
from buildbook.reference.shares import Shares, add_up


@dataclass(frozen=True, slots=True)
class TaskEvidence:
    """A task, and what the book has to show for it."""

    task: Task
    steps: tuple[str, ...]
    sessions: tuple[str, ...]
    """That worked on one of its steps, in order."""
    minutes: Mapping[str, int]
    """Of each person who worked on its steps, the most first."""
    shots: tuple[Shot, ...]
    """Pictures of its steps that are shown."""
    at_work: int
    """Of those, pictures that say that the builder is in them."""
    signed: tuple[SignOff, ...]

    @property
    def claimed(self) -> bool:
        """Tell whether the builder says to have done some of it."""
        return self.task.applies and sum(self.task.shares[2:]) > 0

    @property
    def bare(self) -> bool:
        """Tell whether it is claimed, and no session of the book is behind it."""
        return self.claimed and not self.sessions


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the list."""

    name: str
    rows: tuple[TaskEvidence, ...]
    shares: Shares


@dataclass(frozen=True, slots=True)
class Evidence:
    """The account."""

    groups: tuple[Group, ...]
    """In the order in which the list names them."""
    whole: Shares
    bare: tuple[TaskEvidence, ...]
    """Claimed, and nothing recorded behind it."""
    unshared: tuple[TaskEvidence, ...]
    """Apply, and nobody has said who did them."""


def evidence(book: Book, stints: Mapping[str, Iterable[Stint]], links: Links) -> Evidence:
    """Hold every task against the records. `stints` are the pieces of work of each step."""
    signed: dict[str, list[SignOff]] = defaultdict(list)
    for signoff in book.signoffs:
        signed[signoff.step].append(signoff)
    groups: dict[str, list[TaskEvidence]] = {}
    for task in book.tasks.values():
        row = _row(book, task, stints, links, signed)
        groups.setdefault(task.group, []).append(row)
    rows = [row for some in groups.values() for row in some]
    return Evidence(
        tuple(Group(name, tuple(some), _shares(some)) for name, some in groups.items()),
        _shares(rows),
        tuple(row for row in rows if row.bare),
        tuple(row for row in rows if row.task.applies and not row.task.is_shared),
    )


def _shares(rows: Iterable[TaskEvidence]) -> Shares:
    return add_up(row.task.shares for row in rows if row.task.applies)


def _row(
    book: Book,
    task: Task,
    stints: Mapping[str, Iterable[Stint]],
    links: Links,
    signed: Mapping[str, list[SignOff]],
) -> TaskEvidence:
    steps = tuple(step for step in dict.fromkeys(task.steps) if step in book.steps)
    worked = [stint for step in steps for stint in stints[step]]
    minutes: dict[str, int] = defaultdict(int)
    for stint in worked:
        for who in stint.who:
            minutes[who] += stint.minutes
    sessions = {stint.session for stint in worked}
    shots = tuple(
        shot
        for step in steps
        for shot in links.of("steps", step).shots
        if shot.photo.file in book.photo_files and shot.photo.file not in book.withheld
    )
    return TaskEvidence(
        task=task,
        steps=steps,
        sessions=tuple(sorted(sessions, key=lambda slug: (book.sessions[slug].date, slug))),
        minutes=dict(sorted(minutes.items(), key=lambda item: (-item[1], item[0]))),
        shots=shots,
        at_work=sum(book.file.builder in shot.photo.who for shot in shots),
        signed=tuple(s for step in steps for s in signed.get(step, ())),
    )
