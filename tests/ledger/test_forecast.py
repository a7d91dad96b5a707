"""Work left and finish dates of small books worked out by hand."""

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_book import small_book

from buildbook.ledger.backtest import backtest, cut
from buildbook.ledger.forecast import NoForecast, by_week, forecast, monday
from buildbook.ledger.ledger import derive
from buildbook.ledger.left import Basis, Left, StepLeft, left, ratio
from buildbook.ledger.pace import pace
from buildbook.ledger.progress import StepProgress, StepState, step_progress
from buildbook.ledger.time import stints

AHEAD, BEGUN, FINISHED = StepState.AHEAD, StepState.BEGUN, StepState.FINISHED


def steps(*rows):
    return {
        name: StepProgress(
            name, state, date(2025, 1, 1) if state is FINISHED else None, estimate, clock
        )
        for name, state, estimate, clock in rows
    }


def session(day, step, minutes, *, finished=False):
    return {
        "date": str(day),
        "step": step,
        "hours": f"{minutes} min",
        "finished": "yes" if finished else "no",
    }


def test_the_ratio_is_drawn_towards_one():
    assert ratio([]) == pytest.approx(1)
    # exp((ln 2 + ln 2) / (2 + 4)) = 2 ** (1/3)
    assert ratio([2, 2]) == pytest.approx(2 ** (1 / 3))
    assert ratio([1.5] * 200) == pytest.approx(1.5, rel=0.01)
    assert ratio([2, 0.5]) == pytest.approx(1)


def test_minutes_left_by_estimates():
    work = left(
        steps(
            ("fin/a", FINISHED, 100, 200),
            ("fin/b", FINISHED, 60, 120),
            ("fin/c", BEGUN, 300, 100),
            ("fin/d", BEGUN, 300, 500),
            ("rudder/a", AHEAD, 600, 0),
            ("rudder/b", AHEAD, None, 0),
        )
    )
    own = 2 ** (1 / 3)
    assert work.ratio == pytest.approx(own)
    assert [s.minutes for s in work.steps.values()] == [
        round(300 * own - 100),
        30,  # a tenth of the estimate, although more than planned is spent
        round(600 * own),
        0,
    ]
    assert work.unknown == ("rudder/b",)
    assert work.of_section == {"fin": 278 + 30, "rudder": 756}
    assert work.minutes == 1064


def test_minutes_left_by_pieces():
    day = {"operation": "flute", "parts": "RIB", "hours": "120 min"}
    book = small_book(
        {"fin/ribs": 1000, "fin/clips": 500, "fin/more": None, "fin/none": None},
        [{"date": "2025-01-04", "step": "fin/ribs", **day, "pieces": "01 to 04"}],
        {"RIB": 12, "CLIP": 6},
    )
    rows = stints(book)
    remaining = {
        ("fin/ribs", "RIB", "flute"): 8,
        ("fin/clips", "CLIP", "flute"): 6,
        ("fin/more", "CLIP", "flute"): 2,
        ("fin/none", "CLIP", "drill"): 2,
    }
    work = left(step_progress(book, {"fin/ribs": 120}), pace(rows), remaining)
    assert {n: (s.basis, s.minutes) for n, s in work.steps.items()} == {
        "fin/ribs": (Basis.PIECES, 8 * 30),
        "fin/clips": (Basis.ESTIMATE, 500),  # no clip has been done yet
        "fin/more": (Basis.OPERATION, 2 * 30),  # nothing better is known
        "fin/none": (Basis.NOTHING, 0),
    }
    few = left(
        step_progress(book, {"fin/ribs": 120}), pace(rows), {("fin/ribs", "RIB", "flute"): 1}
    )
    assert few.steps["fin/ribs"].minutes == 100, "a tenth of the estimate is left at least"


def steady(minutes_left, weeks=26):
    """A record of 300 minutes a week up to the week of Monday 2025-06-30, and one step left."""
    last = date(2025, 6, 30)
    weekly = {last - timedelta(weeks=n): 300 for n in range(weeks - 1, -1, -1)}
    step = StepLeft("fin/a", Basis.PIECES, minutes_left, 0, 0)
    return weekly, Left(1.0, (1.0,) * 200, {"fin/a": step}, {"fin": minutes_left}, 1)


