"""Charts: whole SVG, told in words, and the same every time."""

from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest

from buildbook.pages.charts import Chart, bars, line, scatter, shares

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '</svg><script>alert(1)</script>"&'
POINTS = [(1, 60), (2, 48)]
LABELS = ["Jan 2025", HOSTILE, "Mar 2025"]

CHARTS: dict[str, Callable[[], Chart | None]] = {
    "standing bars": lambda: bars(HOSTILE, LABELS, [60, 150, 0]),
    "lying bars": lambda: bars("Hours", LABELS, [60, 150, 0], lying=True),
    "many bars": lambda: bars("Hours", [f"week {n}" for n in range(60)], list(range(60))),
    "a line": lambda: line("Added up", LABELS, [(HOSTILE, [60, 210, 210])]),
    "two lines": lambda: line("Both", LABELS, [("a", [60, 210, 210]), (HOSTILE, [1, 2, 3])]),
    "shares": lambda: shares("Finished", LABELS, [0.0, 0.5, 1.0]),
    "points": lambda: scatter("Pace", "In words.", HOSTILE, POINTS),
    "a curve": lambda: scatter("Pace", "In words.", "piece", POINTS, POINTS),
}


@pytest.fixture(params=CHARTS.values(), ids=CHARTS.keys())
def draw(request: pytest.FixtureRequest) -> Callable[[], Chart]:
    return request.param


def test_it_is_xml(draw: Callable[[], Chart]) -> None:
    root = ET.fromstring(draw().svg)  # ours, and small
    assert root.tag == f"{SVG}svg"
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert not tags & {"script", "style", "defs", "title", "foreignObject", "a", "image"}
    for element in root.iter():
        for name in element.attrib:
            assert not name.startswith("on")
            assert name not in ("id", "style", "href")


def test_it_is_told_to_who_cannot_see_it(draw: Callable[[], Chart]) -> None:
    chart = draw()
    root = ET.fromstring(chart.svg)
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-label"] == chart.caption
    assert chart.summary.endswith(".")


def test_it_is_drawn_the_same_again(draw: Callable[[], Chart]) -> None:
    assert draw().svg.encode() == draw().svg.encode()


def test_words_for_bars() -> None:
    chart = bars("Hours", ["Jan", "Feb"], [90, 150])
    assert chart is not None
    assert chart.summary == "2 bars, 4 h in all; the tallest is Feb with 2 h 30."


def test_words_for_lines() -> None:
    chart = line("Added up", ["Jan", "Feb"], [("clock hours", [90, 240])])
    assert chart is not None
    assert chart.summary == "From Jan to Feb; at the end clock hours 4 h."


def test_as_many_bars_as_labels() -> None:
    chart = bars("Hours", ["a", "b", "c", "d"], [60, 120, 30, 90], lying=True)
    assert chart is not None
    root = ET.fromstring(chart.svg)
    drawn = [e for e in root.iter(f"{SVG}rect") if "rect" in e.attrib.get("class", "").split()]
    widths = [float(e.attrib["width"]) for e in drawn]
    # From the bottom up, in proportion.
    assert [round(w / max(widths), 2) for w in widths] == [0.75, 0.25, 1, 0.5]


@pytest.mark.parametrize(
    "chart",
    [
        bars("Nothing", [], []),
        bars("Nothing", ["a"], [0]),
        line("Nothing", [], []),
        line("Nothing", ["a"], [("x", [0])]),
        shares("Nothing", [], []),
        scatter("Nothing", "", "x", []),
    ],
)
def test_nothing_to_draw(chart: Chart | None) -> None:
    assert chart is None
