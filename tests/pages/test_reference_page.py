"""The page Reference says what the look-ups say; hazards are shown with their operations."""

import re

import pytest
from parsed import article
from sites import BASE, OPERATIONS, Site, SmallSite

from buildbook.pages.reference import reference_page
from buildbook.pages.referencetables import torque_tables
from buildbook.reference.answers import STANDING, UNVERIFIED
from buildbook.reference.bends import RADII
from buildbook.reference.hazards import FIRST, HAZARDS
from buildbook.reference.rules import RULES
from buildbook.reference.torque import ROWS

SESSION = """\
date: 2025-03-08
work:
  - {step: fin/skeleton, operation: drill, hours: 2h}
  - {step: fin/skeleton, operation: deburr, hours: 1h}
"""
HAZARDOUS = OPERATIONS.replace(
    "  title: Drill\n",
    "  title: Drill\n  hazards: Rotating-Tools, eyes and hearing\n  cautions: Clamp it.\n",
).replace("  title: Deburr\n", "  title: Deburr\n  hazards: [aluminium dust, eyes and hearing]\n")


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    files = {**BASE, "operations.yml": HAZARDOUS, "sessions/2025-03-08.yml": SESSION}
    return small_site(files)


@pytest.fixture(scope="module")
def page(site):
    return article(site.page("reference"))


def cells(page, caption):
    table = next(t for t in page.all("table") if t.one("caption").text == caption)
    body = table.one("tbody")
    return [[c.text.strip() for c in (*row.all("th"), *row.all("td"))] for row in body.all("tr")]


def test_the_site_has_no_problems(site):
    assert site.log == ()


def test_the_plans_come_first(page):
    assert STANDING in [p.text for p in page.all("p")]
    assert FIRST in [p.text for p in page.all("p")]


def test_torque_in_both_systems(page):
    rows = {row[0]: row for row in cells(page, "Fine threads, tension nuts")}
    assert rows["1/4-28"] == ["1/4-28", "AN4", "50 to 70", "5.65 to 7.91", "100", "11.30"]
    shown = [len(cells(page, t.caption)) for t in torque_tables()]
    assert sum(shown) == 2 * len(ROWS)


def test_bends(page):
    rows = cells(page, "Inside radius of a 90 degree bend")
    assert ["2024-T3", "0.032", "2 to 4", "0.064 to 0.128", "1.63 to 3.25"] in rows
    assert len(rows) == 4 * len(RADII)


def test_dew_points(page):
    celsius = {row[0]: row for row in cells(page, "Dew point by relative humidity, Celsius")}
    assert celsius["25 °C"][4] == "16.7"
    assert celsius["0 °C"][3] == "-8.2 frost"
    assert celsius["5 °C"][5] == "0.0 frost"
    fahrenheit = {row[0]: row for row in cells(page, "Dew point by relative humidity, Fahrenheit")}
    assert fahrenheit["77 °F"][4] == "62.1"


def test_rules_with_what_they_give(page):
    rows = {row[0]: row for row in cells(page, "Rules")}
    assert list(rows) == list(RULES)
    assert rows["torque"][3] == "50 to 70 in-lb (5.65 to 7.91 N·m)"


def test_what_is_from_memory_is_shown_as_unverified(page):
    drills = cells(page, "Drills and holes for rivets")
    assert ["unverified" in row[1] for row in drills] == [True, False, True]
    assert ["unverified" in row[2] for row in drills] == [True, False, True]
    bolts = cells(page, "Bolts, at least: in (mm)")
    assert all("unverified" in cell for row in bolts for cell in row[1:])
    codes = {row[0]: row[1] for row in cells(page, "Shelf-life codes")}
    assert codes["H"] == "12"
    assert codes["K"] == "18 unverified"
    assert "unverified" not in " ".join(map(" ".join, cells(page, "Driven heads, by each rule")))


def test_every_source_is_named_with_how_sure_it_is(page):
    lines = [p.text for p in page.all("p", "bb-meta")]
    assert len(lines) == 9 + len(HAZARDS)
    for line in lines:
        assert line.startswith("Sources: ")
        assert re.search(r"\((seen|computed|from memory, unverified)", line)
    assert any(UNVERIFIED in line for line in lines)


def test_all_hazards_have_a_place(page):
    anchors = [h.attributes["id"] for h in page.all("h3")]
    assert anchors == [hazard.anchor for hazard in HAZARDS.values()]


def test_an_operation_shows_its_hazards(site):
    box = article(site.page("operations/drill")).one("section", "bb-cautions")
    items = [li.text for li in box.all("li")]
    assert items[0] == "Clamp it."
    for item, name in zip(items[1:], ("rotating tools", "eyes and hearing"), strict=True):
        hazard = HAZARDS[name]
        assert item == f"{hazard.title}: {' '.join(hazard.sentences)}"
    links = [a.attributes["href"] for a in box.all("a")]
    assert "../reference.html#hazard-rotating-tools" in links


def test_a_step_shows_those_of_all_its_operations_once(site):
    box = article(site.page("sections/fin/skeleton")).one("section", "bb-cautions")
    assert [a.text for a in box.all("a")] == [
        HAZARDS[name].title for name in ("aluminium dust", "eyes and hearing", "rotating tools")
    ]


def test_a_session_names_them_with_links(site):
    page = article(site.page("sessions/2025-03-08"))
    line = next(p for p in page.all("p") if p.text.startswith("Cautions for this work"))
    assert [a.text for a in line.all("a")] == [
        HAZARDS[name].title for name in ("rotating tools", "eyes and hearing", "aluminium dust")
    ]


def test_without_hazards_nothing_is_said(small_site):
    site = small_site({**BASE, "sessions/2025-03-08.yml": SESSION})
    page = article(site.page("sessions/2025-03-08"))
    assert not any("Cautions" in p.text for p in page.all("p"))
    assert not article(site.page("operations/drill")).all("section", "bb-cautions")


def test_a_search_finds_each_subject():
    entries = reference_page(None).search
    anchors = {entry.anchor for entry in entries}
    assert {"torque", "rivets", "dew-point", "hazard-solvents"} <= anchors
