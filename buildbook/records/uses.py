"""Uses of lots: which piece of work used what, and when what was mixed was used."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from buildbook.records.clock import ClockTime, instant, span
from buildbook.records.lot import Mix
from buildbook.records.problems import Place
from buildbook.records.session import Session, Work


class LotUse(NamedTuple):
    """One place in a session where a lot is named."""

    lot: str
    work: Work
    """The piece of work; the session itself where it is named for the whole of it."""
    place: Place


def lot_uses(session: Session) -> Iterator[LotUse]:
    """Yield every use of a lot in a session; twice in one piece of work counts once."""
    for work in _works(session):
        named = {name: work.place.at("lots", i) for i, name in enumerate(work.lots)}
        for mix in work.mixed:
            for i, name in enumerate(mix.lots):
                named.setdefault(name, mix.place.at("lots", i))
        for name, place in named.items():
            yield LotUse(name, work, place)


def _works(session: Session) -> tuple[Work, ...]:
    return (session, *session.work)


@dataclass(frozen=True, slots=True)
class MixTimes:
    """When something was mixed, and until when it was used. Times are in UTC."""

    mix: Mix
    work: Work
    at: datetime | None
    """None where that time is none of the work's."""
    until: datetime | None
    """None where nothing says it."""
    wrong: tuple[str, str] = ("", "")
    """The field that cannot be, and what is wrong with it."""

    @property
    def minutes(self) -> int | None:
        """How long it was used."""
        if self.at is None or self.until is None:
            return None
        return int((self.until - self.at).total_seconds()) // 60

    @property
    def over(self) -> int:
        """Minutes it was used past its pot life; 0 where it was not, or nobody knows."""
        return max(0, (self.minutes or 0) - self.mix.pot_life)


def mix_times(session: Session, zone: ZoneInfo) -> Iterator[MixTimes]:
    """Yield what was mixed in a session, in order, with its times.

    What was mixed is used until its `until`, else until the same is mixed again, else until the
    work ended.
    """
    for work in _works(session):
        stretch = _stretch(session, work, zone)
        times = [_mixed(session.date, mix, stretch, zone) for mix in work.mixed]
        for i, (mix, at) in enumerate(zip(work.mixed, times, strict=True)):
            if at is None:
                yield MixTimes(mix, work, None, None, ("at", _outside(mix.at, work, session)))
                continue
            again = (
                t
                for t, other in zip(times[i + 1 :], work.mixed[i + 1 :], strict=True)
                if t and t > at and set(other.lots) & set(mix.lots)
            )
            end = next(again, stretch[1] if stretch else None)
            if mix.until is None:
                yield MixTimes(mix, work, at, end)
                continue
            until = _within(session.date, mix.until, (at, stretch[1] if stretch else None), zone)
            if until is None:
                said = f"it was mixed at {mix.at}, and {_outside(mix.until, work, session)}"
                yield MixTimes(mix, work, at, None, ("until", said))
            else:
                yield MixTimes(mix, work, at, until)


def _stretch(session: Session, work: Work, zone: ZoneInfo) -> tuple[datetime, datetime] | None:
    timed = work if work.start else session
    if timed.start is None or timed.end is None:
        return None
    try:
        return span(session.date, timed.start, timed.end, zone)
    except ValueError:
        return None  # told by the check of hours


def _mixed(
    day: date, mix: Mix, stretch: tuple[datetime, datetime] | None, zone: ZoneInfo
) -> datetime | None:
    if stretch:
        return _within(day, mix.at, stretch, zone)
    try:
        return instant(day, mix.at, zone)
    except ValueError:
        return None


_LONGEST = timedelta(hours=24)


def _within(
    day: date, clock: ClockTime, stretch: tuple[datetime, datetime | None], zone: ZoneInfo
) -> datetime | None:
    """Find when the clock showed that time inside a stretch, which may go past midnight."""
    began, ended = stretch[0], stretch[1] or stretch[0] + _LONGEST
    for on in (day, day + timedelta(days=1)):
        for later in (False, True):
            try:
                moment = instant(on, clock, zone, later=later)
            except ValueError:
                continue
            if began <= moment <= ended:
                return moment
    return None


def _outside(clock: ClockTime, work: Work, session: Session) -> str:
    timed = work if work.start else session
    if timed.start and timed.end:
        return f"{clock} is not between {timed.start} and {timed.end}, when the work went on"
    return f"{clock} did not exist on {session.date}: the clocks went forward over it"
