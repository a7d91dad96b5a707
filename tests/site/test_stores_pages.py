"""Lots, bare parts, notices and costs as a reader finds them."""

import json
from decimal import Decimal
from pathlib import Path

import pytest
from parsed import Element, article
from sites import BASE, BOOK, FOUR_LINES, ROOT, Site, SmallSite

from buildbook.records.read import read

SECRET = "4711.23"
LOTS = f"""\
- lot: primer-1
  title: Wash primer
  batch: HC-77
  expires: 2025-03-05
  cost: {SECRET} EUR
"""
TOOLS = f"- {{tool: calipers, title: Calipers, cost: {SECRET} EUR}}\n"
COSTS = f"- {{what: Fin kit, cost: {SECRET} EUR, date: 2025-01-02, kind: kit, section: fin}}\n"
USED = """\
date: 2025-03-09
step: fin/skeleton
hours: 1h
parts: FN-01, FN-02-L
pieces: {FN-02-L: 02, FN-01: all}
lots: primer-1
air: {temperature: 0 °C, humidity: 50 %, surface: 4 °C}
"""
FILES: dict[str, str | bytes] = {
    **BASE,
    "lots.yml": LOTS,
    "tools.yml": TOOLS,
    "costs.yml": COSTS,
    "sessions/1.yml": FOUR_LINES,
    "sessions/2.yml": USED,
}


def rows(table: Element, part: str = "tbody") -> list[list[str]]:
    return [[c.text for c in tr if c.tag in ("td", "th")] for tr in table.one(part).all("tr")]


def texts(site: Site) -> dict[str, str]:
    ends = (".html", ".json", ".js", ".xml")
    files = (f for f in site.folder.rglob("*") if f.suffix in ends and f.is_file())
    return {f.relative_to(site.folder).as_posix(): f.read_text(encoding="utf-8") for f in files}


# Costs.


@pytest.fixture(scope="module")
def silent(small_site: SmallSite) -> Site:
    return small_site(FILES)


def test_costs_are_kept_out_unless_the_book_says_so(silent: Site) -> None:
    assert not (silent.folder / "costs.html").exists()
    shown = SECRET.replace("4", "4,", 1)
    told = [name for name, text in texts(silent).items() if SECRET in text or shown in text]
    assert told == []
    links = article(silent.page("index")).links + silent.page("index").links
    assert not any("costs" in href for _, href in links)


def test_costs_are_shown_when_the_book_says_so(small_site: SmallSite) -> None:
    site = small_site({**FILES, "book.yml": f"{BOOK}show costs: yes\n"})
    assert "4,711.23 EUR" in article(site.page("lots/primer-1")).text
    page = article(site.page("costs"))
    assert "14,133.69 EUR in all" in page.text
    assert any(href.endswith("costs.html") for _, href in site.page("index").links)
    index = json.loads((site.folder / "search" / "search_index.json").read_text(encoding="utf-8"))
    assert not any("711.23" in entry["text"] + entry["title"] for entry in index["docs"])


def amount(cell: str) -> Decimal:
    number, currency = cell.split()
    assert currency == "EUR"
    return Decimal(number.replace(",", ""))


def test_every_total_of_the_demo_is_the_sum_of_its_rows(demo_site: Site) -> None:
    """From the published tables: the same sum by section, by kind, by month and by thing."""
    tables = article(demo_site.page("costs")).all("table", "bb-costs")
    assert len(tables) == 4
    totals = set()
    for table in tables:
        cells = [row[-1] for row in rows(table)]
        (total,) = rows(table, "tfoot")
        assert sum(map(amount, cells)) == amount(total[-1])
        totals.add(total[-1])
        if len(total) == 3:
            assert sum(int(row[1]) for row in rows(table)) == int(total[1])
    assert len(totals) == 1
    paid = [(row[4], row[5]) for row in rows(tables[3]) if row[4]]
    assert len(paid) > 2
    for foreign, own in paid:
        number, _, _, rate = foreign.split()
        exact = Decimal(number.replace(",", "")) * Decimal(rate)
        assert abs(amount(own) - exact) <= Decimal("0.005")


def test_everything_the_demo_paid_for_is_in_its_costs(demo_site: Site) -> None:
    book = read(ROOT / "content").book
    paid = [*book.costs, *(x for x in (*book.lots.values(), *book.tools.values()) if x.cost)]
    table = article(demo_site.page("costs")).all("table", "bb-costs")[3]
    assert len(rows(table)) == len(paid)


# Lots.


def test_a_lot_leads_to_everything_made_with_it(silent: Site) -> None:
    page = article(silent.page("lots/primer-1"))
    made, uses = page.all("table", "bb-rows")
    assert rows(made) == [["FN-01", "Rear spar", "01"], ["FN-02-L", "Nose rib", "02"]]
    assert [row[1] for row in rows(uses)] == ["9 March 2025"]
    assert rows(uses)[0][-1] == "4 days past its last day"
    assert "Past its last day by 4 days." in page.text


