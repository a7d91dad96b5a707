"""Every link of every page leads somewhere."""

import re
from collections import Counter
from urllib.parse import unquote, urlsplit

import pytest
from parsed import Document, article
from sites import Site

OUTSIDE = ("http", "https", "mailto", "data")


@pytest.fixture(scope="module")
def pages(demo_site: Site) -> dict[str, Document]:
    return dict(demo_site.pages())


def addresses(page: Document) -> list[str]:
    found = []
    for element in page:
        found += [
            element.attributes[name] for name in ("href", "src") if name in element.attributes
        ]
        if "srcset" in element.attributes:
            found += [part.split()[0] for part in element.attributes["srcset"].split(",")]
    return found


def test_every_address_is_a_file(demo_site: Site, pages: dict[str, Document]) -> None:
    dead = []
    count = 0
    for path, page in pages.items():
        here = (demo_site.folder / f"{path}.html").parent
        for address in addresses(page):
            parts = urlsplit(address)
            if parts.scheme in OUTSIDE or not parts.path:
                continue
            count += 1
            # The page for what is not found is served at any address, and so has rooted ones.
            start = demo_site.folder if parts.path.startswith("/") else here
            target = start / unquote(parts.path).lstrip("/")
            if not target.is_file() and not (path == "404" and target.is_dir()):
                dead.append(f"{path}: {address}")
    assert count > 1000
    assert dead == []


def test_every_fragment_is_an_id(demo_site: Site, pages: dict[str, Document]) -> None:
    ids = {path: {e.attributes.get("id", "") for e in page} for path, page in pages.items()}
    dead = []
    count = 0
    for path, page in pages.items():
        here = (demo_site.folder / f"{path}.html").parent
        for address in addresses(page):
            parts = urlsplit(address)
            if parts.scheme in OUTSIDE or not parts.fragment or path == "404":
                continue
            file = (here / unquote(parts.path)).resolve() if parts.path else None
            if file and file.suffix == ".mp4":  # a time in a film
                continue
            count += 1
            to = file.relative_to(demo_site.folder.resolve()).with_suffix("") if file else path
            if unquote(parts.fragment) not in ids[str(to)]:
                dead.append(f"{path}: {address}")
    assert count > 100
    assert dead == []


def test_ids_are_unique(pages: dict[str, Document]) -> None:
    for path, page in pages.items():
        counts = Counter(e.attributes["id"] for e in page if "id" in e.attributes)
        assert [name for name, n in counts.items() if n > 1] == [], path


def test_labels_and_descriptions_point_at_ids(pages: dict[str, Document]) -> None:
    """In what pages say; the theme's navigation names labels it leaves out for short folders."""
    count = 0
    for path, page in pages.items():
        if path == "404":
            continue
        ids = {e.attributes.get("id") for e in page}
        for element in article(page):
            for name in ("aria-labelledby", "aria-describedby", "aria-controls"):
                for cited in element.attributes.get(name, "").split():
                    count += 1
                    assert cited in ids, f"{path}: {name}={cited}"
    assert count


def test_no_internal_scheme_is_left(demo_site: Site) -> None:
    for file in demo_site.folder.rglob("*.html"):
        assert not re.search(r'="buildbook:', file.read_text(encoding="utf-8")), file.name
