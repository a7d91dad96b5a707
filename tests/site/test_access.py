"""Every kind of page for everybody: axe-core's rules, small screens, the keyboard, no motion.

Sources: WCAG 2.2 level AA as axe-core tests it; its success criteria 1.4.10 (reflow at 320 CSS
pixels), 1.4.4 (text at 200 %), 2.4.1 (a way past what repeats), 2.4.7 (focus is seen).
"""

import os
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from fetch_tools import AXE
from playwright.sync_api import Browser, Page
from sites import ROOT, Site

from buildbook.handover.showing import context_of
from buildbook.pages.layout import lay_out
from buildbook.records.read import read
from buildbook.records.readers import FULL

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
NARROW = 320
"""CSS pixels at which nothing may need scrolling both ways."""


@cache
def kinds() -> dict[str, str]:
    """Give for every template one page of the demo that it draws, and a hand-written page."""
    layout = lay_out(context_of(read(ROOT / "content").book, FULL), form=True)
    found: dict[str, str] = {}
    for page in layout:
        found.setdefault(page.template, page.path)
    return {**found, "a page written by hand": "before-you-start"}


@pytest.fixture(params=["light", "dark"])
def scheme(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.mark.skipif(
    not AXE.is_file() and os.environ.get("CI", "").lower() != "true",
    reason="axe-core is not there: run tests/fetch_tools.py",
)
def test_axe_finds_nothing_on_any_kind_of_page(
    demo_site: Site, browser: Browser, scheme: str
) -> None:
    context = browser.new_context(
        color_scheme=scheme, reduced_motion="reduce", viewport={"width": 1280, "height": 900}
    )
    found = {}
    for template, path in kinds().items():
        page = opened(context, demo_site.folder / f"{path}.html")
        page.add_script_tag(path=AXE)
        if wrong := violations(page):
            found[template, path] = wrong
        if template == "home.html":
            page.evaluate("document.querySelector('article img').removeAttribute('alt')")
            assert any(w.startswith("image-alt") for w in violations(page)), "control"
        page.close()
    assert found == {}
    assert len(kinds()) > 25


def opened(context: Any, file: Path) -> Page:
    page: Page = context.new_page()
    page.goto(file.as_uri())
    return page


def violations(page: Page) -> list[str]:
    found = page.evaluate("rules => axe.run(document, { runOnly: rules })", RULES)["violations"]
    return [f"{v['id']}: {', '.join(str(n['target'][0]) for n in v['nodes'])}" for v in found]


# At 1280 pixels, 200 % of zoom leaves 640 CSS pixels.
@pytest.mark.parametrize("width", [NARROW, 640])
def test_no_page_is_wider_than_a_small_screen(
    demo_site: Site, browser: Browser, width: int
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800})
    wide = {}
    for template, path in kinds().items():
        page = opened(context, demo_site.folder / f"{path}.html")
        if (is_wide := page.evaluate("document.documentElement.scrollWidth")) > width:
            wide[template, path] = is_wide
        page.close()
    assert wide == {}


def test_the_keyboard_reaches_the_page_past_its_head(demo_site: Site, browser: Browser) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    for path in ("sections", "sections/fin", "readings", "index"):
        page = opened(context, demo_site.folder / f"{path}.html")
        page.keyboard.press("Tab")
        skip = page.evaluate("document.activeElement.className")
        assert "md-skip" in skip, path
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        where = page.evaluate("!!document.activeElement.closest('article')")
        assert where, (path, page.evaluate("document.activeElement.outerHTML.slice(0, 200)"))
        page.close()


def test_focus_is_seen(demo_site: Site, browser: Browser) -> None:
    page = opened(browser.new_context(), demo_site.folder / "sections/fin.html")
    for _ in range(25):
        page.keyboard.press("Tab")
        drawn = page.evaluate(
            "() => { const s = getComputedStyle(document.activeElement);"
            " return document.activeElement === document.body ||"
            " (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0) ||"
            " s.boxShadow !== 'none' }"
        )
        assert drawn, page.evaluate("document.activeElement.outerHTML.slice(0, 200)")
    page.close()


def test_nothing_moves_for_those_who_ask_for_that(demo_site: Site, browser: Browser) -> None:
    moving = (
        "() => [...document.querySelectorAll('*')].filter(e => parseFloat("
        "getComputedStyle(e).transitionDuration) > 0.01).length"
    )
    file = demo_site.folder / "sections/fin.html"
    still = opened(browser.new_context(reduced_motion="reduce"), file)
    assert still.evaluate(moving) == 0
    assert opened(browser.new_context(), file).evaluate(moving) > 0, "control"
