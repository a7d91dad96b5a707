"""Readings, squawks and closing as the pages show them, and what they keep to themselves."""

import pytest
from parsed import Element, article
from sites import BASE, SETTINGS, Site, SmallSite

FILES: dict[str, str | bytes] = {
    **BASE,
    "tools.yml": "- tool: calipers\n  title: Calipers\n  owner: borrowed from Ben\n"
    "  uncertainty: 0.01 in\n  calibrated: 2025-01-10\n  due: 2025-03-31\n  cost: 68 EUR\n",
    "sections/fin.yml": """section: fin
title: Fin
steps:
  - step: skeleton
    title: Skeleton
    parts: [FN-01, FN-02-L]
    tools: calipers
    inspections: Twist
    required readings:
      - {reading: edge distance, min: 0.25 in, parts: FN-02-L, each: yes, source: Sheet 3}
    limits:
      - {reading: bolt torque, rule: torque AN3 tension}
  - {step: close, title: Skins on, parts: FN-01}
""",
    "sessions/a.yml": """date: 2025-03-08
step: fin/skeleton
hours: 2h30
tools: calipers
finished: yes
readings:
  - {reading: edge distance, piece: FN-02-L-01, values: "0.27, 0.28 in", tool: calipers}
  - {reading: edge distance, piece: FN-02-L-02, values: 6.5 mm, tool: calipers}
  - {reading: edge distance, piece: FN-02-L-03, values: 0.20 in, tool: calipers, squawk: 1}
  - {reading: bolt torque, part: FN-01, values: 22 in-lb}
squawks:
  - squawk: 1
    title: Short edge
    pieces: FN-02-L-03
    cause: Hurry
    disposition:
      decision: use as is
      date: 2025-03-09
      by: ada
      advice: {from: ben, date: 2025-03-09, reference: Letter 7, text: Leave it as it is.}
      correspondence: Dear Ben, zebrawood and quicksilver between us.
""",
    "sessions/b.yml": """date: 2025-04-20
step: fin/skeleton
hours: 1
reopened: A rib was loose
squawks: {squawk: 2, title: Loose rib, step: fin/skeleton, before: fin/close, cause: hurry}
""",
    "notices.yml": "- {notice: SB-7, title: Longer bolts, issued: 2025-02-01, before: fin/close}\n",
    "signoffs.yml": "{step: fin/skeleton, inspection: Twist, date: 2025-03-08, by: ben,"
    " role: Inspector, reference: Sheet 12}\n",
}


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    built = small_site(FILES)
    assert built.log == ()
    return built


def rows(part: Element) -> list[list[str]]:
    found = [[c.text for c in row.all() if c.tag in ("th", "td")] for row in part.all("tr")]
    return [row for row in found if row]


def table(page: Element, caption: str) -> list[list[str]]:
    [found] = [t for t in page.all("table") if t.one("caption").text.startswith(caption)]
    return rows(found)[1:]


def test_a_characteristic_says_how_each_value_lies_in_words(site: Site) -> None:
    page = article(site.page("readings/edge-distance"))
    verdicts = {row[0]: row[2] for row in table(page, "Limit")}
    assert verdicts == {
        "FN-02-L-01": "inside",
        "FN-02-L-02": "! near the limit",  # 6.5 mm is 0.2559 in, and the calipers may be off by .01
        "FN-02-L-03": "\N{MULTIPLICATION SIGN} outside squawk 1",
    }
    values = {row[0]: row[1] for row in table(page, "Limit")}
    assert values["FN-02-L-02"] == "0.2559 in (written 6.5 mm)"
    assert "2 values, 0.27 to 0.28 in, mean 0.275" in values["FN-02-L-01"]
    assert "4 values in 3 readings, on 3 parts and pieces" in page.text
    assert {row[3] for row in table(page, "Limit")} == {
        "Calipers \N{PLUS-MINUS SIGN} 0.01 in, calibrated 10 January 2025"
    }


def drawn(svg: Element, series: str, tag: str) -> list[Element]:
    return [e for g in svg.all("g", f"bb-series-{series}") for e in g.all(tag)]


def test_the_chart_has_its_limit_and_marks_what_is_out(site: Site) -> None:
    chart = article(site.page("readings/edge-distance")).one("figure", "bb-chart")
    svg = chart.one("svg")
    assert svg.attributes["aria-label"].startswith("Edge distance")
    dots = {s: drawn(svg, s, "circle") for s in ("values", "near", "outside")}
    assert {series: len(some) for series, some in dots.items()} == {
        "values": 2,
        "near": 1,
        "outside": 1,
    }
    [limit] = drawn(svg, "limit", "path")
    start, end = limit.attributes["d"].removeprefix("M").split(" L")
    assert start.split()[1] == end.split()[1]  # level
    # A picture's y grows downwards: what is below the smallest allowed is drawn below the line.
    [outside] = (float(c.attributes["cy"]) for c in dots["outside"])
    assert max(float(c.attributes["cy"]) for c in dots["values"]) < float(start.split()[1])
    assert outside > float(start.split()[1])
    assert "1 outside" in chart.text


