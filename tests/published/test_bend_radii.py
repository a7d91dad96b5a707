"""Bend radii against AC 43.13-1B (9/8/98), Table 4-6, in multiples of the thickness.

Read in a re-hosted copy. The lengths are computed. Setback: figure 4-3, K (R + t).
"""

import pytest

from buildbook.reference.answers import RefusedError
from buildbook.reference.bends import RADII, THICKNESSES, bend, radius
from buildbook.reference.sheetmetal import setback
from buildbook.reference.sizes import measured

TABLE_4_6 = """
         .016    .032     .064   .128
2024-T3  1.5-3   2-4      3-5    4-6
6061-T6  0-1     0.5-1.5  1-2    1.5-3
7075-T6  2-4     3-5      4-6    5-7
"""
HEAD, *LINES = [line.split() for line in TABLE_4_6.split("\n") if line]


def inches(text):
    return measured(text, "length", bare="in")


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[0])
def test_every_cell(line):
    for thickness, cell in zip(HEAD, line[1:], strict=True):
        length, multiples = radius(line[0], inches(thickness))
        low, high = (float(n) for n in cell.split("-"))
        assert multiples.words == f"{low:g} to {high:g}"
        assert length.low.value == pytest.approx(low * float(thickness))
        assert length.high.value == pytest.approx(high * float(thickness))


def test_no_cell_is_ours_alone():
    assert [t.name for t in THICKNESSES] == HEAD
    assert list(RADII) == [line[0] for line in LINES]


@pytest.mark.parametrize(
    ("thickness", "said"), [(".032", "0.064 to 0.128 in"), (".064", "0.192 to 0.320 in")]
)
def test_2024_t3_in_inches(thickness, said):
    assert bend("2024-T3", inches(thickness)).facts[0].shown().startswith(said)


@pytest.mark.parametrize("thickness", [".025", ".040", ".033", "0.8 mm", ".256", ".0325"])
def test_between_rows_nothing_is_guessed(thickness):
    with pytest.raises(RefusedError, match=r"no row for .*the table has .016 in, .032 in"):
        bend("2024-T3", inches(thickness))


def test_sheet_in_millimetres_may_be_rounded():
    assert radius("2024-T3", inches("0.81 mm")) == radius("2024-T3", inches(".032"))


@pytest.mark.parametrize("name", ["2024-T4", "6061", "5052-H32", ""])
def test_other_materials(name):
    with pytest.raises(RefusedError, match="no row"):
        bend(name, inches(".032"))


# Radius .25, thickness .064: printed in a study of the circular's figure, and computed.
@pytest.mark.parametrize(("angle", "length"), [(45, 0.130), (135, 0.758)])
def test_setback(angle, length):
    found = setback(inches(".25"), inches(".064"), angle).facts[0]
    assert found.low.value == pytest.approx(length, abs=5e-4)


def test_k_at_176_degrees_is_the_tangent():
    """A stored copy of the circular's chart prints 26.63; tan 88 degrees is 28.636."""
    assert setback(inches("0"), inches(".032"), 176).facts[1].words == "28.636"


@pytest.mark.parametrize("angle", [0, -45, 180, 270])
def test_angles_without_setback(angle):
    with pytest.raises(RefusedError, match="setback"):
        setback(inches(".25"), inches(".064"), angle)
