"""Lots: where each batch went, and which batches are in each assembly.

Both ways round: everything made with one lot, for a recall; every lot inside one section, for a
later owner.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import chain

from buildbook.ledger.time import Stint
from buildbook.records.book import Book
from buildbook.records.lot import Mix
from buildbook.records.session import Session
from buildbook.records.uses import LotUse, lot_uses, mix_times

SOON = 60
"""Days ahead in which a lot is told to be expiring."""


@dataclass(frozen=True, slots=True)
class Use:
    """One piece of work that used a lot."""

    lot: str
    session: str
    date: date
    step: str | None
    operation: str | None
    parts: tuple[str, ...]
    pieces: tuple[str, ...]
    """Labels of those that the record names."""
    past: int
    """Days after the last day it was good; 0 when it was good."""
    knowingly: str
    """The builder's reason, where it is meant."""

    @property
    def section(self) -> str | None:
        """The section the step is in."""
        return self.step.partition("/")[0] if self.step else None


@dataclass(frozen=True, slots=True)
class Mixed:
    """Something that was mixed, and how long it was used."""

    mix: Mix
    session: str
    step: str | None
    at: datetime | None
    """In UTC; None where the time given is none of the work's."""
    until: datetime | None
    """When the last of it was used; None where nothing says it."""
    minutes: int | None
    over: int
    """Minutes it was used past its pot life."""


@dataclass(frozen=True, slots=True)
class LotTrace:
    """Where one lot went."""

    lot: str
    uses: tuple[Use, ...]
    """In the order of the sessions."""
    opened: date | None
    """As stated, else the day of its first use where its life once opened counts."""
    usable_until: date | None

    @property
    def sessions(self) -> tuple[str, ...]:
        """Sessions that used it."""
        return tuple(dict.fromkeys(use.session for use in self.uses))

    @property
    def sections(self) -> tuple[str, ...]:
        """Sections it is in."""
        return tuple(dict.fromkeys(use.section for use in self.uses if use.section))

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts it is in, as far as the work names them."""
        return tuple(dict.fromkeys(chain.from_iterable(use.parts for use in self.uses)))

    @property
    def pieces(self) -> tuple[str, ...]:
        """Pieces it is in, as far as the work names them."""
        return tuple(dict.fromkeys(chain.from_iterable(use.pieces for use in self.uses)))


@dataclass(frozen=True, slots=True)
class LotLedger:
    """Every lot's way, and the lots in everything."""

    traces: dict[str, LotTrace]
    of_section: dict[str, tuple[Use, ...]]
    of_step: dict[str, tuple[Use, ...]]
    of_part: dict[str, tuple[Use, ...]]
    mixed_of_session: dict[str, tuple[Mixed, ...]]
    mixed_of_lot: dict[str, tuple[Mixed, ...]]
    used_up: dict[str, date]

    def expiring(self, on: date, within: int = SOON) -> tuple[LotTrace, ...]:
        """List lots not yet used up that are past their last day, or will be soon; first first."""
        latest = on + timedelta(days=within)
        found = [
            (trace.usable_until, name)
            for name, trace in self.traces.items()
            if trace.usable_until and trace.usable_until <= latest and name not in self.used_up
        ]
        return tuple(self.traces[name] for _, name in sorted(found))

    def out_of_date_in(self, step: str) -> tuple[Use, ...]:
        """List uses of lots past their last day in a step, those that are meant left out."""
        return tuple(u for u in self.of_step.get(step, ()) if u.past and not u.knowingly)


def lots(book: Book, stints: Iterable[Stint]) -> LotLedger:
    """Follow every lot through the sessions once."""
    by_session: dict[str, list[Stint]] = defaultdict(list)
    for stint in stints:
        by_session[stint.session].append(stint)
    uses: dict[str, list[Use]] = {name: [] for name in book.lots}
    first_use: dict[str, date] = {}
    mixed: dict[str, tuple[Mixed, ...]] = {}
    for slug, session in book.sessions.items():
        for named in lot_uses(session):
            if named.lot in uses:
                first = first_use.setdefault(named.lot, session.date)
                uses[named.lot] += _uses(book, slug, session, named, by_session[slug], first)
        if some := tuple(_mixed(book, slug, session)):
            mixed[slug] = some
    every = [use for some in uses.values() for use in some]
    of_lot: dict[str, list[Mixed]] = defaultdict(list)
    for one in chain.from_iterable(mixed.values()):
        for name in dict.fromkeys(one.mix.lots):
            of_lot[name].append(one)
    return LotLedger(
        traces={name: _trace(book, name, some, first_use) for name, some in uses.items()},
        of_section=_by(every, lambda use: (use.section,)),
        of_step=_by(every, lambda use: (use.step,)),
        of_part=_by(every, lambda use: use.parts),
        mixed_of_session=mixed,
        mixed_of_lot={name: tuple(some) for name, some in of_lot.items()},
        used_up={name: lot.used_up for name, lot in book.lots.items() if lot.used_up},
    )


def _uses(
    book: Book, slug: str, session: Session, named: LotUse, stints: list[Stint], first: date
) -> Iterator[Use]:
    """Yield a use for each piece of work it was in; named for a whole session, for all of them."""
    last = book.lots[named.lot].usable_until(first)
    past = max(0, (session.date - last).days) if last else 0
    for stint in stints:
        work = session.entries[stint.index]
        if named.work is work or named.work is session:
            yield Use(
                named.lot,
                slug,
                session.date,
                stint.step,
                stint.operation,
                stint.parts,
                tuple(chain.from_iterable(stint.pieces)),
                past,
                named.work.knowingly or "",
            )


def _mixed(book: Book, slug: str, session: Session) -> Iterator[Mixed]:
    for times in mix_times(session, book.zone):
        whole = times.work is session
        steps = {w.step for w in session.entries if whole or times.work is w}
        yield Mixed(
            times.mix,
            slug,
            steps.pop() if len(steps) == 1 else None,
            times.at,
            times.until,
            times.minutes,
            times.over,
        )


def _trace(book: Book, name: str, uses: list[Use], first_use: dict[str, date]) -> LotTrace:
    lot, first = book.lots[name], first_use.get(name)
    opened = lot.opened or (first if lot.life_once_opened else None)
    return LotTrace(name, tuple(uses), opened, lot.usable_until(first))


def _by(
    uses: Iterable[Use], keys: Callable[[Use], tuple[str | None, ...]]
) -> dict[str, tuple[Use, ...]]:
    found: dict[str, list[Use]] = defaultdict(list)
    for use in uses:
        for key in dict.fromkeys(keys(use)):
            if key:
                found[key].append(use)
    return {key: tuple(some) for key, some in found.items()}
