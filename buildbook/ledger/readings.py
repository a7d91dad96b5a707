"""Readings held against their limits, and each characteristic collected over the whole book."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

from buildbook.ledger.links import Links, Measured
from buildbook.records.book import Book
from buildbook.records.limits import Bounds, Judged, Verdict, bounds_of, judge, same_name
from buildbook.records.names import slugify
from buildbook.records.reading import RequiredReading, number_and_unit
from buildbook.records.sayings import Saying
from buildbook.reference.statistics import Sample, summarise


@dataclass(frozen=True, slots=True)
class Tally:
    """What several values of one characteristic come to."""

    unit: str
    """Unit of the values, as a builder spells it."""
    values: tuple[float, ...]
    """In the order they were taken; at least one."""
    sample: Sample
    inside: int
    near: int
    outside: int
    stated: int
    """Values of which it is known how far they may be off: only those can be near."""


@dataclass(frozen=True, slots=True)
class Run:
    """The readings of a characteristic that are held against one limit."""

    bounds: Bounds | None
    """The first one's; others may name another source for the same numbers."""
    rows: tuple[Measured, ...]
    tally: Tally


@dataclass(frozen=True, slots=True)
class Characteristic:
    """Everything measured under one name."""

    slug: str
    """Name of its page."""
    name: str
    """As first written."""
    dimension: str
    unit: str
    """Unit it is shown in: the book's, or that of its first value."""
    runs: tuple[Run, ...]

    @property
    def rows(self) -> tuple[Measured, ...]:
        """Its readings."""
        return tuple(chain.from_iterable(run.rows for run in self.runs))

    def count(self, what: str) -> int:
        """Count values: `inside`, `near` or `outside`, over all limits."""
        return sum(getattr(run.tally, what) for run in self.runs)


@dataclass(frozen=True, slots=True)
class Asked:
    """A reading a step asks for, in all or of one part or piece."""

    required: RequiredReading
    bounds: Bounds | None
    of: str
    """Label of the piece, number of the part, or empty."""
    rows: tuple[Measured, ...]
    """What was measured, the last that counts at the end."""
    lack: str
    """What is missing, in words; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Every reading judged."""

    judged: dict[Measured, Judged]
    characteristics: tuple[Characteristic, ...]
    """By name."""
    of: dict[Measured, Characteristic]
    about: dict[int, tuple[Measured, ...]]
    """Readings that cite a squawk, by its number, in the order of the sessions."""
    with_tool: dict[str, int]
    """How many readings were taken with a tool."""
    asked: dict[str, tuple[Asked, ...]]
    """What each step asks for."""


def readings(book: Book, links: Links) -> Readings:
    """Judge every reading in the book once, and collect them."""
    rows = list(chain.from_iterable(links.readings_of_session.values()))
    judged = {m: judge(book, m.reading, m.step) for m in rows}
    about: dict[int, list[Measured]] = defaultdict(list)
    with_tool: dict[str, int] = defaultdict(int)
    for measured in rows:
        if measured.reading.squawk:
            about[measured.reading.squawk].append(measured)
        if measured.reading.tool:
            with_tool[measured.reading.tool] += 1
    characteristics = _characteristics(book, rows, judged)
    return Readings(
        judged=judged,
        characteristics=characteristics,
        of={m: c for c in characteristics for m in c.rows},
        about={number: tuple(some) for number, some in about.items()},
        with_tool=dict(with_tool),
        asked={
            name: tuple(_asked(book, name, links.of("steps", name).readings, judged))
            for name, step in book.steps.items()
            if step.required_readings
        },
    )


def _characteristics(
    book: Book, rows: Iterable[Measured], judged: dict[Measured, Judged]
) -> tuple[Characteristic, ...]:
    by_name: dict[tuple[str, str], list[Measured]] = defaultdict(list)
    for measured in rows:
        reading = measured.reading
        by_name[same_name(reading.reading), reading.values[0].dimension].append(measured)
    found, slugs = [], set[str]()
    for (_, dimension), some in sorted(by_name.items()):
        name = some[0].reading.reading
        slug = start = slugify(name) or "reading"
        number = 1
        while slug in slugs:  # names that differ in what an address cannot hold
            number += 1
            slug = f"{start}-{number}"
        slugs.add(slug)
        unit = (
            getattr(book.file.units, dimension, None)
            or number_and_unit(some[0].reading.values[0])[1]
        )
        found.append(Characteristic(slug, name, dimension, unit, tuple(_runs(some, judged, unit))))
    return tuple(found)


