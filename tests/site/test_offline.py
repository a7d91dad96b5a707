"""The site opened from disk, with no network: in a real browser, every kind of page."""

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from parsed import article
from playwright.sync_api import BrowserContext, Locator, Page, expect
from sites import LISTS, Site

FOLDERS = (
    "sections/*",
    "sections/*/*",
    "sections/*/*/*",
    "sessions/*",
    "parts/*",
    "parts/*/*",
    "operations/*",
    "squawks/*",
)
NOTES = ("before-you-start",)

CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, level AA, for text of ordinary size."""

# Relative luminance and contrast ratio as WCAG 2.2 defines them; colours are blended with what is
# behind them.
LEAST_CONTRAST = """() => {
  const rgba = text => {
    const n = text.match(/[\\d.]+/g).map(Number);
    return text.startsWith('color(') ? [n[0] * 255, n[1] * 255, n[2] * 255, n[3] ?? 1]
                                     : [n[0], n[1], n[2], n[3] ?? 1];
  };
  const over = (front, back) => [0, 1, 2].map(i => front[i] * front[3] + back[i] * (1 - front[3]));
  const light = c => {
    const [r, g, b] = c.map(v => v / 255).map(
      v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = element => {
    const back = element ? rgba(getComputedStyle(element).backgroundColor) : [255, 255, 255, 1];
    return back[3] === 1 ? back.slice(0, 3) : over(back, behind(element.parentElement));
  };
  let worst = [99, ''];
  const walker = document.createTreeWalker(
    document.querySelector('article.md-content__inner'), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()
        || element.closest('.headerlink, .bb-unseen')) continue;
    const style = getComputedStyle(element);
    // In a drawing a text's colour is its fill.
    const ink = element.closest('svg') ? style.fill : style.color;
    // The number of a marker stands on the disc drawn just before it.
    const disc = element.closest('.bb-markers') && element.previousElementSibling;
    const back = disc ? rgba(getComputedStyle(disc).fill).slice(0, 3) : behind(element);
    const front = over(rgba(ink), back);
    const [low, high] = [light(back), light(front)].sort((a, b) => a - b);
    const ratio = (high + 0.05) / (low + 0.05);
    if (ratio < worst[0]) worst = [ratio, walker.currentNode.data.trim().slice(0, 60)];
  }
  return worst;
}"""


def kinds(site: Path) -> list[str]:
    """One page of each kind: of those with a folder, the longest, where there is most to go wrong.

    Longest by what it says, so that it has pictures, tables and lessons.
    """
    richest = [
        max(site.glob(f"{folder}.html"), key=lambda file: file.stat().st_size).relative_to(site)
        for folder in FOLDERS
    ]
    return [*LISTS, *NOTES, *(file.with_suffix("").as_posix() for file in richest)]


class Watched:
    """A browser page that notes what should not happen."""

    def __init__(self, context: BrowserContext) -> None:
        self.asked: list[str] = []
        self.errors: list[str] = []
        context.route(re.compile(r"^(https?|wss?):"), lambda route: route.abort())
        self.page: Page = context.new_page()
        self.page.on("request", self._request)
        self.page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))

    def _request(self, request) -> None:
        if urlsplit(request.url).scheme not in ("file", "data", "blob", "about"):
            self.asked.append(request.url)

    def check(self) -> None:
        assert self.asked == []
        assert self.errors == []


@pytest.fixture
def watched(browser) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield Watched(context)
    context.close()


def test_every_kind_of_page_opens_alone(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    pictures = 0
    for path in kinds(demo_site.folder):
        page.goto((demo_site.folder / f"{path}.html").as_uri())
        for image in page.locator("article img").all():
            image.scroll_into_view_if_needed()  # those out of sight wait to be loaded
        page.wait_for_function("[...document.images].every(image => image.complete)")
        widths = page.evaluate("[...document.images].map(image => image.naturalWidth)")
        assert all(widths), path
        pictures += len(widths)
        watched.check()
    assert pictures > 20


def test_clicking_from_home_to_a_part(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    page.goto((demo_site.folder / "index.html").as_uri())
    for links, where in (
        (".bb-progress th a", "sections/"),
        (".bb-steps a", "sections/"),
        (".bb-work h3 a", "sessions/"),
        (".bb-work .bb-meta a[href*='parts/']", "parts/"),
    ):
        link = page.locator(links).first
        words = link.inner_text()
        link.click()
        page.wait_for_load_state()
        assert where in page.url
        expect(page.locator("h1")).to_contain_text(words.split("\n")[0])
    watched.check()


def find(page: Page, words: str) -> Locator:
    """Search for words as one types them; give the first result, a page and places on it."""
    box = page.locator("[data-md-component=search-query]")
    box.click()
    box.fill(words[:-1])
    box.press(words[-1])  # it searches at a key
    first = page.locator(".md-search-result__item").first
    first.wait_for()
    return first


TOO_NEAR = "sessions/2025-10-09-too-near-the-edge"


@pytest.mark.parametrize(
    ("words", "path"),
    [("ST-014-L", "parts/ST-014-L"), ("Too near the edge", TOO_NEAR)],
)
def test_search_finds_pages(demo_site: Site, watched: Watched, words: str, path: str) -> None:
    """A part by its whole number, a session by its title."""
    watched.page.goto((demo_site.folder / "people.html").as_uri())
    find(watched.page, words).locator("a").first.click()
    expect(watched.page).to_have_url(re.compile(rf"/{path}\.html"))
    expect(watched.page.locator("h1")).to_contain_text(words)
    watched.check()


def test_search_finds_places(demo_site: Site, watched: Watched) -> None:
    """A lesson by its words and a photo by its caption: places on a page, under it."""
    lesson = article(demo_site.page("lessons")).all("article", "bb-lesson")[6]
    words = lesson.one("h3").text.split(maxsplit=2)[2]
    photo = article(demo_site.page(TOO_NEAR)).all("div", "bb-anchor")[0]
    caption = photo.one("img").attributes["alt"]
    for asked, path, anchor in (
        (words, "lessons", lesson.attributes["id"]),
        (caption, TOO_NEAR, photo.attributes["id"]),
    ):
        watched.page.goto((demo_site.folder / "people.html").as_uri())
        links = find(watched.page, asked).locator("a")
        assert f"/{path}.html" in (links.nth(0).get_attribute("href") or "")
        links.nth(1).click()
        expect(watched.page).to_have_url(re.compile(rf"/{path}\.html.*#{anchor}$"))
        expect(watched.page.locator(f"#{anchor}")).to_be_in_viewport()
    watched.check()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_can_be_read_in_both_schemes(demo_site: Site, browser, scheme: str) -> None:
    """Contrast of all text of every kind of page."""
    context = browser.new_context(color_scheme=scheme, viewport={"width": 1280, "height": 900})
    page = context.new_page()
    try:
        for path in kinds(demo_site.folder):
            page.goto((demo_site.folder / f"{path}.html").as_uri())
            ratio, words = page.evaluate(LEAST_CONTRAST)
            assert ratio >= CONTRAST, f"{path}: {words!r} has a contrast of {ratio:.2f}"
    finally:
        context.close()


def test_pages_fit_a_phone(demo_site: Site, browser) -> None:
    """At 360 pixels nothing makes the page scroll sideways; wide tables scroll by themselves."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    try:
        scrolling = 0
        for path in kinds(demo_site.folder):
            page.goto((demo_site.folder / f"{path}.html").as_uri())
            assert page.evaluate("document.documentElement.scrollWidth") <= 360, path
            scrolling += page.evaluate(
                "[...document.querySelectorAll('.bb-table')]"
                ".filter(table => table.scrollWidth > table.clientWidth).length"
            )
        assert scrolling
    finally:
        context.close()


LOADED = {
    ("script", "src"),
    ("link", "href"),
    ("img", "src"),
    ("img", "srcset"),
    ("iframe", "src"),
    ("source", "src"),
    ("source", "srcset"),
    ("video", "src"),
    ("video", "poster"),
    ("audio", "src"),
    ("object", "data"),
    ("embed", "src"),
    ("use", "href"),
    ("image", "href"),
    ("form", "action"),
}
"""Attributes whose address a browser asks for by itself."""

CREDIT = "https://squidfunk.github.io/mkdocs-material/"
"""The theme's link to itself at the foot of each page: visible, and followed only by a click."""


def test_nothing_names_another_host(demo_site: Site) -> None:
    outbound = set()
    for path, page in demo_site.pages():
        for element in page:
            for name, value in element.attributes.items():
                if not re.match(r"(https?:)?//", value.strip()):
                    continue
                assert (element.tag, name) not in LOADED, f"{path}: {value}"
                if (element.tag, name) == ("a", "href"):
                    outbound.add(value)
    written = "".join(
        file.read_text(encoding="utf-8")
        for file in Path(__file__).parents[2].joinpath("content").rglob("*")
        if file.suffix in (".md", ".yml")
    )
    assert [to for to in outbound - {CREDIT} if to.partition("#t=")[0] not in written] == []
    for file in demo_site.folder.rglob("*.css"):
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"url\(\s*[\"']?(?:https?:)?//|@import", text), file.name
