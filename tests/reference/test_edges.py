"""Edges of what is answered, where a small slip in the program shows.

Sources: the sum of a learning curve's pieces one by one, the Gamma function's own recursion and the
linear equations of two lines, each another way to the same number. The rest are the program's own
rules, held at their borders.
"""

import math
from datetime import date
from fractions import Fraction
from operator import attrgetter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.quantities import parse_quantity
from buildbook.reference.answers import RefusedError
from buildbook.reference.balance import Corner, _meet
from buildbook.reference.dewpoint import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    DewPoint,
    answer,
    from_wet_bulb,
)
from buildbook.reference.learning import Curve, Lot, fit, lot_midpoint, straight_line, unit_factor
from buildbook.reference.shelflife import out_time_left, read_day, read_life
from buildbook.reference.spacing import BOLT_CAUTIONS, CAUTIONS, bolt_shank, spacing

# Air.


def test_a_wet_bulb_as_warm_as_the_air_is_air_of_100_per_cent() -> None:
    assert from_wet_bulb(20, 20).celsius == pytest.approx(20, abs=0.01)
    with pytest.raises(RefusedError, match="warmer than the air") as told:
        from_wet_bulb(20, 20.5)
    assert told.value.advice == "exchange the two, or wet the wick"


def test_the_pressures_at_both_ends_are_still_pressures() -> None:
    low, high = (from_wet_bulb(20, 15, p).celsius for p in (LOWEST_PRESSURE, HIGHEST_PRESSURE))
    assert low > high  # thin air takes up more from the same wet bulb
    for wrong in (LOWEST_PRESSURE - 1, HIGHEST_PRESSURE + 1):
        with pytest.raises(RefusedError, match=f"{wrong / 100:g} hPa"):
            from_wet_bulb(20, 15, wrong)


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        ("12.5 °C", "2.5 °C (4.5 °F) above it"),
        ("10 °C", "0.0 °C (0.0 °F) above it"),
        ("9.5 °C", "0.5 °C (0.9 °F) below it: it is wet"),
        ("8 °C", "2.0 °C (3.6 °F) below it: it is wet"),
    ],
)
def test_a_surface_is_above_the_dew_point_or_wet(surface: str, words: str) -> None:
    told = answer(DewPoint(10.0), "Dew point", parse_quantity(surface))
    assert words in [fact.words for fact in told.facts]


# Shelf life.


def test_a_month_runs_to_its_end_and_is_told_from_a_day() -> None:
    assert read_day("2026-12") == (date(2026, 12, 31), True)
    assert read_day("2026-1") == (date(2026, 1, 31), True)
    assert read_day("2026-12-31") == (date(2026, 12, 31), False)
    for wrong in ("2026-00", "2026-13"):
        with pytest.raises(RefusedError, match="not in the calendar"):
            read_day(wrong)
    with pytest.raises(RefusedError) as told:
        read_day("soon")
    assert "2026-01" in (told.value.advice or "")


@pytest.mark.parametrize(
    ("written", "months", "letter"),
    [
        ("12", 12, None),
        ("12 months", 12, None),
        ("12 MONTHS", 12, None),
        ("1 Month", 1, None),
        ("code H", 12, "H"),
        ("CODE h", 12, "H"),
        ("h", 12, "H"),
    ],
)
def test_a_life_is_read_however_it_is_spelt(written: str, months: int, letter: str | None) -> None:
    found, code = read_life(written)
    assert found == months
    assert (code and code.letter) == letter


def test_no_time_out_of_the_cold_leaves_all_of_it() -> None:
    assert out_time_left(0, []) == 0
    assert out_time_left(60, [0, 25]) == 35
    for allowed, times in ((-1, []), (60, [-1])):
        with pytest.raises(RefusedError, match="less than nothing"):
            out_time_left(allowed, times)


# Spacing.


def test_answers_say_what_they_are_about_and_caution() -> None:
    bolts, rivets = spacing("AN4"), spacing("1/8")
    assert (bolts.title, bolts.cautions) == ("Spacing of bolts of 1/4 in", BOLT_CAUTIONS)
    assert (rivets.title, rivets.cautions) == ("Spacing of rivets of 1/8 in", CAUTIONS)
    assert len(bolts.facts) == 2
    assert len(rivets.facts) == 4


def test_a_bolt_without_a_row_is_refused() -> None:
    with pytest.raises(RefusedError):
        bolt_shank("AN99")


# Learning curves.


@given(st.floats(0.6, 1.1), st.integers(1, 90), st.integers(0, 90))
def test_a_run_takes_what_its_pieces_take_one_by_one(slope: float, first: int, more: int) -> None:
    curve = Curve(100.0, slope, 0.0, 3, 9, better_than_mean=True)
    one_by_one = math.fsum(100 * unit_factor(slope, n) for n in range(first, first + more + 1))
    assert curve.run(first, first + more) == pytest.approx(one_by_one, rel=1e-9)


@given(st.integers(1, 60), st.integers(0, 60))
def test_the_middle_of_a_lot_without_learning_is_its_geometric_mean(first: int, more: int) -> None:
    """From n! = 1 * 2 * ... * n, which the program takes from the Gamma function."""
    pieces = range(first, first + more + 1)
    mean = math.exp(math.fsum(math.log(n) for n in pieces) / len(pieces))
    assert lot_midpoint(0.0, first, first + more) == pytest.approx(mean, rel=1e-9)


def test_a_point_that_alone_decides_the_slope_cannot_be_foretold() -> None:
    assert straight_line([1, 1, 1, 5], [2, 3, 4, 9]).predicted == math.inf
    assert straight_line([1, 2, 3, 5], [2, 3, 4, 9]).predicted < math.inf


def test_three_sessions_are_enough_for_a_curve_and_two_are_not() -> None:
    lots = [Lot(4, 100.0), Lot(4, 80.0), Lot(4, 70.0)]
    assert fit(lots)
    with pytest.raises(ValueError, match=r"\w"):
        fit(lots[:2])


# Limits of weight and balance.

_points = st.builds(Corner, st.integers(-4, 4).map(Fraction), st.integers(-4, 4).map(Fraction))


def _have_a_point_in_common(a: Corner, b: Corner, c: Corner, d: Corner) -> bool:
    """Solve a + s (b - a) = c + t (d - c); lines in one line overlap where their ends do."""
    ux, uy, vx, vy = b.arm - a.arm, b.weight - a.weight, d.arm - c.arm, d.weight - c.weight
    wx, wy = c.arm - a.arm, c.weight - a.weight
    det = uy * vx - ux * vy
    if det:
        s, t = (wy * vx - wx * vy) / det, (wy * ux - wx * uy) / det
        return 0 <= s <= 1 and 0 <= t <= 1
    if ux * wy - uy * wx:
        return False
    along = attrgetter("arm" if ux or vx else "weight")
    one, other = sorted(map(along, (a, b))), sorted(map(along, (c, d)))
    return max(one[0], other[0]) <= min(one[1], other[1])


@given(_points, _points, _points, _points)
def test_sides_meet_where_the_equations_of_their_lines_say(
    a: Corner, b: Corner, c: Corner, d: Corner
) -> None:
    if a == b or c == d:
        return  # no side of any limits
    assert _meet((a, b), (c, d)) is _have_a_point_in_common(a, b, c, d)
