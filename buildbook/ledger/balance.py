"""Weight and balance of this aircraft: weighed, changed since, and loaded.

In kilograms and millimetres, as exact fractions.
"""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from buildbook.records.balance import Case, Station
from buildbook.records.book import Book
from buildbook.records.quantities import Quantity
from buildbook.records.weighing import Weighing
from buildbook.reference.balance import Envelope, Mass, at, total
from buildbook.reference.exact import exact


class Line(NamedTuple):
    """A row of a sum."""

    what: str
    mass: Mass
    day: date | None = None
    equipment: str | None = None
    """The item of equipment it comes from."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighing worked out."""

    weighing: Weighing
    scales: tuple[Line, ...]
    """Each scale less its tare."""
    adjusted: tuple[Line, ...]
    """What was deducted and added."""
    total: Mass

    @property
    def is_whole(self) -> bool:
        """Tell whether the aircraft was weighed as a whole."""
        return self.weighing.of is None


@dataclass(frozen=True, slots=True)
class Empty:
    """The empty aircraft as it is now."""

    weighed: Weighed | None
    """What it rests on; None, and it is an estimate."""
    start: Mass
    """As weighed or estimated."""
    changes: tuple[Line, ...]
    """What was put in and taken out since, in order of date; taken out is negative."""
    unknown: tuple[str, ...]
    """Equipment fitted or taken out since, whose weight or arm is not written down."""
    now: Mass


@dataclass(frozen=True, slots=True)
class Loaded:
    """The aircraft loaded in one way."""

    case: Case
    rows: tuple[Line, ...]
    """At each station."""
    full: Mass
    dry: Mass | None
    """With no fuel left; None where the case has none."""


@dataclass(frozen=True, slots=True)
class BalanceLedger:
    """Everything about weight and balance."""

    weighed: tuple[Weighed, ...]
    """In order of date."""
    empty: Empty | None
    """None where the aircraft was not weighed and nobody estimated it, or where an edition leaves
    out some of what it is worked out from."""
    envelope: Envelope | None
    """None where the designer's limits are not given, or enclose nothing."""
    chord: tuple[Fraction, Fraction] | None
    """Leading edge and length of the mean aerodynamic chord."""
    cases: tuple[Loaded, ...]
    """None where there is no empty weight."""
    unclear: tuple[str, ...]
    """Cases of which a load cannot be worked out: they have no total."""


def balance(book: Book) -> BalanceLedger:
    """Work out weighings, changes and loading cases."""
    weighed = tuple(_weighed(w) for w in sorted(book.weighings, key=lambda w: w.date))
    file = book.balance
    # Without what an edition leaves out the sum would be that of another aircraft.
    whole = next((w for w in reversed(weighed) if w.is_whole), None)
    empty = None if book.weight_hidden else _empty(book, whole)
    stations = {s.station: s for s in file.stations} if file else {}
    cases = file.cases if file else ()
    loaded = [(case, _loaded(empty.now, case, stations)) for case in cases] if empty else []
    limits = file.limits if file else None
    return BalanceLedger(
        weighed=weighed,
        empty=empty,
        envelope=limits if limits and not limits.fault() else None,
        chord=file.chord if file else None,
        cases=tuple(one for _, one in loaded if one),
        unclear=tuple(case.case for case, one in loaded if not one),
    )


def placed(weight: Quantity, arm: Quantity) -> Mass:
    """Make a weight at an arm of what was written."""
    return at(exact(weight, "kg"), exact(arm, "mm"))


def _weighed(weighing: Weighing) -> Weighed:
    scales = tuple(
        Line(
            scale.at,
            at(
                exact(scale.reading, "kg") - (exact(scale.tare, "kg") if scale.tare else 0),
                exact(scale.arm, "mm"),
            ),
        )
        for scale in weighing.scales
    )
    adjusted = (
        *(Line(x.what, -placed(x.weight, x.arm)) for x in weighing.deduct),
        *(Line(x.what, placed(x.weight, x.arm)) for x in weighing.add),
    )
    return Weighed(weighing, scales, adjusted, total(x.mass for x in (*scales, *adjusted)))


def _empty(book: Book, weighed: Weighed | None) -> Empty | None:
    file = book.balance
    if weighed is None:
        if not file or not file.estimate:
            return None
        start = placed(file.estimate.weight, file.estimate.arm)
        # An estimate is of the aircraft as designed: what is in it, nobody can tell.
        return Empty(None, start, (), (), start)
    since = weighed.weighing.date
    changes = []
    for change in file.changes if file else ():
        if change.date > since:
            mass = placed(change.weight, change.arm)
            what = change.added or change.removed or ""
            changes.append(Line(what, mass if change.added else -mass, change.date))
    unknown = []
    for name, item in book.equipment.items():
        turns = [(day, out) for day, out in ((item.installed, False), (item.removed, True)) if day]
        turns = [(day, out) for day, out in turns if day > since]
        if turns and not (item.weight and item.arm):
            unknown.append(name)
        elif item.weight and item.arm:
            mass = placed(item.weight, item.arm)
            changes += [Line(item.title, -mass if out else mass, day, name) for day, out in turns]
    changes.sort(key=lambda line: line.day or since)
    now = total((weighed.total, *(line.mass for line in changes)))
    return Empty(weighed, weighed.total, tuple(changes), tuple(unknown), now)


def _loaded(empty: Mass, case: Case, stations: dict[str, Station]) -> Loaded | None:
    rows, fuel = [], []
    for name, load in case.load.items():
        station = stations.get(name)
        weight = station.weight_of(load) if station else None
        if station is None or weight is None:
            return None  # told by the check
        line = Line(station.title, at(weight, exact(station.arm, "mm")))
        rows.append(line)
        if station.fuel:
            fuel.append(line)
    full = total((empty, *(row.mass for row in rows)))
    dry = full + -total(row.mass for row in fuel) if fuel else None
    return Loaded(case, tuple(rows), full, dry)
