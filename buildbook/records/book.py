"""The Book: every record of a build, read and checked, and never changed after that."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from buildbook.records.bookfile import BookFile
from buildbook.records.labels import Piece, PieceFinder, pieces_of
from buildbook.records.lesson import Lesson
from buildbook.records.lot import Lot, Tool
from buildbook.records.operation import Operation
from buildbook.records.part import Part
from buildbook.records.person import Person
from buildbook.records.record import Record
from buildbook.records.section import Section, Step
from buildbook.records.session import Session, Work
from buildbook.records.signoff import SignOff, Weighing
from buildbook.records.squawk import Squawk


@dataclass(frozen=True, repr=False)
class Book:
    """All records of one build, by identity. Sections come in their order, sessions by date."""

    file: BookFile
    people: Mapping[str, Person] = field(default_factory=dict)
    operations: Mapping[str, Operation] = field(default_factory=dict)
    tools: Mapping[str, Tool] = field(default_factory=dict)
    lots: Mapping[str, Lot] = field(default_factory=dict)
    sections: Mapping[str, Section] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    sessions: Mapping[str, Session] = field(default_factory=dict)
    """By slug."""
    lessons: Mapping[int, Lesson] = field(default_factory=dict)
    """Those of `lessons.yml` and those written in sessions, by number."""
    squawks: Mapping[int, Squawk] = field(default_factory=dict)
    """Those of `squawks.yml` and those written in sessions, by number."""
    signoffs: tuple[SignOff, ...] = ()
    weighings: tuple[Weighing, ...] = ()
    notes: Mapping[str, str] = field(default_factory=dict)
    """Hand-written Markdown pages: path in the content folder, text."""
    photo_files: frozenset[str] = frozenset()
    """Every picture in `photos/`, as its path inside that folder."""
    withheld: frozenset[str] = frozenset()
    """Pictures that are shown nowhere, as what is to be hidden of them could not be read."""
    doubles: tuple[Record, ...] = ()
    """Records whose identity another one has: checked, and shown nowhere."""
    folder: Path = Path()
    """The content folder."""

    def __repr__(self) -> str:
        """Show what it is, not all that is in it: that would be megabytes."""
        return f"<Book {self.file.title!r}: {len(self.sessions)} sessions>"

    @cached_property
    def zone(self) -> ZoneInfo:
        """The workshop's time zone."""
        return ZoneInfo(self.file.time_zone)

    @cached_property
    def steps(self) -> dict[str, Step]:
        """Every step by `section/step`, in order."""
        return {
            f"{name}/{step.step}": step
            for name, section in self.sections.items()
            for step in section.steps
        }

    @cached_property
    def pieces(self) -> dict[str, tuple[Piece, ...]]:
        """The pieces of every part, by part number."""
        return {number: tuple(pieces_of(part)[0]) for number, part in self.parts.items()}

    @cached_property
    def piece_by_label(self) -> dict[str, Piece]:
        """Every piece by its label."""
        return {p.label: p for pieces in self.pieces.values() for p in pieces}

    @cached_property
    def finders(self) -> dict[str, PieceFinder]:
        """What finds pieces by a session's words, by part number."""
        return {number: PieceFinder(number, list(p)) for number, p in self.pieces.items()}

    @cached_property
    def named_pieces(self) -> dict[str, list[dict[str, tuple[str, ...]]]]:
        """The labels of the pieces that each piece of work names, by session, work and part.

        Words that name no piece are told by `check` and count for nothing here.
        """
        return {
            slug: [self._named_pieces(work, session.date) for work in session.entries]
            for slug, session in self.sessions.items()
        }

    def _named_pieces(self, work: Work, on: date) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for part, words in work.piece_words.items():
            finder = self.finders.get(part)
            if finder is None:
                continue
            labels: dict[str, None] = {}
            for text in words:
                with suppress(ValueError):
                    labels |= dict.fromkeys(p.label for p in finder.find(text, on))
            found[part] = tuple(labels)
        return found

    def operations_of(self, step: Step) -> tuple[str, ...]:
        """List a step's operations: its own, or else those on the routes of its parts."""
        if step.operations:
            return step.operations
        parts = (self.parts[number] for number in step.parts if number in self.parts)
        return tuple(dict.fromkeys(op for part in parts for op in part.route))

    def who(self, session: Session, work: Work) -> tuple[str, ...]:
        """People who did a piece of work: its own, else the session's, else the builder."""
        return work.who or session.who or (self.file.builder,)
