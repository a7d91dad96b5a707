"""Time cards: clocks that run while somebody is at work, kept in a file until the session is saved.

Moments are kept in UTC and to the second, so that neither a reboot nor a change of the clocks
disturbs them; the session gets the times that the clock on the workshop's wall showed.
"""

import hashlib
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from buildbook.files import alone, make_folder, write_whole
from buildbook.records.clock import ClockTime, instant, parse_clock, span
from buildbook.writing.yamltext import Plain

LONG = timedelta(hours=10)
"""After so long, or past midnight, a clock was likelier forgotten than work went on."""
_FORM = 1


class ClockError(ValueError):
    """A clock cannot do what it is asked to; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class Pause:
    """Time off."""

    begin: datetime
    end: datetime | None = None
    """None while it lasts."""


@dataclass(frozen=True, slots=True)
class TimeCard:
    """One clock that runs: who is at work, on what, since when."""

    who: tuple[str, ...]
    step: str
    began: datetime
    """In UTC, as all moments here."""
    operation: str | None = None
    pauses: tuple[Pause, ...] = ()
    saved_as: str = ""
    """The session's file below the folder of records, once it is about to be written."""
    digest: str = ""
    """SHA-256 of what that file holds."""

    @property
    def paused_at(self) -> datetime | None:
        """When the pause began that still lasts, if one does."""
        return self.pauses[-1].begin if self.pauses and self.pauses[-1].end is None else None

    def off(self, until: datetime) -> timedelta:
        """Return the time of all pauses until a moment."""
        pauses = (min(p.end or until, until) - p.begin for p in self.pauses if p.begin < until)
        return sum(pauses, timedelta())

    def worked(self, until: datetime) -> timedelta:
        """Return the time at work until a moment, pauses left out."""
        return until - self.began - self.off(until)

    def pause(self, now: datetime) -> "TimeCard":
        """Begin a pause. Raises ClockError when one lasts, or the moment is before the work."""
        if self.paused_at:
            raise ClockError("the clock is paused already")
        self._not_before(now)
        return replace(self, pauses=(*self.pauses, Pause(now)))

    def resume(self, now: datetime) -> "TimeCard":
        """End the pause. Raises ClockError when there is none, or it ends before it began."""
        if not self.paused_at:
            raise ClockError("the clock is not paused")
        self._not_before(now)
        return replace(self, pauses=(*self.pauses[:-1], Pause(self.paused_at, now)))

    def _not_before(self, moment: datetime) -> None:
        latest = max((self.began, *(m for p in self.pauses for m in (p.begin, p.end) if m)))
        if moment < latest:
            raise ClockError(
                "the computer's clock stands before the last entry of this time card; set it "
                "right, or say the time with `--at`"
            )

    def end(self, at: datetime) -> datetime:
        """Return when work ended: at a moment, or when the pause began that still lasts.

        Raises ClockError when work would end before it began.
        """
        self._not_before(at)
        return self.paused_at or at


def is_forgotten(card: TimeCard, now: datetime, zone: ZoneInfo) -> bool:
    """Tell whether a clock ran so long that somebody must say when work ended."""
    if card.paused_at:
        return False
    other_day = now.astimezone(zone).date() != card.began.astimezone(zone).date()
    return other_day or now - card.began > LONG


def moment(words: str, zone: ZoneInfo, *, after: datetime, now: datetime) -> datetime:
    """Return when the clock first showed a time, as `21:40`, after a moment and not after now.

    Raises ClockError with a sentence when it is no time of day, or there is no such moment.
    """
    try:
        clock = parse_clock(words)
    except ValueError as error:
        raise ClockError(f"{error}; write it as `21:40`") from None
    day, skipped = after.astimezone(zone).date(), ""
    for date in (day, day + timedelta(days=1)):
        try:
            shown = [instant(date, clock, zone, later=later) for later in (False, True)]
        except ValueError as error:
            skipped = str(error)
            continue
        if found := next((m for m in shown if after < m <= now), None):
            return found
    if skipped:
        raise ClockError(skipped)
    since = f"{after.astimezone(zone):%Y-%m-%d %H:%M}"
    raise ClockError(f"it has not been {clock} since {since}")


def last_moment(words: str, zone: ZoneInfo, now: datetime) -> datetime:
    """Return when the clock last showed a time, as `19:30`. Raises ClockError with a sentence."""
    return moment(words, zone, after=now - timedelta(hours=24), now=now)


