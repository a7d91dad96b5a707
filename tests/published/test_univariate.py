"""Mean and standard deviation, against the data sets that NIST certifies."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from nist_univariate import SETS

from buildbook.records.quantities import parse_quantity
from buildbook.reference.answers import RefusedError
from buildbook.reference.statistics import summarise, summarise_quantities


@pytest.mark.parametrize("certified", SETS, ids=lambda c: c[0])
def test_certified_values(certified):
    _, data, n, mean, deviation, accuracy = certified
    sample = summarise(data)
    assert sample.n == n
    assert (sample.smallest, sample.largest) == (min(data), max(data))
    assert sample.mean == pytest.approx(mean, rel=1e-14)
    assert sample.deviation == pytest.approx(deviation, rel=accuracy, abs=0)


def test_the_formula_of_pocket_calculators_would_not_do():
    """What the sets are for: squares summed first lose every digit of the deviation."""
    _, data, n, _, deviation, _ = SETS[-1]
    squares, total = sum(x * x for x in data), sum(data)
    naive = abs((squares - total * total / n) / (n - 1)) ** 0.5
    assert not math.isclose(naive, deviation, rel_tol=1e-3)


@given(st.lists(st.integers(-(10**9), 10**9).map(lambda n: n / 1000), min_size=2, max_size=40))
def test_numpy_says_the_same(values):
    np = pytest.importorskip("numpy")
    sample = summarise(values)
    scale = max(map(abs, values))
    assert sample.mean == pytest.approx(np.mean(values), rel=1e-9, abs=1e-12 * scale)
    assert sample.deviation == pytest.approx(np.std(values, ddof=1), rel=1e-6, abs=1e-9 * scale)


def test_one_value_has_no_spread():
    assert summarise([0.19]).deviation is None


@pytest.mark.parametrize("values", [[], [math.nan], [1.0, math.inf]])
def test_what_cannot_be_summarised(values):
    with pytest.raises(RefusedError):
        summarise(values)


def test_values_in_two_units_are_summarised_in_the_first():
    sample, unit = summarise_quantities([parse_quantity("0.5 in"), parse_quantity("25.4 mm")])
    assert (sample.mean, unit) == (pytest.approx(0.75), "inch")
    with pytest.raises(RefusedError, match="torque"):
        summarise_quantities([parse_quantity("0.5 in"), parse_quantity("3 in-lb")])
