"""The documentation as a site: no link is broken, no page is an orphan, nothing is fetched."""

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag, urlsplit

import pytest
from fetch_tools import AXE
from markdown_pages import DOCS, made_pages, page_names, text_of
from sites import ROOT

from buildbook.records.kinds import KINDS
from mkdocs_buildbook.plugin import STYLES


class Links(HTMLParser):
    """What a page links to and loads, and the places in it that may be linked to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.loaded: list[str] = []
        self.places: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if place := told.get("id") or told.get("name"):
            self.places.add(place)
        if tag == "a" and told.get("href"):
            self.links.append(told["href"] or "")
        elif tag in ("script", "img", "iframe", "source") and told.get("src"):
            self.loaded.append(told["src"] or "")
        elif tag == "link" and told.get("rel") != "canonical" and told.get("href"):
            self.loaded.append(told["href"] or "")


RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """Build the documentation as `run.py docs` does."""
    folder = tmp_path_factory.mktemp("manual")
    subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "-f", "docs.yml", "-d", folder],
        cwd=ROOT,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        check=True,
    )
    return folder


@pytest.fixture(scope="module")
def site(folder) -> dict[str, Links]:
    """Read the pages of the documentation, by their path; under `files` all files."""
    pages = sorted(folder.rglob("*.html"))
    found = {p.relative_to(folder).as_posix(): Links(p.read_text(encoding="utf-8")) for p in pages}
    found.pop("404.html")
    found["files"] = Links("")
    found["files"].links = [
        p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()
    ]
    return found


def test_no_link_is_broken(site):
    files = set(site["files"].links)
    broken = []
    for name, page in site.items():
        if name == "files":
            continue
        for link in (*page.links, *page.loaded):
            if urlsplit(link).scheme in ("http", "https", "mailto", "data"):
                continue
            path, place = urldefrag(link)
            target = _joined(name, unquote(path))
            if target not in files:
                broken.append(f"{name}: {link}")
            elif place and target.endswith(".html") and unquote(place) not in site[target].places:
                broken.append(f"{name}: there is no place {link}")
    assert not broken


def test_no_page_is_an_orphan(site):
    """From the first page every page is reached, without the search."""
    reached, waiting = set(), ["index.html"]
    while waiting:
        name = waiting.pop()
        if name in reached or name not in site:
            continue
        reached.add(name)
        waiting += [
            _joined(name, unquote(urldefrag(link)[0]))
            for link in site[name].links
            if not urlsplit(link).scheme
        ]
    assert reached == site.keys() - {"files"}
    assert {f"records/{name}.html" for name in KINDS} <= reached


def test_nothing_comes_from_another_host(site):
    """It opens from disk, without a network."""
    far = {link for page in site.values() for link in page.loaded if urlsplit(link).netloc}
    assert not far


def test_it_has_the_look_of_a_book(site):
    assert set(STYLES) <= set(site["index.html"].loaded)


@pytest.mark.parametrize("page", page_names())
def test_links_between_the_files_as_they_are(page):
    """They are read on a forge too: what they link to is there, or is made."""
    made = {(DOCS / name).resolve() for name in made_pages()}
    text = re.sub(r"```.*?```|`[^`\n]*`", "", text_of(page), flags=re.DOTALL)
    for link in re.findall(r"\]\(([^)\s]+)\)", text):
        if urlsplit(link).scheme or link.startswith("#"):
            continue
        target = (ROOT / page).parent / urldefrag(link)[0]
        assert target.exists() or target.resolve() in made, f"{page}: {link}"


def _joined(page: str, link: str) -> str:
    if not link:
        return page
    base = Path("/") / page
    path = os.path.normpath(base.parent / link).lstrip("/")
    return path or "index.html"


OF_A_KIND = ("index", "tutorial", "how-to/editions", "how-to/squawks", "records/lots", "safety")
"""Pages that have between them whatever a page of the documentation has."""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(folder, browser, scheme):
    """WCAG 2.2 AA as axe-core tests it, on a small screen, where tables have to be scrolled."""
    if not AXE.is_file():
        pytest.skip("axe-core is not there: run tests/fetch_tools.py")
    context = browser.new_context(color_scheme=scheme, viewport={"width": 320, "height": 900})
    found = {}
    for name in OF_A_KIND:
        page = context.new_page()
        page.goto((folder / f"{name}.html").as_uri())
        page.add_script_tag(path=AXE)
        told = page.evaluate("rules => axe.run(document, { runOnly: rules })", RULES)
        if wrong := [f"{v['id']}: {v['nodes'][0]['html'][:80]}" for v in told["violations"]]:
            found[name] = wrong
        page.close()
    assert found == {}


def test_no_page_is_wider_than_a_small_screen(site, folder, browser):
    page = browser.new_page(viewport={"width": 320, "height": 900})
    wide = []
    for name in sorted(site.keys() - {"files"}):
        page.goto((folder / name).as_uri())
        if page.evaluate("document.documentElement.scrollWidth") > 320:
            wide.append(name)
    page.close()
    assert not wide
