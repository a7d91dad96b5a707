"""Time worked: every piece of work with its minutes, from which all totals are made.

Two measures are kept apart. *Clock hours* are how long work went on; *person-hours* count each
person's share, so that two people riveting for an hour are one clock hour and two person-hours.
Both are whole minutes, and whatever is shared out is shared so that the parts add up to the whole.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from buildbook.records.book import Book
from buildbook.records.clock import span
from buildbook.records.session import Session, Work


@dataclass(frozen=True, slots=True)
class Stint:
    """One piece of work in one session, with its time."""

    session: str
    """Slug of the session."""
    index: int
    """Place among the session's pieces of work, from 0."""
    date: date
    step: str | None
    """`section/step`."""
    operation: str | None
    parts: tuple[str, ...]
    part_minutes: tuple[int, ...]
    """Clock minutes shared over `parts`; they add up to `minutes` where there are parts."""
    pieces: tuple[tuple[str, ...], ...]
    """Labels of the pieces done, for each of `parts`; none where the record names none."""
    who: tuple[str, ...]
    minutes: int
    """Clock minutes."""

    @property
    def section(self) -> str | None:
        """The section the step is in."""
        return self.step.partition("/")[0] if self.step else None

    @property
    def person_minutes(self) -> int:
        """Minutes counted for each person."""
        return self.minutes * len(self.who)


def share(total: int, weights: Sequence[int]) -> list[int]:
    """Share a whole number in proportion to weights, by largest remainder; the shares add up to it.

    Equal remainders go to the earlier ones. All weights zero counts as all equal.
    """
    if not weights:
        return []
    if not any(weights):
        weights = [1] * len(weights)
    whole = sum(weights)
    shares = [total * w // whole for w in weights]
    by_remainder = sorted(range(len(weights)), key=lambda i: (-(total * weights[i] % whole), i))
    for i in by_remainder[: total - sum(shares)]:
        shares[i] += 1
    return shares


def elapsed_minutes(book: Book, day: date, work: Work) -> int | None:
    """Return the minutes a piece of work took by its own `hours` or `from` and `to`, or None."""
    if work.hours is not None:
        return work.hours
    if work.start is None or work.end is None:
        return None
    try:
        began, ended = span(day, work.start, work.end, book.zone)
    except ValueError:
        return None  # told by `check`
    return max(0, int((ended - began).total_seconds()) // 60 - work.pause)


def work_minutes(book: Book, session: Session) -> list[int]:
    """Return the clock minutes of each piece of work of a session.

    Work without a time of its own shares equally what is left of the session's.
    """
    entries = session.entries
    own = [elapsed_minutes(book, session.date, work) for work in entries]
    missing = [i for i, minutes in enumerate(own) if minutes is None]
    if missing:
        whole = elapsed_minutes(book, session.date, session) or 0
        left = max(0, whole - sum(m for m in own if m is not None))
        for i, minutes in zip(missing, share(left, [1] * len(missing)), strict=True):
            own[i] = minutes
    return [minutes or 0 for minutes in own]


def stints(book: Book) -> tuple[Stint, ...]:
    """List every piece of work in the book, in the order of the sessions."""
    rows = []
    for slug, session in book.sessions.items():
        minutes = work_minutes(book, session)
        for i, work in enumerate(session.entries):
            parts = tuple(dict.fromkeys((*work.parts, *(p for p in work.pieces if p))))
            parts = tuple(p for p in parts if p in book.parts)
            named = book.named_pieces[slug][i]
            pieces = tuple(named.get(part) or _only_piece(book, part) for part in parts)
            rows.append(
                Stint(
                    session=slug,
                    index=i,
                    date=session.date,
                    step=work.step if work.step in book.steps else None,
                    operation=work.operation if work.operation in book.operations else None,
                    parts=parts,
                    part_minutes=tuple(share(minutes[i], _weights(pieces))),
                    pieces=pieces,
                    who=book.who(session, work),
                    minutes=minutes[i],
                )
            )
    return tuple(rows)


def _only_piece(book: Book, part: str) -> tuple[str, ...]:
    """Name the piece of a part that has only one: its number says which is meant."""
    pieces = book.pieces[part]
    return (pieces[0].label,) if len(pieces) == 1 else ()


def _weights(pieces: tuple[tuple[str, ...], ...]) -> list[int]:
    """Weigh parts by the pieces named; all alike unless every part names some."""
    counts = [len(labels) for labels in pieces]
    return counts if all(counts) else [1] * len(counts)
