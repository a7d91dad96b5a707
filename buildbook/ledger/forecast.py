"""When it will be finished: a range of dates from the builder's own recent weeks.

The future is drawn many times from the past. Each time,

1. half as many weeks as are looked back on are drawn from them, with replacement (what this
   half-year might as well have looked like), and future weeks are drawn from those;
2. likewise the ratios of actual to estimated hours of the finished steps, and from those a ratio
   for every step that is left;
3. the weeks are counted until the work of each section, and of all before it, is done.

The tenth, fiftieth and ninetieth in a hundred of the counts are shown. Drawing twice matters: a
record of 26 weeks says itself only roughly how fast one works. And half as many are drawn because
weeks are not independent: idle ones come in rows, so that 26 tell about as much as 13 would. Half
is a judgement; `bench/backtest.py` shows how often the ranges hold.

Resampling after B. Efron, "Bootstrap methods: another look at the jackknife", Annals of Statistics
7, 1979 (cited from memory); the percentile interval of the mean is checked against an independent
library.

The same records give the same dates on every day and every machine: the draws are seeded from the
record, and dates are counted from the last week recorded or from a date given.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from itertools import accumulate, repeat
from random import Random

from buildbook.ledger.left import FLOOR, STEADY, Basis, Left, StepLeft
from buildbook.ledger.time import Stint

WEEKS = 26
"""Weeks looked back on: half a year, so that a summer or a winter does not stand for all."""
MIN_WEEKS = 6
"""Weeks of record below which no date is given."""
RESAMPLES = 2000
QUANTILES = (0.1, 0.5, 0.9)
HORIZON = 20 * 52
"""Weeks beyond which no date is given."""
_CHUNK = 26


class NoForecast(StrEnum):
    """Why no date is given."""

    NOTHING_PLANNED = "no step is planned yet"
    NOTHING_LEFT = "every step is finished"
    NO_ESTIMATES = "no unfinished step has an estimate, or pieces whose pace is known"
    SHORT_RECORD = f"the record covers fewer than {MIN_WEEKS} weeks"
    IDLE = f"no work is recorded in the last {WEEKS} weeks"
    TOO_FAR = "the recent weeks are too few or too idle to tell a date within twenty years"


@dataclass(frozen=True, slots=True)
class Finish:
    """A range of dates, each the Sunday that ends a week."""

    early: date
    """In one of ten drawn futures it is done by then."""
    likely: date
    """In half of them."""
    late: date
    """In nine of ten."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """Work left, and when it may be done."""

    left: Left
    weeks: tuple[int, ...]
    """Clock minutes of each recent week, oldest first, idle weeks included."""
    last_week: date
    """Monday of the last of them; the forecast counts from the week after."""
    finish: Finish | None
    sections: dict[str, Finish]
    """Each section with work left, worked through in the order of the book."""
    why: NoForecast | None
    """Why there is no date."""


def by_week(stints: Iterable[Stint]) -> dict[date, int]:
    """Add up clock minutes by the Monday of their ISO week, the idle weeks between included."""
    minutes: dict[date, int] = {}
    for stint in stints:
        week = monday(stint.date)
        minutes[week] = minutes.get(week, 0) + stint.minutes
    if not minutes:
        return {}
    first, last = min(minutes), max(minutes)
    count = (last - first).days // 7 + 1
    every = (first + timedelta(weeks=n) for n in range(count))
    return {week: minutes.get(week, 0) for week in every}


def monday(day: date) -> date:
    """Return the Monday of a date's ISO week."""
    return day - timedelta(days=day.weekday())


def forecast(
    weekly: dict[date, int], left: Left, as_of: date | None = None, resamples: int = RESAMPLES
) -> Forecast:
    """Foretell when the build and each section will be finished.

    `weekly` comes from `by_week`. With `as_of`, weeks that passed since the last session count as
    idle, up to the last whole one before that date; without, nothing after the last session is
    known, and a build that has rested for a year is foretold as if it had not.
    """
    minutes, last = _recent(weekly, as_of)
    why = _why_not(weekly, minutes, left, last)
    marks = _marks(left)
    if why is None:
        counts = finish_weeks(
            minutes,
            left.ratios,
            left.ratio,
            tuple(left.steps.values()),
            tuple(marks.values()),
            resamples=resamples,
        )
        found = {
            section: Finish(*(last + timedelta(weeks=n, days=6) for n in three))
            for section, three in zip(marks, counts, strict=True)
            if three[-1] <= HORIZON
        }
        if counts[-1][-1] <= HORIZON:
            whole = list(found.values())[-1]
            return Forecast(left, minutes, last, whole, found, None)
        return Forecast(left, minutes, last, None, found, NoForecast.TOO_FAR)
    return Forecast(left, minutes, last, None, {}, why)


