"""The straight line under the learning curve, against certified values and another library.

`norris.dat` is the data set Norris of NIST's Statistical Reference Datasets (lower level of
difficulty), as the scipy 1.17.1 package carries it; its certified values stand in its head.
"""

import math
import re
from pathlib import Path

import pytest

from buildbook.reference.learning import Lot, fit, lot_midpoint, straight_line

NORRIS = Path(__file__).with_name("norris.dat").read_text(encoding="ascii").splitlines()
HEAD, DATA = "\n".join(NORRIS[:60]), [tuple(map(float, ln.split())) for ln in NORRIS[60:96]]


def certified(name):
    return float(re.search(rf"{name}\s+(-?[\d.]+(?:E[+-]\d+)?)", HEAD)[1])


def test_norris():
    assert len(DATA) == 36
    line = straight_line([x for _, x in DATA], [y for y, _ in DATA])
    assert line.slope == pytest.approx(certified("B1"), rel=1e-12)
    assert line.intercept == pytest.approx(certified("B0"), rel=1e-11)
    assert line.spread == pytest.approx(certified("Standard Deviation"), rel=1e-11)
    assert certified("B1") == 1.00211681802045, "the file is read as it was certified"


def test_points_left_out_one_by_one_with_numpy():
    np = pytest.importorskip("numpy")
    y, x = map(np.array, zip(*DATA, strict=True))
    missed = flat = 0.0
    for n in range(len(x)):
        others = np.arange(len(x)) != n
        slope, intercept = np.polyfit(x[others], y[others], 1)
        missed += (y[n] - slope * x[n] - intercept) ** 2
        flat += (y[n] - y[others].mean()) ** 2
    line = straight_line(list(x), list(y))
    assert line.predicted == pytest.approx(missed, rel=1e-9)
    assert line.predicted_flat == pytest.approx(flat, rel=1e-9)


def test_single_pieces_are_a_line_through_logarithms():
    np = pytest.importorskip("numpy")
    minutes = [52, 47, 38, 41, 33, 36, 30, 31]
    n = np.arange(1, len(minutes) + 1)
    slope, intercept = np.polyfit(np.log(n), np.log(minutes), 1)
    curve = fit([Lot(1, m) for m in minutes])
    assert math.log2(curve.slope) == pytest.approx(slope, rel=1e-9)
    assert math.log(curve.first) == pytest.approx(intercept, rel=1e-9)


def test_the_midpoints_and_the_slope_agree():
    """At rest, a line by numpy through the midpoints of the found slope gives that slope back."""
    np = pytest.importorskip("numpy")
    lots = [Lot(3, 140), Lot(5, 160), Lot(4, 150), Lot(8, 190), Lot(10, 260)]
    curve = fit(lots)
    b, made, x, y = math.log2(curve.slope), 0, [], []
    for lot in lots:
        x.append(math.log(lot_midpoint(b, made + 1, made + lot.pieces)))
        y.append(math.log(lot.minutes / lot.pieces))
        made += lot.pieces
    assert np.polyfit(x, y, 1)[0] == pytest.approx(b, abs=1e-9)


def test_what_no_line_goes_through():
    with pytest.raises(ValueError, match="through 2 points"):
        straight_line([1, 2], [1, 2])
    with pytest.raises(ValueError, match="two different places"):
        straight_line([1, 1, 1], [1, 2, 3])
