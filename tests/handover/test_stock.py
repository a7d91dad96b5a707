"""The geometry of label sheets.

The sizes are common practice. Sheet sizes: ISO 216 (A4, 210 x 297 mm) and ANSI/ASME Y14.1 (A,
8.5 x 11 in) - from memory. The margins and gap of 3 x 7 on A4 (15.15, 7.2 and 2.5 mm) and of 3 x 10
on Letter (0.5, 0.1875 and 0.125 in) were seen in published layouts of such sheets.
"""

import pytest

from buildbook.handover.stock import STOCKS, Stock

ROUNDING = 0.02
stocks = pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)


@stocks
def test_margins_and_labels_make_up_the_sheet(stock: Stock) -> None:
    for sheet, count, label, margin, pitch in zip(
        stock.sheet,
        (stock.columns, stock.rows),
        stock.label,
        stock.margin,
        stock.pitch,
        strict=True,
    ):
        assert margin + (count - 1) * pitch + label + margin == pytest.approx(sheet, abs=ROUNDING)


@stocks
def test_labels_do_not_overlap(stock: Stock) -> None:
    assert stock.pitch[0] >= stock.label[0]
    assert stock.pitch[1] >= stock.label[1]


def test_sheets_are_a4_and_letter() -> None:
    sizes = {"A4": (210, 297), "Letter": (215.9, 279.4)}
    for stock in STOCKS.values():
        assert stock.sheet == pytest.approx(sizes[stock.paper])


def test_published_layouts() -> None:
    a4, letter = STOCKS["a4-3x7"], STOCKS["letter-3x10"]
    assert a4.margin == pytest.approx((7.2, 15.15), abs=0.05)
    assert a4.pitch[0] - a4.label[0] == pytest.approx(2.5, abs=0.05)
    assert letter.margin == pytest.approx((0.1875 * 25.4, 0.5 * 25.4))
    assert letter.pitch[0] - letter.label[0] == pytest.approx(0.125 * 25.4)


@stocks
def test_what_is_printed_keeps_clear_of_the_edge_of_the_sheet(stock: Stock) -> None:
    for margin, inset in zip(stock.margin, stock.inset, strict=True):
        assert margin + inset >= 5
        assert inset >= 1.5


def test_labels_go_across_then_down_and_on_to_the_next_sheet() -> None:
    stock = STOCKS["letter-2x5"]
    places = list(stock.places(4, start=8))
    left, right = stock.margin[0], stock.margin[0] + stock.pitch[0]
    bottom = stock.margin[1] + 4 * stock.pitch[1]
    assert places == [
        (0, right, stock.margin[1] + 3 * stock.pitch[1]),
        (0, left, bottom),
        (0, right, bottom),
        (1, left, stock.margin[1]),
    ]


@pytest.mark.parametrize("start", [0, -1, 11])
def test_a_start_that_the_sheet_has_not(start: int) -> None:
    with pytest.raises(ValueError, match="labels 1 to 10"):
        list(STOCKS["letter-2x5"].places(1, start=start))


@stocks
def test_cutting_marks_stand_outside_the_labels_and_on_the_sheet(stock: Stock) -> None:
    marks = stock.marks()
    assert bool(marks) == stock.cut
    if not stock.cut:
        return
    assert len(marks) == 2 * (stock.columns + 1) + 2 * (stock.rows + 1)
    (left, top), (width, height) = stock.margin, stock.sheet
    for x0, y0, x1, y1 in marks:
        assert x0 == x1 or y0 == y1
        for x, y in ((x0, y0), (x1, y1)):
            assert 5 <= x <= width - 5
            assert 5 <= y <= height - 5
            inside = left <= x <= width - left and top <= y <= height - top
            assert not inside
