"""Backlinks: for every part, step, operation, lesson and person, what in the book touches it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import chain

from buildbook.records.book import Book
from buildbook.records.clip import Clip
from buildbook.records.lesson import Lesson
from buildbook.records.mentions import Names, names_of, prose_of
from buildbook.records.photo import Photo
from buildbook.records.reading import Reading
from buildbook.records.record import Record
from buildbook.records.references import references
from buildbook.records.session import Session
from buildbook.records.squawk import Squawk

Key = tuple[str, str | int]
"""Kind (a mapping of the Book) and identity."""


@dataclass(frozen=True, slots=True)
class Shot:
    """A photo in its session, with what it shows."""

    photo: Photo
    session: str
    number: int
    """Place among the session's photos, from 1."""
    step: str | None
    parts: tuple[str, ...]
    operations: tuple[str, ...]

    @property
    def anchor(self) -> str:
        """Where it stands on its session's page."""
        return f"photo-{self.number}"


@dataclass(frozen=True, slots=True)
class Take:
    """A clip in its session, with what it shows."""

    clip: Clip
    session: str
    number: int
    """Place among the session's clips, from 1."""
    step: str | None
    parts: tuple[str, ...]
    operations: tuple[str, ...]

    @property
    def anchor(self) -> str:
        """Where it stands on its session's page."""
        return f"clip-{self.number}"

    def chapter_anchor(self, number: int) -> str:
        """Where a chapter stands there, by its place among the clip's, from 1."""
        return f"{self.anchor}-chapter-{number}"


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A reading in its session. Two alike are still two: each is known by itself."""

    reading: Reading
    session: str
    step: str | None
    part: str | None


@dataclass(slots=True)
class Touching:
    """What touches one thing, each in the order of the book."""

    sessions: list[str] = field(default_factory=list)
    shots: list[Shot] = field(default_factory=list)
    takes: list[Take] = field(default_factory=list)
    lessons: list[int] = field(default_factory=list)
    squawks: list[int] = field(default_factory=list)
    readings: list[Measured] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    """Hand-written pages."""


@dataclass(frozen=True, slots=True)
class Links:
    """Everything that touches anything."""

    touching: dict[Key, Touching]
    shots: tuple[Shot, ...]
    """All photos, in the order of the sessions."""
    shots_of_session: dict[str, tuple[Shot, ...]]
    shot_of_file: dict[str, Shot]
    takes: tuple[Take, ...]
    """All clips, in the order of the sessions."""
    takes_of_session: dict[str, tuple[Take, ...]]
    take_of_file: dict[str, Take]
    readings_of_session: dict[str, tuple[Measured, ...]]
    session_of_lesson: dict[int, str]
    """Session in which a lesson is written out."""
    session_of_squawk: dict[int, str]
    """Session in which a squawk is written out."""

    def of(self, kind: str, name: str | int) -> Touching:
        """Return what touches a thing; nothing where nothing does."""
        return self.touching.get((kind, name)) or Touching()


def links(book: Book) -> Links:
    """Follow every citation and every mention in the book once."""
    names = names_of(book)
    touching: _Touching = defaultdict(Touching)
    shots = {slug: tuple(_shots(book, slug, s)) for slug, s in book.sessions.items()}
    takes = {slug: tuple(_takes(book, slug, s)) for slug, s in book.sessions.items()}
    readings = {slug: tuple(_readings(book, slug, s)) for slug, s in book.sessions.items()}
    _follow_plan(book, touching)
    for slug, session in book.sessions.items():
        for key in _keys(book, names, session):
            touching[key].sessions.append(slug)
    for shot in chain.from_iterable(shots.values()):
        for key in _shot_keys(shot):
            touching[key].shots.append(shot)
    for take in chain.from_iterable(takes.values()):
        for key in _shot_keys(take):
            touching[key].takes.append(take)
    for measured in chain.from_iterable(readings.values()):
        if measured.step:
            touching["steps", measured.step].readings.append(measured)
        if measured.part:
            touching["parts", measured.part].readings.append(measured)
    _follow_others(book, names, touching)
    # Where a thing is written twice the first counts: the last one set, going backwards.
    backwards = [(slug, book.sessions[slug]) for slug in reversed(list(book.sessions))]
    return Links(
        touching=dict(touching),
        shots=tuple(chain.from_iterable(shots.values())),
        shots_of_session=shots,
        shot_of_file={s.photo.file: s for slug, _ in backwards for s in reversed(shots[slug])},
        takes=tuple(chain.from_iterable(takes.values())),
        takes_of_session=takes,
        take_of_file={
            t.clip.file: t for slug, _ in backwards for t in reversed(takes[slug]) if t.clip.file
        },
        readings_of_session=readings,
        session_of_lesson={
            x.lesson: slug for slug, s in backwards for x in s.lessons if isinstance(x, Lesson)
        },
        session_of_squawk={
            x.squawk: slug for slug, s in backwards for x in s.squawks if isinstance(x, Squawk)
        },
    )


_Touching = defaultdict[Key, Touching]


def _follow_plan(book: Book, touching: _Touching) -> None:
    for name, step in book.steps.items():
        for number in step.parts:
            touching["parts", number].steps.append(name)
        for operation in step.operations:
            touching["operations", operation].steps.append(name)
        for tool in step.tools:
            touching["tools", tool].steps.append(name)


def _follow_others(book: Book, names: Names, touching: _Touching) -> None:
    """Follow what lessons, squawks and hand-written pages cite and mention."""
    for lesson in book.lessons.values():
        for key in _keys(book, names, lesson):
            touching[key].lessons.append(lesson.lesson)
    for squawk in book.squawks.values():
        for key in _keys(book, names, squawk):
            touching[key].squawks.append(squawk.squawk)
    for file, text in book.notes.items():
        for key in _unique((m.to, m.name) for m in names.in_markdown(text).mentions):
            touching[key].notes.append(file)


def _unique(keys: Iterable[Key]) -> list[Key]:
    return list(dict.fromkeys(keys))


def _keys(book: Book, names: Names, record: Record) -> list[Key]:
    """List what a record cites or mentions, and what follows: a piece's part, a step's section."""
    return _unique(_widen(book, _cited(names, record)))


def _cited(names: Names, record: Record) -> Iterator[Key]:
    for reference in references(record):
        yield reference.to, reference.name
    for text, _ in prose_of(record):
        for mention in names.in_markdown(text).mentions:
            yield mention.to, mention.name


def _widen(book: Book, keys: Iterable[Key]) -> Iterator[Key]:
    for kind, name in keys:
        yield kind, name
        if kind == "pieces" and (piece := book.piece_by_label.get(str(name))):
            yield "parts", piece.part
        elif kind == "steps" and name in book.steps:
            yield "sections", str(name).partition("/")[0]


def _shots(book: Book, slug: str, session: Session) -> Iterator[Shot]:
    steps = list(dict.fromkeys(w.step for w in session.entries if w.step))
    for n, photo in enumerate(session.photos, 1):
        asked = (s for s in steps if photo.shows and photo.shows in _asked(book, s))
        step = photo.step or (steps[0] if len(steps) == 1 else next(asked, None))
        yield Shot(photo, slug, n, *_seen(book, session, photo, step))


def _takes(book: Book, slug: str, session: Session) -> Iterator[Take]:
    steps = list(dict.fromkeys(w.step for w in session.entries if w.step))
    for n, clip in enumerate(session.clips, 1):
        step = clip.step or (steps[0] if len(steps) == 1 else None)
        yield Take(clip, slug, n, *_seen(book, session, clip, step))


def _seen(
    book: Book, session: Session, shown: Photo | Clip, step: str | None
) -> tuple[str | None, tuple[str, ...], tuple[str, ...]]:
    """Tell what is to be seen: step, parts and operations.

    A photo shows what it names; where it names nothing, the one thing worked on.
    """
    works = [w for w in session.entries if step is None or w.step == step]
    operations = {w.operation for w in works if w.operation}
    parts = {p for w in works for p in w.parts}
    return (
        step if step in book.steps else None,
        shown.parts or (tuple(parts) if len(parts) == 1 else ()),
        (shown.operation,)
        if shown.operation
        else (tuple(operations) if len(operations) == 1 else ()),
    )


def _asked(book: Book, step: str) -> tuple[str, ...]:
    """List the photos a step asks for."""
    return book.steps[step].required_photos if step in book.steps else ()


def _shot_keys(shot: Shot | Take) -> Iterator[Key]:
    if shot.step:
        yield "steps", shot.step
        yield "sections", shot.step.partition("/")[0]
    for number in shot.parts:
        yield "parts", number
    for operation in shot.operations:
        yield "operations", operation
    for who in (shot.photo if isinstance(shot, Shot) else shot.clip).who:
        yield "people", who


def _readings(book: Book, slug: str, session: Session) -> Iterator[Measured]:
    for work in session.entries:
        for reading in work.readings:
            piece = book.piece_by_label.get(reading.piece) if reading.piece else None
            part = reading.part or (piece.part if piece else None)
            yield Measured(reading, slug, reading.step or work.step, part)
