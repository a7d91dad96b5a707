"""Bolt torques against AC 43.13-1B (9/8/98), Table 7-1, in inch-pounds.

Read in three re-hosted copies of the circular. The AN numbers: AN3 to AN8 and AN10 in suppliers'
guides; AN9, AN12 and AN14 from memory.
"""

import pytest

from buildbook.reference.answers import RefusedError
from buildbook.reference.sizes import measured
from buildbook.reference.torque import ROWS, Nut, fact, find, most, nut_kind, torque

# Thread, tension nut, shear nut, and the most with each.
TABLE_7_1 = """
8-36      12-15      7-9        20     12
10-32     20-25      12-15      40     25
1/4-28    50-70      30-40      100    60
5/16-24   100-140    60-85      225    140
3/8-24    160-190    95-110     390    240
7/16-20   450-500    270-300    840    500
1/2-20    480-690    290-410    1100   660
9/16-18   800-1000   480-600    1600   960
5/8-18    1100-1300  600-780    2400   1400
3/4-16    2300-2500  1300-1500  5000   3000
7/8-14    2500-3000  1500-1800  7000   4200
1-14      3700-5500  2200-3300  10000  6000
1-1/8-12  5000-7000  3000-4200  15000  9000
1-1/4-12  9000-11000 5400-6600  25000  15000
8-32      12-15      7-9        20     12
10-24     20-25      12-15      35     21
1/4-20    40-50      25-30      75     45
5/16-18   80-90      48-55      160    100
3/8-16    160-185    95-100     275    170
7/16-14   235-255    140-155    475    280
1/2-13    400-480    240-290    880    520
9/16-12   500-700    300-420    1100   650
5/8-11    700-900    420-540    1500   900
3/4-10    1150-1600  700-950    2500   1500
7/8-9     2200-3000  1300-1800  4600   2700
"""
HANDBOOK = [line.split() for line in TABLE_7_1.split("\n") if line]


@pytest.mark.parametrize("row", HANDBOOK, ids=lambda row: row[0])
def test_every_row(row):
    thread, tension, shear, most_tension, most_shear = row
    found = find(thread)
    for nut, written, largest in (
        (Nut.TENSION, tension, most_tension),
        (Nut.SHEAR, shear, most_shear),
    ):
        said = fact(found, nut)
        assert f"{said.low.value:g}-{said.high.value:g}" == written
        assert most(found, nut).high.value == int(largest)
        assert said.low.unit == "force_pound*inch"


def test_no_row_is_ours_alone():
    assert [row.thread for row in ROWS] == [row[0] for row in HANDBOOK]


BOLTS = {
    "AN3": "10-32",
    "AN4": "1/4-28",
    "an5-12A": "5/16-24",
    "AN 6": "3/8-24",
    "AN7": "7/16-20",
    "AN8H-20A": "1/2-20",
    "AN10": "5/8-18",
}


@pytest.mark.parametrize(("bolt", "thread"), BOLTS.items())
def test_bolts_by_number(bolt, thread):
    """Suppliers' guides: `AN4-15A` is a 1/4-28 bolt, `AN6-20` a 3/8-24 bolt."""
    row = find(bolt)
    assert row.thread == thread
    assert row.bolt_source.verified


@pytest.mark.parametrize(
    ("bolt", "thread"), [("AN9", "9/16-18"), ("AN12", "3/4-16"), ("AN14", "7/8-14")]
)
def test_bolts_from_memory_are_marked(bolt, thread):
    row = find(bolt)
    assert row.thread == thread
    assert not row.bolt_source.verified


# NIST SP 811: 1 in-lb = 0.1129848 N·m, rounded to two decimals.
@pytest.mark.parametrize(
    ("bolt", "newton_metres"),
    [("AN3", "2.26 to 2.82 N·m"), ("AN4", "5.65 to 7.91 N·m"), ("AN6", "18.08 to 21.47 N·m")],
)
def test_in_newton_metres(bolt, newton_metres):
    shown = fact(find(bolt), Nut.TENSION).shown()
    assert shown.endswith(f"({newton_metres})")


def test_drag_is_added_on_top():
    """Paragraph 7-40 d and f: the drag torque is added, to the largest torque as well."""
    drag = measured("8 in-lb", "torque")
    said = fact(find("AN4"), Nut.TENSION, drag)
    assert (said.low.value, said.high.value) == (58, 78)
    assert most(find("AN4"), Nut.TENSION, drag).high.value == 108
    metric = measured("1 N·m", "torque")
    assert fact(find("AN4"), Nut.TENSION, metric).low.value == pytest.approx(50 + 1 / 0.1129848)


@pytest.mark.parametrize("drag", ["-1 in-lb", "101 in-lb"])
def test_drag_that_cannot_be(drag):
    with pytest.raises(RefusedError, match="drag"):
        torque("AN4", Nut.TENSION, measured(drag, "torque"))


NUTS = {
    Nut.TENSION: ("tension", "MS20365-428A", "AN310", "AN365-1032"),
    Nut.SHEAR: ("Shear", "an364", "MS20364", "AN320-4"),
}


@pytest.mark.parametrize(("nut", "word"), [(nut, w) for nut, words in NUTS.items() for w in words])
def test_nuts_by_number(nut, word):
    assert nut_kind(word) is nut


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ("AN11", "no row for AN11"),
        ("AN4DD-5", "of aluminium"),
        ("AN4C5", "no row"),
        ("AN4C-5", "corrosion-resistant"),
        ("1/4", "leaves the thread open"),
        ("M6", "metric"),
        ("1/4-27", "no row for 1/4-27"),
        ("", "no row"),
        ("MS20470AD4-4", "no row"),
    ],
)
def test_what_the_table_does_not_have(size, said):
    with pytest.raises(RefusedError, match=said):
        find(size)
