"""QR codes on printed labels: ISO/IEC 18004, through a decoder of another make.

The codes are written by segno and read by ZXing's C++ decoder from the page as PDFium draws it, so
that a wrong symbol, a missing quiet zone or a clash with other ink shows.
"""

from datetime import date

import pypdfium2
import pytest
import zxingcpp

from buildbook.handover.labels import Label, Site
from buildbook.handover.stock import STOCKS, Stock
from buildbook.handover.typeset import code_side, label_sheets, module_size

DPI = 300
SITES = {
    "files": Site("https://example.org/plovers-rest/", folders=False),
    "folders": Site("https://books.example.org:8443/a/rather/long/way/to/the/book", folders=True),
}


def labels(site: Site, count: int) -> list[Label]:
    marks = [f"ST-014-L-{n:02}" for n in range(1, count)] + ["ST-014-L-x y/ø"]
    return [
        Label(
            mark,
            "Nose rib",
            "left-hand part",
            ("PORT", "STARBOARD")[n % 2],
            (f"position {n}", "bin B4"),
            site.piece("ST-014-L", mark),
        )
        for n, mark in enumerate(marks)
    ]


def decoded(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for page in document:
        picture = page.render(scale=DPI / 72, grayscale=True).to_numpy()
        codes = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
        found += [code.text for code in codes if code.valid]
    document.close()
    return found


@pytest.mark.parametrize("site", SITES.values(), ids=SITES)
@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_every_code_of_a_sheet_reads_as_its_address(stock: Stock, site: Site) -> None:
    made = labels(site, stock.per_sheet)
    pdf = label_sheets(made, stock, title="Labels", on=date(2031, 3, 8))
    assert sorted(decoded(pdf)) == sorted(label.address for label in made)


def test_quiet_zone_of_four_modules() -> None:
    """ISO/IEC 18004: at least 4 modules on all sides; version 3 has 29 modules - from memory."""
    stock, address = STOCKS["plain"], "https://example.org/parts/A.html#A-01"
    pdf = label_sheets(
        [Label("A-01", "x", "", "PORT", (), address)], stock, title="L", on=date(2031, 3, 8)
    )
    document = pypdfium2.PdfDocument(pdf)
    picture = document[0].render(scale=1200 / 72, grayscale=True).to_numpy()
    document.close()
    [code] = zxingcpp.read_barcodes(picture)
    corners = code.position
    width = (corners.top_right.x - corners.top_left.x) / 1200 * 25.4
    module = module_size(address, stock)
    assert code_side(stock) / module == pytest.approx(29 + 2 * 4)
    assert width == pytest.approx(29 * module, rel=0.02)
    per_module = module / 25.4 * 1200
    x0, y0 = corners.top_left.x, corners.top_left.y
    x1, y1 = corners.bottom_right.x, corners.bottom_right.y
    quiet = int(3.8 * per_module)
    for strip in (
        picture[y0 - quiet : y0 - 8, x0:x1],
        picture[y1 + 8 : y1 + quiet, x0:x1],
        picture[y0:y1, x0 - quiet : x0 - 8],
        picture[y0:y1, x1 + 8 : x1 + quiet],
    ):
        assert strip.size
        assert strip.min() > 250