def test_steady_weeks_give_a_date_by_division():
    told = forecast(*steady(1500))
    assert told.last_week == date(2025, 6, 30)
    fifth = date(2025, 7, 7) + timedelta(weeks=4, days=6)
    assert (told.finish.early, told.finish.likely, told.finish.late) == (fifth, fifth, fifth)
    assert fifth.weekday() == 6
    assert told.sections == {"fin": told.finish}
    assert told.why is None


def test_idle_weeks_count():
    weekly, work = steady(3000)
    idle = {week: 0 if n % 2 else 600 for n, week in enumerate(weekly)}
    told = forecast(idle, work)
    assert told.finish.early < told.finish.likely < told.finish.late
    assert told.finish.early < forecast(weekly, work).finish.likely < told.finish.late


def test_only_recent_weeks_are_looked_at_idle_ones_included():
    book = small_book(
        {"fin/a": 60},
        [
            session("2024-06-03", "fin/a", 999),
            session("2025-01-01", "fin/a", 60, finished=True),
            session("2025-01-22", "fin/a", 30),
        ],
    )
    weekly = by_week(stints(book))
    assert next(iter(weekly)) == date(2024, 6, 3)
    told = forecast(weekly, Left(1.0, (), {}, {}, 1))
    assert told.weeks == (0,) * 22 + (60, 0, 0, 30)
    assert told.last_week == date(2025, 1, 20)


def test_as_of_counts_whole_weeks_without_work():
    weekly, work = steady(1500)
    plain = forecast(weekly, work)
    same = [date(2025, 6, 30), date(2025, 7, 6), date(2025, 7, 12), date(2024, 1, 1)]
    for day in same:
        assert forecast(weekly, work, day).finish == plain.finish, day
    later = forecast(weekly, work, date(2025, 7, 13))  # the Sunday that ends an idle week
    assert later.last_week == date(2025, 7, 7)
    assert later.weeks == (300,) * 25 + (0,)
    assert later.finish.late > plain.finish.late


def test_why_there_is_no_date():
    weekly, work = steady(1500)
    nothing = Left(1.0, (), {}, {}, 3)
    assert forecast(weekly, nothing).why is NoForecast.NOTHING_LEFT
    assert forecast(weekly, replace(nothing, planned=0)).why is NoForecast.NOTHING_PLANNED
    unknown = replace(work.steps["fin/a"], basis=Basis.NOTHING, minutes=0)
    no_estimate = Left(1.0, (), {"fin/a": unknown}, {"fin": 0}, 1)
    assert forecast(weekly, no_estimate).why is NoForecast.NO_ESTIMATES
    assert forecast(*steady(1500, weeks=5)).why is NoForecast.SHORT_RECORD
    assert forecast(*steady(1500, weeks=6)).why is None
    assert forecast({}, work).why is NoForecast.SHORT_RECORD
    assert forecast(weekly, work, date(2027, 1, 1)).why is NoForecast.IDLE
    assert forecast(*steady(300 * 52 * 30)).why is NoForecast.TOO_FAR
    rare = dict.fromkeys(weekly, 0) | {next(iter(weekly)): 60, max(weekly): 60}
    assert forecast(rare, work).why is NoForecast.TOO_FAR
    for told in (forecast(weekly, nothing), forecast({}, work)):
        assert (told.finish, told.sections) == (None, {})