def session_fields(
    card: TimeCard, ended: datetime, zone: ZoneInfo, builder: str
) -> dict[str, Plain]:
    """Return the fields of a session that a time card gives, as its file holds them.

    Times are cut to whole minutes, time off is rounded to them. Raises ClockError when less than
    a minute of work is left.
    """
    pause = round(card.off(ended).total_seconds() / 60)
    began, ended = _minute(card.began), _minute(ended)
    elapsed = int((ended - began).total_seconds()) // 60
    if elapsed - pause < 1:
        raise ClockError("that is less than a minute of work; `buildbook clock drop` forgets it")
    day = began.astimezone(zone).date()
    start, end = _shown(began, zone), _shown(ended, zone)
    if span(day, parse_clock(start), parse_clock(end), zone) != (began, ended):
        start, end = _shown(began, zone, exact=True), _shown(ended, zone, exact=True)
    fields: dict[str, Plain] = {"date": day.isoformat(), "step": card.step}
    if card.operation:
        fields["operation"] = card.operation
    if card.who != (builder,):
        fields["who"] = list(card.who)
    fields |= {"from": start, "to": end}
    if pause:
        fields["break"] = f"{pause} min"
    return fields


def _minute(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(second=0, microsecond=0)


def _shown(moment: datetime, zone: ZoneInfo, *, exact: bool = False) -> str:
    """Show what the clock on the wall showed; with the offset where it alone is not enough."""
    local = moment.astimezone(zone)
    shown = str(ClockTime(local.hour, local.minute))
    offset = f"{local:%z}"
    return f"{shown}{offset[:3]}:{offset[3:5]}" if exact else shown


class TimeCards:
    """The file of clocks that run, in the folder beside the records."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "clock.json"

    def read(self) -> tuple[TimeCard, ...]:
        """Return the clocks that run. Raises ClockError when the file is damaged."""
        try:
            raw = self.path.read_bytes()
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise ClockError(f"{self.path} cannot be read: {error.strerror}") from None
        try:
            data = json.loads(raw)
            if data["form"] != _FORM:
                raise ClockError(f"{self.path} was written by another version of buildbook")
            return tuple(_card(entry) for entry in data["running"])
        except (ValueError, TypeError, KeyError, AttributeError) as error:
            if isinstance(error, ClockError):
                raise
            raise ClockError(
                f"{self.path} is damaged; look at it with an editor, write down the times in it, "
                "and delete it"
            ) from None

    @contextmanager
    def changing(self) -> Iterator[list[TimeCard]]:
        """Let the clocks be changed, one program at a time; they are stored when all went well.

        Raises ClockError when the file is damaged or cannot be written.
        """
        try:
            make_folder(self.path.parent)
            with alone(self.path.with_suffix(".lock")):
                before = self.read()
                cards = list(before)
                yield cards
                if tuple(cards) != before:
                    self._store(cards)
        except OSError as error:
            raise ClockError(f"{self.path} cannot be written: {error.strerror}") from None

    def store_now(self, cards: Sequence[TimeCard]) -> None:
        """Store the clocks while they are being changed. Raises OSError."""
        self._store(cards)

    def _store(self, cards: Sequence[TimeCard]) -> None:
        data = {"form": _FORM, "running": [asdict(card) for card in cards]}
        text = json.dumps(data, indent=2, default=_plain) + "\n"
        write_whole(self.path, text.encode())


def _plain(value: Any) -> str:
    assert isinstance(value, datetime)
    return value.astimezone(UTC).isoformat()


def _card(entry: dict[str, Any]) -> TimeCard:
    pauses = tuple(
        Pause(_moment(p["begin"]), _moment(p["end"]) if p["end"] else None) for p in entry["pauses"]
    )
    who = tuple(map(str, entry["who"]))
    return TimeCard(
        **{**entry, "who": who, "began": _moment(entry["began"]), "pauses": pauses},
    )


def _moment(text: str) -> datetime:
    read = datetime.fromisoformat(text)
    if read.tzinfo is None:
        raise ValueError("a moment without an offset")
    return read.astimezone(UTC)


def digest(raw: bytes) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def was_saved(card: TimeCard, content: Path) -> bool:
    """Tell whether the session of a clock was written, though the clock was not taken away."""
    if not card.saved_as:
        return False
    try:
        return digest((content / card.saved_as).read_bytes()) == card.digest
    except OSError:
        return False
