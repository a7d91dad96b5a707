"""How readers go through the book, in a real browser: each walk, and how many clicks it takes."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect
from sites import Site


class Walk:
    """A reader at the home page, whose clicks are counted."""

    def __init__(self, page: Page, site: Site) -> None:
        self.page = page
        self.clicks = 0
        page.goto((site.folder / "index.html").as_uri())

    def click(self, on: Locator) -> None:
        on.click()
        self.page.wait_for_load_state()
        self.clicks += 1

    def at(self) -> str:
        return self.page.url.rpartition("/site")[2].partition("#")[0]

    def heading(self) -> str:
        return self.page.locator("article h1").inner_text()

    def to(self, name: str, inside: str = "article") -> None:
        """Follow the first link of that name."""
        self.click(self.page.locator(inside).get_by_role("link", name=name, exact=True).first)

    def find(self, words: str) -> None:
        """Search, and open what is found first."""
        self.page.locator(".md-search__input").fill(words)
        first = self.page.locator(".md-search-result__item a").first
        first.wait_for()
        expect(self.page.locator(".md-search-result__meta")).to_contain_text("matching")
        self.click(first)

    def has(self, *headings: str) -> bool:
        shown = self.page.locator("article :is(h2, h3)").all_inner_texts()
        return all(any(h in text for text in shown) for h in headings)


@pytest.fixture(params=["wide", "phone"])
def walk(browser: Any, demo_site: Site, request: pytest.FixtureRequest) -> Iterator[Walk]:
    size = (
        {"width": 1280, "height": 900} if request.param == "wide" else {"width": 360, "height": 740}
    )
    context = browser.new_context(viewport=size)
    yield Walk(context.new_page(), demo_site)
    context.close()


@pytest.fixture
def wide(browser: Any, demo_site: Site) -> Iterator[Walk]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield Walk(context.new_page(), demo_site)
    context.close()


def test_a_stranger_sees_what_it_is_how_far_and_where_to_go(walk: Walk) -> None:
    cover = walk.page.locator(".bb-cover")
    expect(cover).to_contain_text("Saltmarsh S-2")
    expect(cover).to_contain_text("34 of 40 steps finished")
    expect(cover.locator("img")).to_be_visible()
    ways = walk.page.locator(".bb-ways h2").all_inner_texts()
    assert ways == ["Follow the build", "Judge the work", "Find a part", "Carry on"]


def test_a_follower_reads_step_after_step(walk: Walk) -> None:
    walk.to("Fin")
    assert walk.heading() == "Fin"
    walk.to("Ribs made straight")
    assert walk.clicks == 2
    assert walk.has("What was done", "Photos", "Lessons that apply")
    expect(walk.page.locator("article.md-content__inner")).to_contain_text("by the clock")
    assert walk.page.locator("article figure img").count()
    walk.click(walk.page.locator("a[rel=next]").last)
    assert walk.heading() == "Spars and skeleton, match-drilled"
    walk.to("Fin", inside=".bb-trail")
    assert walk.heading() == "Fin"


def test_an_inspector_finds_what_was_measured_and_what_is_hidden(walk: Walk) -> None:
    walk.to("Readings")
    walk.to("bonding resistance")
    expect(walk.page.locator("article.md-content__inner")).to_contain_text("outside")
    walk.click(walk.page.locator("article").get_by_role("link", name="squawk 17").first)
    assert walk.clicks == 3
    assert walk.has("Found") or "Squawk 17" in walk.page.locator("article").inner_text()


def test_an_inspector_sees_a_closed_structure_in_two_clicks(walk: Walk) -> None:
    walk.to("Fin")
    walk.to("Skins riveted, fin closed")
    assert walk.clicks == 2
    assert walk.has("Before closing", "Photos asked for")
    photo = walk.page.locator("h3:has-text('Photos asked for') + ul a").first
    walk.click(photo)
    expect(walk.page.locator("figure img").first).to_be_visible()
    assert walk.clicks == 3


def test_an_inspector_takes_a_step_on_paper(wide: Walk) -> None:
    wide.to("Fin")
    wide.to("Skins riveted, fin closed")
    wide.page.emulate_media(media="print")
    for gone in (".md-header", ".md-tabs", ".md-sidebar", ".bb-pager", ".bb-trail"):
        assert not wide.page.locator(f"{gone}:visible").count(), gone
    expect(wide.page.locator(".bb-block")).to_be_visible()
    expect(wide.page.locator("article h1")).to_be_visible()


def test_evidence_leads_from_a_task_to_the_work(walk: Walk) -> None:
    walk.to("Evidence")
    assert walk.page.locator("article table").count()
    assert walk.page.locator("article table a[href*='sections/']").count()
    assert walk.clicks == 1


def test_an_owner_finds_a_part_from_its_number(wide: Walk) -> None:
    wide.find("AF-012")
    assert wide.heading().startswith("AF-012")
    assert wide.clicks == 1
    assert wide.has("Sessions", "Photos")


def test_an_owner_finds_a_part_from_a_word(walk: Walk) -> None:
    walk.to("Parts")
    walk.page.locator(".bb-sift input").fill("bracket shim")
    rows = walk.page.locator("tbody tr:visible th a")
    assert rows.all_inner_texts() == ["FN-013"]
    walk.click(rows.first)
    assert walk.heading().startswith("FN-013")
    assert walk.clicks == 2


def test_an_owner_finds_a_part_from_a_photo(walk: Walk) -> None:
    walk.to("Gallery")
    walk.click(walk.page.locator("figcaption a", has_text="AF-012").first)
    assert walk.heading().startswith("AF-012")
    assert walk.clicks == 2


def test_an_owner_opens_the_aircraft_as_built(walk: Walk) -> None:
    walk.to("As built")
    walk.to("Fin")
    assert walk.clicks == 2
    assert walk.has("Parts", "Before it was closed")


def test_a_builder_goes_on_where_work_stopped(walk: Walk) -> None:
    walk.click(walk.page.locator(".bb-ways").get_by_role("link", name="prime the skeleton").first)
    assert walk.clicks == 1
    assert walk.has("What was done", "Cautions")
    expect(walk.page.locator("article .bb-lead")).to_contain_text("Begun")


def test_a_builder_sees_what_is_held(walk: Walk) -> None:
    walk.click(walk.page.get_by_role("link", name="Squawk 17", exact=True).first)
    assert walk.clicks == 1
    assert "Squawk 17" in walk.page.title() or "17" in walk.heading()


def test_a_page_in_no_list_stands_in_its_group(wide: Walk) -> None:
    wide.to("Fin")
    wide.to("Ribs made straight")
    expect(wide.page.locator(".md-tabs__item--active")).to_have_text("Build")
    expect(wide.page.locator(".md-sidebar--primary")).to_contain_text("Rudder")
    assert wide.page.locator(".bb-trail a").all_inner_texts() == ["Home", "Sections", "Fin"]


def test_lists_can_be_sifted_and_a_sifted_list_linked_to(wide: Walk) -> None:
    wide.to("All sessions")
    field = wide.page.locator(".bb-sift input")
    field.fill("CLECOS")
    left = wide.page.locator(".bb-sessions li:visible")
    assert 0 < left.count() < 20
    assert all("clecos" in text.lower() for text in left.all_inner_texts())
    expect(wide.page.locator(".bb-sift output")).to_contain_text("of 155 shown")
    address = wide.page.url
    assert address.endswith("#words=CLECOS")
    shown = left.count()
    wide.page.goto("about:blank")
    wide.page.goto(address)
    assert left.count() == shown
    field.fill("no such words at all")
    assert not left.count()
    assert not wide.page.locator("section[data-group] h2:visible").count()
    field.fill("")
    assert left.count() == 155


def test_without_scripts_lists_are_plain(browser: Any, demo_site: Site) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo_site.folder / "sessions.html").as_uri())
    assert page.locator(".bb-sessions li:visible").count() == 155
    assert not page.locator(".bb-sift:visible").count()
    context.close()
