"""What came short, and where the site says so."""

import pytest
from sites import BASE, SmallSite

from buildbook.ledger.shortage import shortage, shortages
from buildbook.records.part import Part


def part(quantity: int, received: int | None, damaged: int = 0) -> Part:
    said = {"quantity": str(quantity), "received": received, "damaged": damaged}
    return Part.model_validate({"part": "A-1", "name": "Rib", **said})


@pytest.mark.parametrize(
    ("quantity", "received", "damaged", "short"),
    [
        (6, 6, 0, 0),
        (6, 5, 0, 1),
        (6, 6, 2, 2),
        (6, 0, 0, 6),
        (6, 9, 3, 0),
        (6, 9, 4, 1),
        (6, 2, 3, 6),
        (0, 0, 0, 0),
        (6, None, 0, 0),
    ],
)
def test_short_is_needed_less_sound(
    quantity: int, received: int | None, damaged: int, short: int
) -> None:
    found = shortage(part(quantity, received, damaged))
    assert (found.short if found else 0) == short


def test_only_parts_that_came_short_are_listed() -> None:
    assert [s.short for s in shortages([part(1, 1), part(3, 1), part(2, None)])] == [2]


def test_the_page_of_parts_lists_them(small_site: SmallSite) -> None:
    parts = (
        "- part: FN-01\n  name: Rear spar\n  received: 1\n"
        "- part: FN-02-L\n  name: Nose rib\n  quantity: 4\n  received: 4\n  damaged: 1\n"
    )
    site = small_site({**BASE, "parts.yml": parts})
    [table] = [
        t
        for t in site.page("parts").all("table")
        if t.one("caption").text.startswith("Parts of which fewer")
    ]
    rows = [[cell.text for cell in row if cell.tag in ("th", "td")] for row in table.all("tr")]
    assert rows == [
        ["Part", "Name", "Needed", "Received", "Damaged", "Short"],
        ["FN-02-L", "Nose rib", "4", "4", "1", "1"],
    ]
    assert "4, 1 damaged, 1 short" in site.page("parts/FN-02-L").one("dl", class_="bb-facts").text


def test_no_table_where_nothing_is_short(small_site: SmallSite) -> None:
    site = small_site(BASE)
    assert not site.page("parts").all("h2", id="short")