def test_a_section_is_done_after_those_before_it():
    weekly, _ = steady(1)
    rows = {
        "fin/a": StepLeft("fin/a", Basis.PIECES, 600, 0, 0),
        "rudder/a": StepLeft("rudder/a", Basis.NOTHING, 0, 0, 0),
        "wing/a": StepLeft("wing/a", Basis.PIECES, 900, 0, 0),
        "wing/b": StepLeft("wing/b", Basis.PIECES, 600, 0, 0),
    }
    told = forecast(
        weekly, Left(1.0, (1.0,) * 200, rows, {"fin": 600, "rudder": 0, "wing": 1500}, 9)
    )
    ends = {name: (f.likely - told.last_week).days // 7 for name, f in told.sections.items()}
    assert ends == {"fin": 2, "wing": 7}, "nothing is known of the rudder"
    assert told.finish == told.sections["wing"]


def test_the_same_records_give_the_same_dates():
    book = six_months()
    assert derive(book).forecast == derive(replace(book)).forecast
    other = derive(book).forecast
    assert forecast(by_week(stints(book)), other.left) == other


def six_months():
    """Fin and rudder of four steps each; a step every two weeks, 1.2 times what was planned."""
    names = [f"{s}/{n}" for s in ("fin", "rudder", "wing") for n in "abcd"]
    sessions = []
    for n, name in enumerate(names[:10]):
        day = date(2025, 1, 4) + timedelta(weeks=2 * n)
        sessions += [
            session(day, name, 300 + 10 * n),
            session(day + timedelta(weeks=1), name, 300 - 10 * n, finished=True),
        ]
    return small_book(dict.fromkeys(names, 500), sessions)


def test_the_forecast_of_a_book():
    told = derive(six_months()).forecast
    assert told.left.ratios == pytest.approx((1.2,) * 10)
    own = math.exp(10 * math.log(1.2) / 14)
    assert [s.minutes for s in told.left.steps.values()] == [round(500 * own)] * 2
    assert len(told.weeks) == 20
    # Two steps of about 570 minutes at 300 a week: four weeks.
    assert (told.finish.likely - told.last_week).days // 7 == 4


def test_earlier_forecasts_see_only_what_was_known():
    book = six_months()
    rows = stints(book)
    day = date(2025, 3, 31)
    assert stints(cut(book, day)) == tuple(s for s in rows if s.date <= day)
    progress = step_progress(cut(book, day), {})
    assert sum(s.state is FINISHED for s in progress.values()) == 6

    found = backtest(book, rows)
    assert {row.section for row in found.rows} == {"rudder"}, "the fin is over before six weeks"
    assert [row.on for row in found.rows] == [date(2025, 2, 28), date(2025, 3, 31)]
    assert {row.actual for row in found.rows} == {date(2025, 4, 19)}
    again = backtest(cut(book, day), tuple(s for s in rows if s.date <= day))
    assert again.rows == (), "no section was finished after a forecast yet"
    assert (again.held, again.late_by, again.off_by) == (0, 0, 0)

    late = replace(found.rows[0], actual=found.rows[0].finish.late + timedelta(days=1))
    assert not late.held
    assert replace(late, actual=late.finish.late - timedelta(days=6)).held
    assert replace(late, actual=late.finish.likely + timedelta(days=14)).late_by == 2


minutes = st.integers(0, 900)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(minutes, min_size=6, max_size=26).filter(any),
    st.lists(st.floats(0.4, 2.5), max_size=12),
    st.lists(st.tuples(st.integers(30, 3000), minutes), min_size=1, max_size=6),
    st.integers(0, 5),
    st.integers(1, 2000),
)
def test_more_work_is_never_done_earlier(weeks, ratios, planned, which, more):
    last = date(2025, 6, 30)
    weekly = {last - timedelta(weeks=n): w for n, w in enumerate(weeks)}
    weekly = dict(sorted(weekly.items()))
    done = [(f"fin/d{n}", FINISHED, 1000, round(1000 * r)) for n, r in enumerate(ratios)]

    def told(rows):
        todo = [
            (f"wing/{n}", BEGUN if spent else AHEAD, estimate, spent)
            for n, (estimate, spent) in enumerate(rows)
        ]
        return forecast(weekly, left(steps(*done, *todo)), resamples=100)

    before = told(planned)
    which %= len(planned)
    grown = [(e + more * (n == which), spent) for n, (e, spent) in enumerate(planned)]
    for after in (told(grown), told([*planned, (more, 0)])):
        if after.finish:
            assert before.finish
            assert after.finish.early <= after.finish.likely <= after.finish.late
            assert before.finish.early <= after.finish.early
            assert before.finish.likely <= after.finish.likely
            assert before.finish.late <= after.finish.late
        elif before.finish is None:
            assert after.why is before.why or after.why is NoForecast.TOO_FAR
    if before.finish:
        assert before.finish.early >= monday(last) + timedelta(weeks=1)


def test_a_little_more_work_never_moves_a_date_forward():
    weekly, work = steady(1000)
    uneven = {week: 100 * (n % 7) for n, week in enumerate(weekly)}
    before = None
    for more in range(1000, 3000, 10):
        step = replace(work.steps["fin/a"], minutes=more)
        some = Left(1.1, (0.7, 1.2, 1.6), {"fin/a": step}, {"fin": more}, 4)
        finish = forecast(uneven, some, resamples=60).finish
        if before:
            assert before.early <= finish.early
            assert before.likely <= finish.likely
            assert before.late <= finish.late
        before = finish