def test_an_assembly_lists_every_lot_inside(silent: Site) -> None:
    table = article(silent.page("sections/fin")).one("h2", id="lots")
    lots = next(t for t in article(silent.page("sections/fin")).all("table") if "HC-77" in t.text)
    assert table.text == "Lots inside"
    assert rows(lots)[0][-1] == "used 4 days past its last day"
    assert "Wash primer" in article(silent.page("parts/FN-02-L")).text
    assert "Wash primer" not in article(silent.page("operations")).text


def test_below_freezing_the_page_says_frost_point(silent: Site) -> None:
    """CHECKS by psychrolib: 0 °C and 50 % have a frost point of -8.16 °C."""
    page = article(silent.page("sessions/2025-03-09"))
    facts = [e.text for e in page.one("dl", "bb-facts")]
    assert facts[facts.index("Frost point") + 1] == "\N{MINUS SIGN}8.2 °C"
    assert facts[facts.index("Margin to the frost point") + 1] == "12.2 °C"


def test_the_lots_of_the_demo_are_those_in_its_records(demo_site: Site) -> None:
    book = read(ROOT / "content").book
    for name in book.lots:
        page = article(demo_site.page(f"lots/{name}"))
        linked = {href.rpartition("/")[2].removesuffix(".html") for _, href in page.links}
        for slug, session in book.sessions.items():
            works = (session, *session.work)
            if any(name in (*w.lots, *(n for m in w.mixed for n in m.lots)) for w in works):
                assert slug in linked, (name, slug)


# Notices, and what is due.


def test_open_notices_are_on_the_first_page(demo_site: Site) -> None:
    home = article(demo_site.page("index"))
    table = next(t for t in home.all("table") if t.one("caption").text.startswith("Notices"))
    assert [row[0] for row in rows(table)] == ["SB-4", "DC-5"]
    page = article(demo_site.page("notices"))
    assert [h.text for h in page.all("h2")] == [
        "To be decided or done",
        "Done, and coming again",
        "Done",
        "Not for this aircraft",
    ]
    assert len(page.all("h3")) == len(read(ROOT / "content").book.notices)


def test_what_notices_touch_says_so(demo_site: Site) -> None:
    for path, number in (
        ("sections/rudder", "SB-2"),
        ("parts/FN-012", "SB-2"),
        ("sections/aft-fuselage", "DC-5"),
        ("sections/aft-fuselage/close-top-skin", "DC-5"),
        ("sections/elevators", "SB-4"),
    ):
        page = article(demo_site.page(path))
        assert page.one("h2", id="notices").text == "Notices"
        assert number in [text for text, href in page.links if "notices.html#notice-" in href]


def test_a_book_without_notices_has_no_page_of_them(silent: Site) -> None:
    assert not (silent.folder / "notices.html").exists()
    assert "notices" not in article(silent.page("index")).text.lower()


def test_bare_parts_are_due_on_the_first_page_and_in_the_stores(demo_site: Site) -> None:
    home = article(demo_site.page("index"))
    table = next(t for t in home.all("table") if t.one("caption").text.startswith("Bare parts"))
    assert [row[0].split()[0] for row in rows(table)] == ["AF-017", "AF-018"]
    # 16 August and 90 days; the last session is of 15 November.
    assert [row[-1] for row in rows(table)] == ["14 November 2025 overdue"] * 2
    stores = article(demo_site.page("stores"))
    bare = next(t for t in stores.all("table") if t.one("caption").text.startswith("Parts stored"))
    by_part = {row[0].split()[0]: row for row in rows(bare)}
    # Unwrapped on 9 November 2024 and primed on the 27th.
    assert by_part["RD-005"][3] == "18 days; prime 27 November 2024"
    assert by_part["AF-020"][-1] == "13 February 2026"


def test_words_lead_to_lots_and_notices(small_site: SmallSite) -> None:
    notice = "- {notice: SB-1, title: Edges, issued: 2025-01-01, applies: yes, parts: FN-01}\n"
    note = "# Notes\n\nSee [the tin](lot:primer-1) and [the bulletin](notice:SB-1).\n"
    site = small_site({**FILES, "notices.yml": notice, "notes.md": note})
    links = dict(article(site.page("notes")).links)
    assert links["the tin"] == "lots/primer-1.html"
    assert links["the bulletin"] == "notices.html#notice-SB-1"
    assert site.page("notices").one("h3", id="notice-SB-1")
    assert all("lot-expired" in said for said in site.log)


def test_a_picture_of_a_label_is_shown(small_site: SmallSite, tmp_path: Path) -> None:
    picture = ROOT / "content" / "photos" / "2024" / "10" / "fin-parts-primed.jpg"
    files = {
        **FILES,
        "lots.yml": LOTS + "  photo: label.jpg\n",
        "photos/label.jpg": picture.read_bytes(),
    }
    site = small_site(files, folder=tmp_path)
    (figure,) = article(site.page("lots/primer-1")).all("figure")
    assert figure.one("img").attributes["alt"] == "Label or certificate: Wash primer"