def _runs(rows: Iterable[Measured], judged: dict[Measured, Judged], unit: str) -> Iterator[Run]:
    by_limit: dict[tuple[float | None, float | None], list[Measured]] = defaultdict(list)
    for measured in rows:
        bounds = judged[measured].bounds
        low = round(bounds.low.to(unit), 9) if bounds and bounds.low else None
        high = round(bounds.high.to(unit), 9) if bounds and bounds.high else None
        by_limit[low, high].append(measured)
    for some in by_limit.values():
        yield Run(judged[some[0]].bounds, tuple(some), tally(some, judged, unit))


def tally(rows: Iterable[Measured], judged: dict[Measured, Judged], unit: str) -> Tally:
    """Sum up the values of several readings in one unit. There must be at least one."""
    rows = list(rows)
    values = tuple(v.to(unit) for m in rows for v in m.reading.values)
    verdicts = Counter(chain.from_iterable(judged[m].verdicts for m in rows))
    return Tally(
        unit,
        values,
        summarise(values),
        verdicts[Verdict.INSIDE],
        verdicts[Verdict.NEAR],
        verdicts[Verdict.OUTSIDE],
        sum(len(m.reading.values) for m in rows if judged[m].uncertainty),
    )


def _asked(
    book: Book, step: str, rows: Iterable[Measured], judged: dict[Measured, Judged]
) -> Iterator[Asked]:
    """Hold what was measured in a step against what it asks for."""
    rows = list(rows)
    for required in book.steps[step].required_readings:
        name = same_name(required.reading)
        named = [m for m in rows if same_name(m.reading.reading) == name]
        limit = bounds_of(required, "step")
        for of, some in _targets(book, step, required, named):
            bounds = limit or (judged[some[-1]].bounds if some else None)
            lack = _lack(book, required, of, some, judged)
            yield Asked(required, bounds, of, some, lack)


def _targets(
    book: Book, step: str, required: RequiredReading, rows: list[Measured]
) -> Iterator[tuple[str, tuple[Measured, ...]]]:
    """Yield what a required reading is wanted of, and what was measured there."""
    parts = required.parts or (book.steps[step].parts if required.each else ())
    pieces = required.pieces
    if required.each and not pieces:
        pieces = tuple(p.label for part in parts for p in book.pieces.get(part, ()) if p.fitted)
    if pieces:
        for label in pieces:
            piece = book.piece_by_label.get(label)
            alone = piece is not None and sum(p.fitted for p in book.pieces[piece.part]) == 1
            yield (
                label,
                tuple(
                    m
                    for m in rows
                    if m.reading.piece == label
                    # A part with a single piece may be named in its place.
                    or (alone and piece and not m.reading.piece and m.part == piece.part)
                ),
            )
    elif parts:
        for part in parts:
            yield part, tuple(m for m in rows if m.part == part)
    else:
        yield "", tuple(rows)


def _lack(
    book: Book,
    required: RequiredReading,
    of: str,
    rows: tuple[Measured, ...],
    judged: dict[Measured, Judged],
) -> str:
    """Say what is missing of a reading asked for.

    What was found outside does not hinder where a later reading of the same is inside, or where
    its squawk is closed: then somebody decided about it.
    """
    what: str = required.reading
    if of:
        what = Saying("%(reading)s of %(piece)s", reading=required.reading, piece=of)
    if not rows:
        return Saying("not measured: %(what)s", what=what)
    count = sum(len(m.reading.values) for m in rows)
    if count < required.count:
        return Saying(
            "%(count)s of %(asked)s values measured: %(what)s",
            count=count,
            asked=required.count,
            what=what,
        )
    latest: dict[tuple[str | None, str | None], Measured] = {
        (m.reading.piece, m.part): m for m in rows
    }
    for measured in latest.values():
        squawk = book.squawks.get(measured.reading.squawk or 0)
        if judged[measured].worst is Verdict.OUTSIDE and not (squawk and squawk.closed):
            number = measured.reading.squawk
            if not number:
                return Saying("outside its limit: %(what)s", what=what)
            return Saying(
                "outside its limit: %(what)s, squawk %(number)s is not closed",
                what=what,
                number=number,
            )
    return ""
