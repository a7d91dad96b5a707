"""Learning curves against values printed elsewhere."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference.learning import (
    Lot,
    cumulative_factor,
    fit,
    lot_midpoint,
    unit_factor,
)

# 80 %: learning-curve exhibits of operations-management textbooks (unit theory). 85 % and 90 %:
# units 2 and 3 from the same exhibits, the rest computed by the formula with a plain sum.
TABLE = {
    0.80: ({2: 0.8000, 3: 0.7021, 4: 0.6400, 10: 0.4765}, 6.3154, 32.6508),
    0.85: ({2: 0.8500, 3: 0.7729, 4: 0.7225, 10: 0.5828}, 7.1161, 43.7539),
    0.90: ({2: 0.9000, 3: 0.8462, 4: 0.8100, 10: 0.7047}, 7.9945, 58.1410),
}


@pytest.mark.parametrize("slope", TABLE)
def test_factors_of_the_unit_theory(slope):
    units, ten, hundred = TABLE[slope]
    assert {n: round(unit_factor(slope, n), 4) for n in units} == units
    assert round(cumulative_factor(slope, 10), 4) == ten
    assert round(cumulative_factor(slope, 100), 4) == hundred


def test_hours_of_the_first_eight_and_sixteen():
    """Textbook example: first unit 100,000 h on an 80 % curve."""
    assert round(100_000 * cumulative_factor(0.8, 8)) == 534_591
    assert round(100_000 * cumulative_factor(0.8, 16)) == 892_014


def test_it_is_not_the_cumulative_average_theory():
    """Textbook example of the other theory: 100 h and 80 % give these totals."""
    wright = {2: 160, 4: 256, 8: 409.6, 16: 655.36}
    b = math.log(0.8) / math.log(2)
    for n, total in wright.items():
        assert 100 * n * n**b == pytest.approx(total), "that theory gives the printed total"
        assert abs(100 * cumulative_factor(0.8, n) - total) > 0.1 * total, "ours does not"


@pytest.mark.parametrize("slope", [0.5, 0.6, 0.8, 0.95, 1.0, 1.2])
@pytest.mark.parametrize("n", [31, 32, 33, 64, 1000, 200_000])
def test_long_sums_are_the_sum(slope, n):
    b = math.log2(slope)
    plain = math.fsum(k**b for k in range(1, n + 1))
    assert cumulative_factor(slope, n) == pytest.approx(plain, rel=1e-12)


def test_what_has_no_meaning_is_refused():
    with pytest.raises(ValueError, match="above 0"):
        unit_factor(0, 3)
    with pytest.raises(ValueError, match="from 1"):
        unit_factor(0.8, 0)
    with pytest.raises(ValueError, match="cannot be -1"):
        cumulative_factor(0.8, -1)
    assert cumulative_factor(0.8, 0) == 0
    with pytest.raises(ValueError, match="too few"):
        fit([Lot(1, 10), Lot(1, 9)])
    with pytest.raises(ValueError, match="without pieces"):
        fit([Lot(1, 10), Lot(0, 9), Lot(1, 9)])
    with pytest.raises(ValueError, match="setting up"):
        fit([Lot(1, 10), Lot(2, 9), Lot(1, 9)], setup_minutes=9)
    with pytest.raises(ValueError, match="not a run"):
        lot_midpoint(-0.3, 4, 3)


def test_lot_midpoint_against_the_integral_of_the_handbooks():
    """Asher's approximation, Cost-Quantity Relationships in the Airframe Industry (RAND R-291,
    1956), from memory: K = (((l + .5)^(b+1) - (f - .5)^(b+1)) / ((b+1) q))^(1/b)."""
    for slope in (0.75, 0.8, 0.9):
        b = math.log2(slope)
        for first, last in ((5, 9), (20, 59), (101, 400)):
            count = last - first + 1
            area = (last + 0.5) ** (b + 1) - (first - 0.5) ** (b + 1)
            asher = (area / ((b + 1) * count)) ** (1 / b)
            assert lot_midpoint(b, first, last) == pytest.approx(asher, rel=2e-3)
    assert lot_midpoint(-0.3, 7, 7) == 7


@given(
    st.floats(0.55, 0.99),
    st.floats(1, 500),
    st.lists(st.integers(1, 30), min_size=4, max_size=10),
    st.floats(0, 60),
)
def test_exact_lots_give_the_curve_back(slope, first, counts, setup):
    lots, made = [], 0
    b = math.log2(slope)
    for count in counts:
        run = math.fsum(n**b for n in range(made + 1, made + count + 1))
        lots.append(Lot(count, first * run + setup))
        made += count
    curve = fit(lots, setup)
    assert curve.slope == pytest.approx(slope, abs=1e-6)
    assert curve.first == pytest.approx(first, rel=1e-5)
    assert curve.spread == pytest.approx(0, abs=1e-5)
    assert (curve.lots, curve.pieces) == (len(counts), sum(counts))
    assert curve.run(1, sum(counts)) == pytest.approx(sum(lot.minutes - setup for lot in lots))