def _recent(weekly: dict[date, int], as_of: date | None) -> tuple[tuple[int, ...], date]:
    """Return the minutes of recent weeks and the Monday of the last of them."""
    if not weekly:
        return (), monday(as_of) if as_of else date.min
    first, last = next(iter(weekly)), next(reversed(weekly))
    if as_of:
        last = max(last, monday(as_of + timedelta(days=1)) - timedelta(weeks=1))
    count = min(WEEKS, (last - first).days // 7 + 1)
    weeks = (last - timedelta(weeks=n) for n in range(count - 1, -1, -1))
    return tuple(weekly.get(week, 0) for week in weeks), last


def _why_not(
    weekly: dict[date, int], minutes: Sequence[int], left: Left, last: date
) -> NoForecast | None:
    if not left.steps:
        return NoForecast.NOTHING_LEFT if left.planned else NoForecast.NOTHING_PLANNED
    if not left.minutes:
        return NoForecast.NO_ESTIMATES
    if not weekly or (last - next(iter(weekly))).days // 7 + 1 < MIN_WEEKS:
        return NoForecast.SHORT_RECORD
    if not any(minutes):
        return NoForecast.IDLE
    if left.minutes > HORIZON * sum(minutes) / len(minutes):
        return NoForecast.TOO_FAR
    return None


def _marks(left: Left) -> dict[str, int]:
    """Count, for each section with work left, the unfinished steps up to its end."""
    marks = {}
    for n, (name, step) in enumerate(left.steps.items(), 1):
        section = name.partition("/")[0]
        if step.basis is not Basis.NOTHING or section in marks:
            marks[section] = n
    return marks


@lru_cache(maxsize=512)  # a rebuild after one more session asks the same of every earlier month
def finish_weeks(
    weeks: tuple[int, ...],
    ratios: tuple[float, ...],
    ratio: float,
    steps: tuple[StepLeft, ...],
    marks: tuple[int, ...],
    *,
    resamples: int,
) -> list[tuple[int, ...]]:
    """Count the weeks until the first `marks[i]` steps are done, at each of QUANTILES.

    A quantile is the smallest count by which at least that share of the futures is done; counts
    above HORIZON stand for "later than that".
    """
    seed = int.from_bytes(sha256(repr((weeks, ratios)).encode()).digest()[:8])
    of_weeks, of_steps = Random(), Random()  # noqa: S311 - nothing secret
    pool, half = (*ratios, *STEADY), -(-len(weeks) // 2)
    results: list[list[int]] = [[] for _ in marks]
    for n in range(resamples):
        # Seeded one by one, and the work apart from the weeks: more work never changes the weeks
        # drawn, so that it can only move a date back.
        of_weeks.seed(seed + n)
        of_steps.seed(seed - n - 1)
        past = of_steps.choices(pool, k=len(pool))
        drawn = of_steps.choices(past, k=len(steps))
        done = list(accumulate(_work(s, r, ratio) for s, r in zip(steps, drawn, strict=True)))
        needs = [done[mark - 1] for mark in marks]
        path = _path(of_weeks, of_weeks.choices(weeks, k=half), needs[-1])
        for result, need in zip(results, needs, strict=True):
            result.append(bisect_left(path, need) + 1)
    return [quantiles(result) for result in results]


def _work(step: StepLeft, drawn: float, ratio: float) -> float:
    """Return the minutes a step wants if it turns out to take `drawn` times its estimate."""
    if step.basis is Basis.ESTIMATE:
        return max(step.estimate * drawn - step.spent, step.estimate * FLOOR)
    return step.minutes * drawn / ratio


def _path(rng: Random, weeks: Sequence[int], need: float) -> list[int]:
    """Draw weeks until their sum reaches `need` or HORIZON is passed; return the running sums."""
    if not any(weeks):
        return list(repeat(0, HORIZON))
    path: list[int] = []
    while len(path) < HORIZON and (not path or path[-1] < need):
        drawn = rng.choices(weeks, k=_CHUNK)
        drawn[0] += path[-1] if path else 0
        path += accumulate(drawn)
    return path


def quantiles(counts: Iterable[int]) -> tuple[int, ...]:
    """Return the smallest values that at least each share of QUANTILES does not exceed."""
    ordered = sorted(counts)
    return tuple(ordered[-(-round(q * 100) * len(ordered) // 100) - 1] for q in QUANTILES)
