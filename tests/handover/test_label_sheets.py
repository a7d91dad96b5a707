"""Labels set on sheets: what stands on them, read back from the PDF by PDFium."""

from collections.abc import Iterator
from datetime import date
from itertools import pairwise

import pypdfium2
import pytest

from buildbook.handover.labels import Label, Site
from buildbook.handover.stock import STOCKS
from buildbook.handover.typeset import label_sheets

DAY = date(2031, 3, 8)
PLAIN = Label("FN-01-01", "Rear spar", "", "", (), "")
FULL = Label("ST-014-L-03", "Nose rib", "left-hand part", "STARBOARD", ("position 3", "bin B4"), "")


def pdf_of(labels: list[Label], stock: str = "plain", start: int = 1) -> bytes:
    return label_sheets(labels, STOCKS[stock], start=start, title="Labels", on=DAY)


def texts(pdf: bytes) -> list[str]:
    """Give the text of each page, lines joined; PDFium marks a hyphen that ends a line with U+2."""
    document = pypdfium2.PdfDocument(pdf)
    found = [page.get_textpage().get_text_bounded().replace("\2", "-") for page in document]
    document.close()
    return [" ".join(text.split()) for text in found]


def rectangles(pdf: bytes) -> Iterator[tuple[float, float, float, float]]:
    """Yield left, bottom, right, top of every piece of text, in millimetres."""
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        text = page.get_textpage()
        for i in range(text.count_rects()):
            yield tuple(n / 72 * 25.4 for n in text.get_rect(i))  # type: ignore[misc]
    document.close()


def test_a_label_says_everything_in_words() -> None:
    [said] = texts(pdf_of([FULL]))
    for words in ("ST-014-L-03", "Nose rib", "left-hand part", "STARBOARD", "position 3", "bin B4"):
        assert words in said


@pytest.mark.parametrize("stock", STOCKS)
def test_every_label_is_on_every_stock(stock: str) -> None:
    labels = [
        Label(f"ST-014-L-{n:02}", "Nose rib", "left-hand part", "PORT", (f"position {n}",), "")
        for n in range(1, 71)
    ]
    pages = texts(pdf_of(labels, stock))
    assert len(pages) == -(-70 // STOCKS[stock].per_sheet)
    said = " ".join(pages)
    assert said.count("PORT") == 70
    for label in labels:
        assert said.count(label.label) == 1
        assert label.facts[0] in said


@pytest.mark.parametrize("stock", STOCKS)
def test_the_page_has_the_size_of_the_sheet(stock: str) -> None:
    document = pypdfium2.PdfDocument(pdf_of([FULL], stock))
    size = tuple(n / 72 * 25.4 for n in document[0].get_size())
    document.close()
    assert size == pytest.approx(STOCKS[stock].sheet, abs=0.01)


@pytest.mark.parametrize("name", STOCKS)
def test_what_is_printed_stays_inside_its_label(name: str) -> None:
    stock = STOCKS[name]
    long = Label(
        "A" * 60, "word " * 60, "left-hand part", "STARBOARD", ("position " + "9" * 200,), ""
    )
    top = stock.sheet[1] - stock.margin[1]
    for left, bottom, right, upper in rectangles(pdf_of([long], name)):
        assert stock.margin[0] <= left < right <= stock.margin[0] + stock.label[0]
        assert top - stock.label[1] <= bottom < upper <= top


def test_a_long_name_is_cut_and_the_label_is_not() -> None:
    label = Label("EXTRAORDINARILY-LONG-NUMBER-0123456789-01", "name " * 60, "", "PORT", (), "")
    [said] = texts(pdf_of([label], "a4-5x13"))
    assert label.label in said.replace(" ", "")
    assert "…" in said
    assert "PORT" in said


def test_port_is_solid_and_starboard_an_outline() -> None:
    def beside(side: str) -> int:
        """Give the brightness just left of the word."""
        document = pypdfium2.PdfDocument(pdf_of([Label("A-1", "x", "", side, (), "")], "a4-3x8"))
        page = document[0]
        text = page.get_textpage()
        text.count_rects(*text.search(side).get_next())
        left, bottom, _, top = text.get_rect(0)
        picture = page.render(scale=10, grayscale=True).to_numpy()
        middle = page.get_height() - (bottom + top) / 2
        document.close()
        return int(picture[int(middle * 10), int(left * 10) - 10])

    assert beside("PORT") < 20
    assert beside("STARBOARD") > 235


def test_a_part_used_sheet() -> None:
    stock = STOCKS["a4-3x8"]
    first = min(left for left, *_ in rectangles(pdf_of([PLAIN], stock.name, start=3)))
    assert first >= 2 * stock.pitch[0]
    two = pdf_of([PLAIN, FULL], stock.name, start=24)
    assert [("FN-01-01" in t, "ST-014-L-03" in t) for t in texts(two)] == [
        (True, False),
        (False, True),
    ]


@pytest.mark.parametrize(
    "words",
    [
        "#panic()",
        "*bold* _emph_ `raw` $x$ @ref <label> = heading",
        '"); #read("/etc/passwd") //',
        "\\u{41} \\ #sys.inputs",
        "]]}} [[{{ ///* */",
        "'single' \"double\" -- --- ... ~",
        "Ωmega Łódź Ærø Ñandú ß",
        "Шпангоут",
    ],
)
def test_nothing_in_a_record_is_markup(words: str) -> None:
    label = Label("X-1", words, "", "", (words,), "")
    [said] = texts(pdf_of([label], "letter-2x5"))
    assert said.count(" ".join(words.split())) == 2


def test_the_same_labels_give_the_same_bytes() -> None:
    labels = [Label("A-1", "x", "", "PORT", (), "https://example.org/parts/A.html#A-1"), FULL]
    first = pdf_of(labels)
    assert first == pdf_of(labels)
    assert b"D:20310308" in first


def test_two_thousand_pieces_in_one_file() -> None:
    site = Site("https://example.org/book/", folders=False)
    labels = [
        Label(f"W-{n:04}", "Rib", "", "PORT", (), site.piece("W", f"W-{n:04}") if n % 10 else "")
        for n in range(2000)
    ]
    pages = texts(pdf_of(labels, "a4-5x13"))
    assert len(pages) == 31
    said = " ".join(pages).split()
    assert [w for w in said if w.startswith("W-")] == [label.label for label in labels]


@pytest.mark.parametrize(
    ("address", "folders", "expected"),
    [
        ("https://example.org/book/", False, "https://example.org/book/parts/A.1.html#A.1-01"),
        ("https://example.org/book", True, "https://example.org/book/parts/A.1/#A.1-01"),
        ("http://example.org", True, "http://example.org/parts/A.1/#A.1-01"),
        ("https://example.org/b/index.html", False, "https://example.org/b/parts/A.1.html#A.1-01"),
    ],
)
def test_addresses(address: str, folders: bool, expected: str) -> None:
    assert Site(address, folders).piece("A.1", "A.1-01") == expected


def test_odd_letters_of_a_label_are_escaped_in_its_address() -> None:
    address = Site("https://example.org", folders=False).piece("A", "A-x y/ø#?%")
    assert address == "https://example.org/parts/A.html#A-x_y%2F%C3%B8%23%3F%25"


def test_sheets_follow_each_other() -> None:
    labels = [Label(f"P-{n:03}", "x", "", "", (), "") for n in range(50)]
    pages = [[w for w in t.split() if w.startswith("P-")] for t in texts(pdf_of(labels))]
    assert [len(p) for p in pages] == [24, 24, 2]
    assert all(a < b for a, b in pairwise(w for p in pages for w in p))
