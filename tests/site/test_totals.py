"""Totals as a reader adds them up: from the published tables, not from the code that made them."""

import re

import pytest
from parsed import Element, article
from sites import Site

DURATION = re.compile(r"(?:([\d,]+) h)?(?: ?(\d+) min| (\d\d))?")


def minutes(words: str) -> int:
    """Read `2 h 30`, `45 min`, `3 h`; nothing is nothing."""
    if not words:
        return 0
    found = DURATION.fullmatch(words)
    assert found, words
    hours, short, rest = (int((n or "0").replace(",", "")) for n in found.groups())
    return hours * 60 + short + rest


def summed(page: Element) -> list[Element]:
    """Find the tables that have a line of totals."""
    return [t for t in page.all("table", "bb-hours") if t.all("tfoot")]


def columns(table: Element) -> list[str]:
    return [th.text for th in table.one("thead").all("th")]


def rows(table: Element, part: str) -> list[list[str]]:
    return [
        [cell.text for cell in tr if cell.tag in ("td", "th")] for tr in table.one(part).all("tr")
    ]


@pytest.mark.parametrize(
    ("words", "expected"), [("2 h 30", 150), ("45 min", 45), ("3 h", 180), ("1,234 h 05", 74045)]
)
def test_reading_durations(words: str, expected: int) -> None:
    assert minutes(words) == expected


def test_every_total_is_the_sum_of_its_rows(demo_site: Site) -> None:
    count = 0
    for path, page in demo_site.pages():
        for table in summed(page):
            heads, body, (total,) = columns(table), rows(table, "tbody"), rows(table, "tfoot")
            for at, head in enumerate(heads):
                if head in ("Clock hours", "Person-hours", "Estimate"):
                    parts = sum(minutes(row[at]) for row in body)
                    assert minutes(total[at]) == parts, f"{path}: {table.one('caption').text}"
                    count += 1
    assert count > 20


def test_tables_of_one_thing_agree(demo_site: Site) -> None:
    """However the book's time is cut, it is the same time."""
    page = article(demo_site.page("hours"))
    clock, person = lead(page)
    tables = summed(page)
    assert len(tables) >= 6
    for table in tables:
        heads, (total,) = columns(table), rows(table, "tfoot")
        assert minutes(total[heads.index("Person-hours")]) == person, table.one("caption").text
        if heads[0] != "Person":  # there both columns count persons
            assert minutes(total[heads.index("Clock hours")]) == clock, table.one("caption").text


def lead(page: Element) -> tuple[int, int]:
    """Read the clock hours and person-hours that a page opens with."""
    for p in page.all("p", "bb-lead"):
        if found := re.search(r"([\d,]+ h(?: \d\d)?)(?: by the clock), ([\d,h ]+) person", p.text):
            return minutes(found[1]), minutes(found[2].strip())
    raise AssertionError("no totals")


def test_the_same_total_everywhere(demo_site: Site) -> None:
    totals = {path: lead(article(demo_site.page(path))) for path in ("index", "hours", "sessions")}
    assert len(set(totals.values())) == 1, totals
    people = article(demo_site.page("people")).one("p", "bb-lead").text
    assert minutes(people.removesuffix(" person-hours together.")) == totals["hours"][1]


def test_sessions_add_up(demo_site: Site) -> None:
    """The list of sessions, month by month, against the book's clock hours."""
    page = article(demo_site.page("sessions"))
    lines = page.all("ul", "bb-sessions")
    months = page.all("p", "bb-meta")
    whole = 0
    for month, listed in zip(months, lines, strict=True):
        said = minutes(month.text.rpartition(", ")[2])
        each = [
            minutes(li.one("span", "bb-meta").text.partition(", ")[0]) for li in listed.all("li")
        ]
        assert said == sum(each)
        whole += said
    assert whole == lead(page)[0]


def test_sections_on_the_home_page_add_up(demo_site: Site) -> None:
    """Clock hours of all sections, and what no section has, are the book's."""
    home = article(demo_site.page("index"))
    hours = article(demo_site.page("hours"))
    table = next(t for t in home.all("table", "bb-progress"))
    at = columns(table).index("Clock hours")
    sections = {row[0]: minutes(row[at]) for row in rows(table, "tbody")}
    (by_section,) = [t for t in summed(hours) if columns(t)[0] == "Section"]
    at = columns(by_section).index("Clock hours")
    for row in rows(by_section, "tbody"):
        if row[0] in sections:
            assert sections[row[0]] == minutes(row[at])