def test_a_limit_by_rule_shows_its_source(site: Site) -> None:
    page = article(site.page("readings/bolt-torque"))
    assert "20 in-lb to 25 in-lb" in page.text
    assert "AC 43.13-1B" in page.text
    assert "the plans and the kit's instructions come first" in page.text


def test_the_list_of_readings(site: Site) -> None:
    page = article(site.page("readings"))
    assert page.text.count("5 values in 4 readings: 1 outside their limit, 1 near it") == 1
    assert [row[0] for row in table(page, "What was measured")] == ["bolt torque", "edge distance"]


def test_a_step_shows_what_it_lacks_and_its_history(site: Site) -> None:
    page = article(site.page("sections/fin/skeleton"))
    lacks = [li.text for li in page.one("h2", id="before-closing").parent.all("li")]  # type: ignore[union-attr]
    assert "not measured: edge distance of FN-02-L-04" in lacks
    assert "outside its limit: edge distance of FN-02-L-03, squawk 1 is not closed" in lacks
    assert "not signed off again: Twist" in lacks
    assert "opened again on 2025-04-20, and not finished since" in lacks
    history = [(row[1], row[4]) for row in table(page, "When this step")]
    assert history == [
        ("Finished", "no longer"),
        ("Signed off", "no longer"),
        ("Opened again", "yes"),
    ]
    assert "a name typed here is not a digital signature" in page.text


def test_a_step_lists_its_tools_with_what_their_calibration_asks_for(site: Site) -> None:
    page = article(site.page("sections/fin/skeleton"))
    assert "Calipers borrowed from Ben (calibration past due)" in page.text
    stores = article(site.page("stores"))
    assert "Calibration was due on 31 March 2025, before the last session." in stores.text


def test_a_squawk_quotes_its_advice_and_says_what_it_holds(site: Site) -> None:
    page = article(site.page("squawks/1"))
    assert page.one("blockquote").text == "Leave it as it is. Ben Fen, Letter 7, 9 March 2025"
    assert "Decided, 43 days old on 20 April 2025" in page.text
    assert "It holds the next operation on FN-02-L-03." in page.text
    assert "The same cause: squawk 2." in page.text
    assert [row[3] for row in table(page, "Readings")] == [
        "\N{MULTIPLICATION SIGN} outside squawk 1"
    ]


def test_the_list_of_squawks_by_section_and_cause(site: Site) -> None:
    page = article(site.page("squawks"))
    assert table(page, "Squawks not closed") == [["Fin", "1", "1", "43 days"]]
    assert "Hurry: Squawk 1: Short edge, Squawk 2: Loose rib" in page.text


def test_what_holds_a_step_up_is_on_its_page_though_it_asks_for_nothing(site: Site) -> None:
    page = article(site.page("sections/fin/close"))
    lacks = [li.text for li in page.one("h2", id="before-closing").parent.all("li")]  # type: ignore[union-attr]
    assert "squawk 2 is open: Loose rib" in lacks
    assert "notice SB-7 is to be decided: Longer bolts" in lacks
    assert "To be done beforeFin: skins on" in article(site.page("notices")).text


def texts(site: Site) -> dict[str, str]:
    ends = (".html", ".json", ".js", ".xml", ".txt")
    files = (f for f in site.folder.rglob("*") if f.suffix in ends and f.is_file())
    return {f.name: f.read_text(encoding="utf-8", errors="replace") for f in files}


def test_letters_are_in_the_private_editions_only(site: Site, small_site: SmallSite) -> None:
    assert "zebrawood and quicksilver" in article(site.page("squawks/1")).text
    assert "zebrawood" not in (site.folder / "search" / "search_index.json").read_text("utf-8")
    for edition, shown in (("inspector", True), ("public", False)):
        settings = SETTINGS.replace("- buildbook", f"- buildbook:\n      edition: {edition}")
        assert settings != SETTINGS
        book = f"{FILES['book.yml']}editions: {{public: {{open squawks: yes}}}}\n"
        made = small_site({**FILES, "book.yml": book}, settings=settings)
        assert ("zebrawood" in article(made.page("squawks/1")).text) is shown
        if not shown:
            assert not any("zebrawood" in text for text in texts(made).values())


def test_what_a_tool_cost_is_shown_where_costs_are(site: Site, small_site: SmallSite) -> None:
    for text in texts(site).values():
        assert "68 EUR" not in text
        assert "68.00" not in text
    told = small_site({**FILES, "book.yml": f"{FILES['book.yml']}show costs: yes\n"})
    assert "Cost68.00 EUR" in article(told.page("stores")).text
