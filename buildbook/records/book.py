"""The Book: every record of a build, read and checked, and never changed after that."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from buildbook.records.balance import Balance
from buildbook.records.bookfile import BookFile
from buildbook.records.clip import Clip
from buildbook.records.cost import Cost
from buildbook.records.editions import EVERYTHING, Held
from buildbook.records.equipment import Equipment
from buildbook.records.labels import Piece, PieceFinder, pieces_of
from buildbook.records.lesson import Lesson
from buildbook.records.lot import Lot
from buildbook.records.notice import Notice
from buildbook.records.operation import Operation
from buildbook.records.part import Part
from buildbook.records.person import Person
from buildbook.records.readers import FULL
from buildbook.records.record import Record
from buildbook.records.recurring import Recurring
from buildbook.records.section import Section, Step
from buildbook.records.session import Session, Work
from buildbook.records.signoff import SignOff
from buildbook.records.squawk import Squawk
from buildbook.records.task import Task
from buildbook.records.tool import Tool
from buildbook.records.weighing import Weighing


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
    balance: Balance | None = None
    """What loading is reckoned with."""
    tasks: Mapping[str, Task] = field(default_factory=dict)
    equipment: Mapping[str, Equipment] = field(default_factory=dict)
    recurring: Mapping[str, Recurring] = field(default_factory=dict)
    notices: Mapping[str, Notice] = field(default_factory=dict)
    costs: tuple[Cost, ...] = ()
    notes: Mapping[str, str] = field(default_factory=dict)
    """Hand-written Markdown pages: path in the content folder, text."""
    photo_files: frozenset[str] = frozenset()
    """Every picture in `photos/`, as its path inside that folder."""
    clip_files: frozenset[str] = frozenset()
    """Every video clip in `photos/`, as its path inside that folder."""
    withheld: frozenset[str] = frozenset()
    """Pictures and clips shown nowhere, as what is to be hidden of them could not be read."""
    doubles: tuple[Record, ...] = ()
    """Records whose identity another one has: checked, and shown nowhere."""
    edition: str = FULL
    """Whom this book is for; `handover.editions` takes out what others are not to see."""
    held: Held = EVERYTHING
    """What this edition holds."""
    partial: tuple[str, ...] = ()
    """What is left out that would be missed, in words: `some sessions`, `open squawks`."""
    weight_hidden: bool = False
    """What the empty aircraft weighs cannot be told from what this edition holds."""
    originals: Mapping[str, str] = field(default_factory=dict)
    """What pictures and clips are called in `photos/`, where this edition has other names."""
    folder: Path = Path()
    """The content folder."""

    def __repr__(self) -> str:
        """Show what it is, not all that is in it: that would be megabytes."""
        return f"<Book {self.file.title!r}: {len(self.sessions)} sessions>"

    def original(self, file: str) -> str:
        """Return the path in `photos/` of a picture or clip of this edition."""
        return self.originals.get(file, file)

    @cached_property
    def zone(self) -> ZoneInfo:
        """The workshop's time zone."""
        return ZoneInfo(self.file.time_zone)

    @cached_property
    def clips(self) -> dict[str, Clip]:
        """Clips by what prose cites them by: their file, and `FILE@1:20` for each chapter."""
        found: dict[str, Clip] = {}
        for session in self.sessions.values():
            for clip in session.clips:
                if clip.file in self.clip_files and clip.file is not None:
                    found.setdefault(clip.file, clip)
                    for chapter in clip.chapters:
                        found.setdefault(f"{clip.file}@{chapter.at}", clip)
        return found

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
        known = self.__dict__.pop("named_before", {})
        return {
            slug: known.get(slug)
            or [self._named_pieces(work, session.date) for work in session.entries]
            for slug, session in self.sessions.items()
        }

    def take_over(self, earlier: "Book") -> None:
        """Take over what an earlier reading of the same book found, where its records stayed.

        A record that was not read again is the same object.
        """
        same_parts = self.parts.keys() == earlier.parts.keys() and all(
            part is earlier.parts[number] for number, part in self.parts.items()
        )
        if same_parts:
            for name in ("pieces", "piece_by_label", "finders"):
                if name in earlier.__dict__:
                    self.__dict__[name] = earlier.__dict__[name]
            named = earlier.__dict__.get("named_pieces", {})
            self.__dict__["named_before"] = {
                slug: named[slug]
                for slug, session in self.sessions.items()
                if slug in named and earlier.sessions.get(slug) is session
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

    @cached_property
    def squawk_homes(self) -> dict[int, Session]:
        """The session in which each squawk is written out, by number; most have one."""
        return {
            squawk.squawk: session
            for session in self.sessions.values()
            for squawk in session.squawks
            if isinstance(squawk, Squawk) and self.squawks.get(squawk.squawk) is squawk
        }

    def found_on(self, squawk: int) -> date | None:
        """Tell when a squawk was found: as it says itself, else on the day of its session."""
        home = self.squawk_homes.get(squawk)
        return self.squawks[squawk].found or (home.date if home else None)

    def parts_of(self, squawk: Squawk) -> tuple[str, ...]:
        """List the parts a squawk is about, those of its pieces too."""
        labels = (x for x in squawk.pieces if x in self.piece_by_label)
        named = (*squawk.parts, *(self.piece_by_label[x].part for x in labels))
        return tuple(number for number in dict.fromkeys(named) if number in self.parts)

    def operations_of(self, step: Step) -> tuple[str, ...]:
        """List a step's operations: its own, or else those on the routes of its parts."""
        if step.operations:
            return step.operations
        parts = (self.parts[number] for number in step.parts if number in self.parts)
        return tuple(dict.fromkeys(op for part in parts for op in part.route))

    def who(self, session: Session, work: Work) -> tuple[str, ...]:
        """People who did a piece of work: its own, else the session's, else the builder."""
        return work.who or session.who or (self.file.builder,)
