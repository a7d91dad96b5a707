"""Clips on the pages: played, led to, jumped in, and nothing published that was to be hidden."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from clipmaker import TOLD, make
from parsed import article
from playwright.sync_api import expect
from sites import BASE, Site, SmallSite

SESSION = """\
date: 2025-03-08
title: Drilling
step: fin/skeleton
operation: drill
parts: FN-01
hours: 1
notes: As can be seen [from the second hole on](clip:2025/drilling.mp4@0:01) and [here](clip:b.mov).
clips:
  - file: 2025/drilling.mp4
    caption: Drilling FN-01 <b>slowly</b>
    who: ben
    poster: 0:01
    chapters:
      - {at: 0:00, caption: The first hole}
      - {at: 0:01.5, caption: "The last & best"}
      - {at: 0:01, caption: Never mind}
  - file: b.mov
    caption: Another
    parts: FN-02-L
    silent: yes
  - link: https://example.org/videos?id=12&x=<y>
    caption: Elsewhere
    chapters: {at: 1:20, caption: The jig}
"""


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("clips")
    return {
        "photos/2025/drilling.mp4": make(folder / "a.mp4", told=TOLD, frames=60).read_bytes(),
        "photos/b.mov": make(folder / "b.mov", told=TOLD, sound="aac", rotation=90).read_bytes(),
    }


Built = Callable[[str], Site]


@pytest.fixture
def built(small_site: SmallSite, clips: dict[str, bytes]) -> Built:
    return lambda session: small_site({**BASE, **clips, "sessions/a.yml": session})


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory, clips: dict[str, bytes]) -> Site:
    from sites import build_small  # noqa: PLC0415

    good = SESSION.replace("      - {at: 0:01, caption: Never mind}\n", "").replace(
        "caption: The first hole}", "caption: The first hole}\n      - {at: 0:01, caption: Second}"
    )
    good = good.replace("&x=<y>", "&amp")
    guide = "# Guide\n\n[[clips]]\n\nNone of these:\n\n[[clips fin/close]]\n"
    files = {**BASE, **clips, "sessions/a.yml": good, "guide.md": guide}
    return build_small(tmp_path_factory.mktemp("site"), files)


HERE = "sessions/2025-03-08-drilling"


def test_a_film_with_its_picture_and_chapters(site: Site) -> None:
    assert not site.log
    page = article(site.page(HERE))
    first, second, third = page.all("figure", "bb-clip")
    film = first.one("video")
    assert film.attributes["preload"] == "none"
    assert film.attributes["width"] == "160"
    source = film.one("source").attributes["src"]
    assert source.startswith("../clips/drilling-")
    for address in (source, film.attributes["poster"]):
        assert (site.folder / HERE).parent.joinpath(address).is_file()
    links = first.one("ol", "bb-chapters").links
    assert [address for _, address in links] == [f"{source}#t={t}" for t in ("0", "1", "1.5")]
    assert "Drilling FN-01 <b>slowly</b>" in first.one("figcaption").text
    assert ("FN-01", "../parts/FN-01.html") in first.one("figcaption").links
    assert second.one("video").attributes["height"] == "160", "upright"
    assert not third.all("video")
    outside = [address for _, address in third.links if address.startswith("https:")]
    address = "https://example.org/videos?id=12&amp"
    assert outside == [address, f"{address}#t=80"]


def test_prose_leads_to_a_clip_and_to_a_chapter(site: Site) -> None:
    links = dict(article(site.page(HERE)).links)
    assert links["from the second hole on"] == f"../{HERE}.html#clip-1-chapter-2"
    assert links["here"] == f"../{HERE}.html#clip-2"
    ids = {e.attributes.get("id") for e in article(site.page(HERE))}
    assert {"clip-1", "clip-2", "clip-3", "clip-1-chapter-2"} <= ids


@pytest.mark.parametrize(
    ("path", "count"),
    [
        ("sections/fin", 3),
        ("sections/fin/skeleton", 3),
        ("parts/FN-01", 2),  # those that name no part show the one that was worked on
        ("parts/FN-02-L", 1),
        ("operations/drill", 3),
        ("gallery", 3),
    ],
)
def test_every_page_it_touches_leads_there(site: Site, path: str, count: int) -> None:
    cards = article(site.page(path)).all("figure", "bb-card")
    assert len(cards) == count
    for card in cards:
        (_, address), *_ = card.links
        assert "2025-03-08-drilling.html#clip-" in address
        for image in card.all("img"):
            assert image.attributes["alt"].startswith("Clip: ")
            folder = (site.folder / path).parent
            assert (folder / image.attributes["src"]).is_file()
            preview = card.one("span", "bb-length").attributes["data-preview"]
            assert (folder / preview).is_file()


def test_a_tag_puts_them_on_a_page_of_one_s_own(site: Site) -> None:
    page = article(site.page("guide"))
    assert len(page.all("figure", "bb-card")) == 3
    assert "[[" not in page.text


def test_only_derivatives_are_published(site: Site, clips: dict[str, bytes]) -> None:
    published = [p for p in site.folder.rglob("*") if p.is_file()]
    names = sorted(p.name.rsplit("-", 1)[1] for p in published if p.parent.name == "clips")
    assert names == ["160.jpg", "160.jpg", *["film.mp4"] * 2, *["preview.mp4"] * 2]
    for path in published:
        data = path.read_bytes()
        assert data not in clips.values()
        assert b"SECRET-" not in data
    assert not (site.folder / "photos").exists()


def test_a_book_without_clips_has_no_such_folder(small_site: SmallSite) -> None:
    built = small_site(dict(BASE))
    assert not (built.folder / "clips").exists()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("silent: yes", "silent: maybe"),
        ("silent: yes", 'blur: "the face"'),
        ("silent: yes", "blur: 0.9, 0.9, 0.5, 0.5"),
        ("    caption: Another\n", ""),
        ("hours: 1\n", "hours: one\n"),
    ],
)
def test_a_slip_publishes_nothing_that_was_to_be_hidden(built: Built, old: str, new: str) -> None:
    assert old in SESSION
    made = built(SESSION.replace(old, new, 1))
    assert made.log
    films = {p.name.partition("-")[0] for p in (made.folder / "clips").glob("*")}
    assert "b" not in films or "hours" in new
    if "hours" in new:  # a slip elsewhere costs only itself
        assert films == {"b", "drilling"}


def test_a_clip_that_cannot_be_read_is_told_and_the_rest_is_built(
    small_site: SmallSite, clips: dict[str, bytes]
) -> None:
    broken = {**clips, "photos/b.mov": b"no film"}
    made = small_site({**BASE, **broken, "sessions/a.yml": SESSION})
    said = "`photos/b.mov` is not a clip of a kind that can be read here"
    assert any(said in line for line in made.log)
    assert len(article(made.page(HERE)).all("video")) == 1


def test_a_chapter_jumps_and_is_marked(site: Site, browser) -> None:
    """Chromium plays what is published, from disk."""
    context = browser.new_context()
    page, errors = context.new_page(), []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        page.goto((site.folder / f"{HERE}.html").as_uri())
        chapter = page.locator(".bb-clip a.bb-seek").nth(2)
        chapter.click()
        film = page.locator(".bb-clip video").first
        page.wait_for_function("v => v.currentTime >= 1.5", arg=film.element_handle())
        assert page.evaluate("v => v.error", film.element_handle()) is None
        assert page.evaluate("v => [v.videoWidth, v.videoHeight]", film.element_handle()) == [
            160,
            120,
        ]
        expect(chapter).to_have_attribute("aria-current", "true")
        assert page.url.endswith(f"{HERE}.html"), "it stays on the page"

        page.goto((site.folder / "gallery.html").as_uri())
        card = page.locator("a.bb-still").first
        card.hover()
        page.wait_for_function("document.querySelector('a.bb-still video')?.currentTime > 0.2")
        page.mouse.move(0, 0)
        expect(card.locator("video")).to_have_count(0)
        assert errors == []
    finally:
        context.close()


def test_a_link_to_a_chapter_waits_at_its_place(site: Site, browser) -> None:
    context = browser.new_context()
    page = context.new_page()
    try:
        page.goto((site.folder / f"{HERE}.html").as_uri() + "#clip-1-chapter-2")
        page.wait_for_function("document.querySelector('.bb-clip video').currentTime === 1")
        assert page.evaluate("document.querySelector('.bb-clip video').paused")
        expect(page.locator(".bb-clip video").first).to_be_in_viewport()
    finally:
        context.close()


def test_without_a_script_a_chapter_opens_the_film_at_its_place(site: Site, browser) -> None:
    """The address alone does it: Media Fragments URI 1.0, test case TC0011-UA."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        page.goto((site.folder / f"{HERE}.html").as_uri())
        page.locator(".bb-clip a.bb-seek").nth(1).click()
        expect(page).to_have_url(re.compile(r"film\.mp4#t=1$"))
    finally:
        context.close()


def test_reduced_motion_keeps_pictures_still(site: Site, browser) -> None:
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    try:
        page.goto((site.folder / "gallery.html").as_uri())
        page.locator("a.bb-still").first.hover()
        page.wait_for_timeout(300)
        expect(page.locator("a.bb-still video")).to_have_count(0)
    finally:
        context.close()


def test_the_gallery_of_the_demo_shows_its_clips(demo_site: Site) -> None:
    cards = article(demo_site.page("gallery")).all("figure", "bb-card")
    assert len(cards) == 3
    assert Path(cards[0].one("img").attributes["src"]).suffix == ".jpg"
