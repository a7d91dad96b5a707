"""Photos in a real browser, from disk: which size is loaded, nothing jumps, opened by keyboard."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fetch_tools import AXE
from playwright.sync_api import Browser, Page, expect
from sites import Site
from test_offline import Watched

MARKED = "sessions/2025-10-09-too-near-the-edge"
"""A session with a marked photo."""
KINDS = ("index", "gallery", "sections/fin", "sections/aft-fuselage/skeleton", MARKED)
SHEET = "sections/aft-fuselage/skeleton/contact-sheet"
PHONE, WIDE = (360, 740), (1280, 900)


@pytest.fixture
def watched(browser: Browser) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield Watched(context)
    context.close()


def opened(browser: Browser, site: Site, path: str, size: tuple[int, int], **more: object) -> Page:
    page = browser.new_page(viewport={"width": size[0], "height": size[1]}, **more)  # type: ignore[arg-type]
    page.goto((site.folder / f"{path}.html").as_uri())
    return page


# Sizes.


@pytest.mark.parametrize(
    ("path", "size", "density", "edge"),
    [
        ("gallery", PHONE, 1, 400),
        ("gallery", PHONE, 2, 800),
        ("gallery", WIDE, 1, 400),
        ("gallery", WIDE, 2, 800),
        (SHEET, PHONE, 1, 400),
        (SHEET, WIDE, 2, 400),
        (MARKED, PHONE, 1, 400),
        (MARKED, PHONE, 2, 800),
        (MARKED, WIDE, 1, 800),
        (MARKED, WIDE, 2, 1600),
    ],
)
def test_the_size_that_fits_is_loaded(
    demo_site: Site, browser: Browser, path: str, size: tuple[int, int], density: int, edge: int
) -> None:
    page = opened(browser, demo_site, path, size, device_scale_factor=density)
    try:
        image = page.locator(".bb-figure img").first
        image.scroll_into_view_if_needed()
        page.wait_for_function("i => i.complete && i.naturalWidth", arg=image.element_handle())
        source = image.evaluate("image => image.currentSrc")
        assert re.search(r"-(\d+)\.jpg$", source)[1] in {str(edge), "1152"}  # type: ignore[index]
        assert ("-1152." in source) <= (edge == 1600), "originals of the demo have 1152 pixels"
    finally:
        page.close()


DECLARED = """() => [...document.querySelectorAll('article img[srcset]')].map(image => {
  const probe = document.createElement('div');
  probe.style.position = 'absolute';
  for (const option of image.sizes.split(/,(?![^(]*\\))/)) {
    const [, media, length] = option.trim().match(/^(\\([^)]*\\))?\\s*(.*)$/);
    if (media && !matchMedia(media).matches) continue;
    probe.style.width = length;
    break;
  }
  document.body.append(probe);
  const declared = probe.getBoundingClientRect().width;
  probe.remove();
  return [image.getBoundingClientRect().width / declared, image.sizes];
})"""


@pytest.mark.parametrize("width", [320, 360, 412, 600, 700, 800, 1000, 1280, 1600, 2200])
def test_sizes_tell_the_truth(demo_site: Site, browser: Browser, width: int) -> None:
    """A picture is shown at most a third wider than its `sizes` says, and not at half of it."""
    page = browser.new_page(viewport={"width": width, "height": 900})
    try:
        for path in (*KINDS, SHEET, "squawks/8", "sessions/2025-02-15-the-new-rib"):
            page.goto((demo_site.folder / f"{path}.html").as_uri())
            ratios = page.evaluate(DECLARED)
            assert ratios, path
            for ratio, sizes in ratios:
                assert 0.55 < ratio < 1.33, (path, sizes, ratio)
    finally:
        page.close()


# Nothing jumps.

SHIFTS = """() => {
  window.shifted = 0;
  new PerformanceObserver(list => {
    for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifted += entry.value;
  }).observe({ type: 'layout-shift', buffered: true });
}"""


def shifted(page: Page, address: str) -> float:
    """Load a page and go through it; give how much of it jumped (Layout Instability, WICG)."""
    page.add_init_script(f"({SHIFTS})()")
    page.goto(address)
    for image in page.locator("article img").all():
        image.scroll_into_view_if_needed()
    page.wait_for_function("[...document.images].every(image => image.complete)")
    page.wait_for_timeout(300)
    return float(page.evaluate("window.shifted"))


@pytest.mark.parametrize("size", [PHONE, (1280, 2400)])
def test_nothing_jumps_while_pictures_arrive(
    demo_site: Site, browser: Browser, tmp_path: Path, size: tuple[int, int]
) -> None:
    for path in (*KINDS, SHEET):
        page = browser.new_page(viewport={"width": size[0], "height": size[1]})
        assert shifted(page, (demo_site.folder / f"{path}.html").as_uri()) < 0.01, path
        page.close()
    # The control: the same page whose pictures do not say how large they are.
    source = (demo_site.folder / f"{MARKED}.html").read_text(encoding="utf-8")
    source = re.sub(r'(<img [^>]*?) width="\d+" height="\d+"', r"\1", source)
    base = (demo_site.folder / f"{MARKED}.html").as_uri()
    careless = tmp_path / "careless.html"
    careless.write_text(source.replace("<head>", f'<head><base href="{base}">'), encoding="utf-8")
    page = browser.new_page(viewport={"width": size[0], "height": 2400})
    assert shifted(page, careless.as_uri()) > 0.01
    page.close()


def test_the_place_of_a_picture_has_its_colour(demo_site: Site) -> None:
    for _, page in demo_site.pages():
        for link in page.all("a", "bb-photo"):
            for image in link.all("img"):
                assert re.fullmatch(r"background-color: #[0-9a-f]{6}", image.attributes["style"]), (
                    image.attributes
                )
                assert int(image.attributes["width"]) > 0


# Opened over the page.


def test_by_keyboard_alone(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    page.goto((demo_site.folder / "sections/fin.html").as_uri())
    links = page.locator("a.bb-photo")
    count = links.count()
    assert count > 2
    links.nth(1).focus()
    page.keyboard.press("Enter")
    dialog = page.locator("dialog[open]")
    expect(dialog).to_be_visible()
    expect(dialog.locator(".bb-place")).to_have_text(f"2 of {count}")

    inside = "document.querySelector('dialog').contains(document.activeElement)"
    assert page.evaluate(inside)
    page.keyboard.press("ArrowRight")
    expect(dialog.locator(".bb-place")).to_have_text(f"3 of {count}")
    caption = links.nth(2).locator("xpath=../figcaption").inner_text().split("\n")[0].strip()
    expect(dialog.locator(".bb-said")).to_contain_text(caption)
    for key, place in (("Home", 1), ("ArrowLeft", count), ("ArrowRight", 1), ("End", count)):
        page.keyboard.press(key)
        expect(dialog.locator(".bb-place")).to_have_text(f"{place} of {count}")

    stops = set()
    for key in ["Tab"] * 8 + ["Shift+Tab"] * 12:
        page.keyboard.press(key)
        assert page.evaluate(inside), "the focus stays in it"
        stops.add(page.evaluate("document.activeElement.textContent.slice(0, 20)"))
    assert {"Previous", "Next", "Close"} <= stops

    page.keyboard.press("s")  # the theme's key for searching
    assert not page.evaluate("document.querySelector('#__search').checked")
    page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    assert links.nth(1).evaluate("link => link === document.activeElement"), "given back"
    page.keyboard.press("Enter")
    expect(page.locator("dialog[open]")).to_be_visible()
    watched.check()


def test_all_that_is_said_of_a_photo_is_shown(demo_site: Site, watched: Watched) -> None:
    """Opened from a small picture: its date, its session, its markers and what they say."""
    page = watched.page
    page.goto((demo_site.folder / "sections/aft-fuselage/skeleton.html").as_uri())
    figure = page.locator("figure", has=page.locator("svg.bb-markers")).first
    marks = [words.strip() for words in figure.locator("ol.bb-marked li").all_text_contents()]
    assert len(marks) > 1
    expect(figure.locator("ol.bb-marked")).to_be_hidden()
    figure.locator("a.bb-photo").click()
    dialog = page.locator("dialog[open]")
    for mark in marks:
        expect(dialog.locator(".bb-said")).to_contain_text(mark)
    expect(dialog.locator("ol.bb-marked")).to_be_visible()
    expect(dialog.locator(".bb-said")).to_contain_text("9 October 2025")
    boxes = dialog.evaluate(
        "d => ['img', 'svg'].map(s => d.querySelector('.bb-frame ' + s).getBoundingClientRect())"
        ".map(r => [r.left, r.top, r.width, r.height].map(Math.round))"
    )
    assert boxes[0] == boxes[1], "the markers lie on the picture"
    page.wait_for_function("document.querySelector('dialog img').naturalWidth")
    own = dialog.locator("img").evaluate("image => image.naturalWidth / image.naturalHeight")
    assert abs(boxes[0][2] / boxes[0][3] - own) < 0.02, "in its own proportions"
    assert "-1152." in dialog.locator("img").evaluate("image => image.currentSrc")
    dialog.locator(".bb-room").click(position={"x": 3, "y": 3})
    expect(page.locator("dialog[open]")).to_have_count(0)
    watched.check()


@pytest.mark.parametrize("size", [PHONE, WIDE])
def test_markers_lie_on_their_pictures(
    demo_site: Site, browser: Browser, size: tuple[int, int]
) -> None:
    """In a grid too, where the room is three to four and a picture may be of other proportions."""
    page = browser.new_page(viewport={"width": size[0], "height": size[1]})
    try:
        marked = 0
        for path in (*KINDS, SHEET, "sections/fin/close"):
            page.goto((demo_site.folder / f"{path}.html").as_uri())
            for photo in page.locator("a.bb-photo", has=page.locator("svg")).all():
                box, over = (photo.locator(x).bounding_box() for x in ("img", "svg"))
                own = photo.locator("img").evaluate("i => i.width / i.height")
                said = photo.locator("img").evaluate(
                    "i => i.getAttribute('width') / i.getAttribute('height')"
                )
                assert box == over
                assert abs(own / said - 1) < 0.02, "nothing is cut off"
                marked += 1
        assert marked > 4
    finally:
        page.close()


def test_on_a_session_the_date_is_told_too(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    page.goto((demo_site.folder / f"{MARKED}.html").as_uri())
    page.locator("a.bb-photo").first.click()
    expect(page.locator("dialog[open]").locator(".bb-when")).to_have_text("9 October 2025")


@pytest.mark.parametrize("size", [PHONE, WIDE, (740, 360)])
def test_the_picture_fits_the_window(
    demo_site: Site, browser: Browser, size: tuple[int, int]
) -> None:
    page = opened(browser, demo_site, MARKED, size)
    try:
        page.locator("a.bb-photo").first.click()
        box = page.locator("dialog img").bounding_box()
        assert box
        assert box["x"] >= 0
        assert box["y"] >= 0
        assert box["x"] + box["width"] <= size[0]
        assert box["y"] + box["height"] <= size[1]
        assert box["width"] > 60
        assert page.evaluate("document.querySelector('dialog').scrollWidth") <= size[0]
    finally:
        page.close()


def test_a_swipe_turns_the_page(demo_site: Site, browser: Browser) -> None:
    page = opened(browser, demo_site, "sections/fin", PHONE, has_touch=True)
    try:
        page.locator("a.bb-photo").first.tap()
        frame = page.locator(".bb-frame")
        for kind, x in (("touchstart", 250), ("touchend", 100)):
            frame.evaluate(
                """(frame, [kind, x]) => {
                  const touch = new Touch({ identifier: 1, target: frame, clientX: x });
                  frame.dispatchEvent(new TouchEvent(kind, { bubbles: true, cancelable: true,
                    changedTouches: [touch], touches: kind === 'touchend' ? [] : [touch] }));
                }""",
                [kind, x],
            )
        expect(page.locator(".bb-place")).to_contain_text("2 of")
    finally:
        page.close()


def test_with_a_key_held_a_link_stays_a_link(demo_site: Site, browser: Browser) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto((demo_site.folder / "sections/fin.html").as_uri())
    try:
        with context.expect_page() as other:
            page.locator("a.bb-photo").first.click(modifiers=["Control"])
        assert other.value.url.endswith(".jpg")
        assert page.locator("dialog[open]").count() == 0
    finally:
        context.close()


def test_without_scripts_photos_are_links_and_the_gallery_is_a_list(
    demo_site: Site, browser: Browser
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        page.goto((demo_site.folder / "gallery.html").as_uri())
        expect(page.locator("form.bb-filters")).to_be_hidden()
        assert page.locator("figure").count() == page.locator("figure:visible").count() > 40
        page.locator("a.bb-photo").first.click()
        assert re.search(r"pictures/.*-\d+\.jpg$", page.url)
    finally:
        context.close()


@pytest.mark.parametrize(
    ("wanted", "animation"), [("reduce", "none"), ("no-preference", "bb-appear")]
)
def test_whoever_wants_no_motion_gets_none(
    demo_site: Site, browser: Browser, wanted: str, animation: str
) -> None:
    page = opened(browser, demo_site, "sections/fin", WIDE, reduced_motion=wanted)
    try:
        page.locator("a.bb-photo").first.click()
        found = page.evaluate("getComputedStyle(document.querySelector('dialog')).animationName")
        assert found == animation
    finally:
        page.close()


# Filters of the gallery.


def test_the_gallery_can_be_narrowed_down(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    page.goto((demo_site.folder / "gallery.html").as_uri())
    every = page.locator("[data-year]")
    total = every.count()
    assert {s.get_attribute("name") for s in page.locator(".bb-filters select").all()} == {
        "section",
        "step",
        "part",
        "operation",
        "person",
        "year",
    }
    expect(page.get_by_role("button", name="Show all")).to_be_hidden()
    page.locator("select[name=year]").select_option("2025")
    in_2025 = page.locator("[data-year='2025']").count()
    assert 0 < in_2025 < total
    expect(page.locator("[data-year]:visible")).to_have_count(in_2025)
    expect(page.locator(".bb-filters output")).to_have_text(f"{in_2025} of {total} shown")
    expect(page.locator("h2:visible", has_text=re.compile("^Fin"))).to_have_count(0)

    page.locator("select[name=section]").select_option("aft-fuselage")
    both = page.locator("[data-year='2025'][data-section='aft-fuselage']").count()
    expect(page.locator("[data-year]:visible")).to_have_count(both)
    assert page.url.endswith("#section=aft-fuselage&year=2025")
    page.reload()  # what was chosen stands in the address
    expect(page.locator("[data-year]:visible")).to_have_count(both)
    photos = page.locator("a.bb-photo:visible")  # without the clips, which are played elsewhere
    assert 1 < photos.count() <= both
    seen = "[...document.querySelectorAll('a.bb-photo')].filter(a => a.checkVisibility()).length"
    left = f"1 of {page.evaluate(seen)}"
    photos.first.click()
    expect(page.locator(".bb-place")).to_have_text(left)
    page.keyboard.press("Escape")

    page.get_by_role("button", name="Show all").click()
    expect(page.locator("[data-year]:visible")).to_have_count(total)
    watched.check()


def test_counts_in_the_choices_are_what_they_lead_to(demo_site: Site, watched: Watched) -> None:
    page = watched.page
    page.goto((demo_site.folder / "gallery.html").as_uri())
    for name in ("section", "step", "part", "operation", "person", "year"):
        choice = page.locator(f"select[name={name}]")
        for option in choice.locator("option").all()[1:]:
            count = int(option.inner_text().rpartition("(")[2].rstrip(")"))
            choice.select_option(option.get_attribute("value"))
            expect(page.locator("[data-year]:visible")).to_have_count(count)
        choice.select_option("")


# Accessibility.


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["gallery", SHEET, MARKED])
def test_axe_finds_nothing(demo_site: Site, browser: Browser, path: str, scheme: str) -> None:
    """axe-core's rules, on the photos of a page and on one opened over it."""
    if not AXE.is_file():
        said = "axe-core is not there: run tests/fetch_tools.py"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(said)
        pytest.skip(said)
    page = opened(browser, demo_site, path, WIDE, color_scheme=scheme)
    try:
        page.add_script_tag(path=AXE)
        assert violations(page, "figure, .bb-filters") == []
        page.locator("a.bb-photo").first.click()
        page.wait_for_function(
            "document.querySelector('dialog').getAnimations()"
            ".every(animation => animation.playState === 'finished')"
        )
        assert violations(page, "dialog") == []
        page.evaluate("document.querySelector('dialog img').removeAttribute('alt')")
        assert [v.partition(":")[0] for v in violations(page, "dialog")] == ["image-alt"], "control"
    finally:
        page.close()


def violations(page: Page, where: str) -> list[str]:
    found = page.evaluate("where => axe.run({ include: where.split(', ') })", where)["violations"]
    return [f"{v['id']}: {', '.join(n['target'][0] for n in v['nodes'])}" for v in found]
