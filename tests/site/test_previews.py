"""What a page says to programs that show a preview of it, by the Open Graph protocol (ogp.me)."""

import io
import re
from html import unescape

from PIL import Image
from sites import BASE, Site, SmallSite

ADDRESS = "https://book.example/plane/"
NEEDED = {"og:title", "og:type", "og:url", "og:image"}
"""Required for every page (ogp.me, "Basic Metadata"); a page without a picture has no image."""


def jpeg() -> bytes:
    written = io.BytesIO()
    Image.new("RGB", (640, 480), (90, 90, 120)).save(written, "JPEG")
    return written.getvalue()


FILES: dict[str, str | bytes] = {
    **BASE,
    "photos/Ben at work.jpg": jpeg(),
    "sessions/a.yml": (
        'date: 2025-03-08\ntitle: "Spar & \\"ribs\\""\nstep: fin/skeleton\nhours: 1h\n'
        "notes: Drilled by <Ben>.\nphotos: [{file: Ben at work.jpg, caption: Ben's rib}]\n"
    ),
}


def properties(site: Site, path: str) -> dict[str, str]:
    text = (site.folder / f"{path}.html").read_text(encoding="utf-8")
    head = text.split("</head>")[0]
    return {
        name: unescape(value)
        for name, value in re.findall(r'<meta property="([^"]+)" content="([^"]*)">', head)
    }


def test_pages_say_what_they_are(small_site: SmallSite) -> None:
    book = f"{BASE['book.yml']}address: {ADDRESS}\n"  # type: ignore[str-bytes-safe]
    site = small_site({**FILES, "book.yml": book})
    session = properties(site, "sessions/2025-03-08-spar-ribs")
    assert session.keys() >= NEEDED
    assert session["og:title"] == 'Spar & "ribs"'
    assert session["og:type"] == "article"
    assert session["og:site_name"] == "The Fencroft book"
    assert session["og:url"] == f"{ADDRESS}sessions/2025-03-08-spar-ribs.html"
    assert session["og:image:alt"] == "Ben's rib"
    picture = site.folder / session["og:image"].removeprefix(ADDRESS)
    with Image.open(picture) as shown:
        size = [session["og:image:width"], session["og:image:height"]]
        assert [str(side) for side in shown.size] == size
    home = properties(site, "index")
    assert home["og:type"] == "website"
    assert home["og:url"].removesuffix("index.html") == ADDRESS


def test_without_an_address_there_are_no_links(small_site: SmallSite) -> None:
    site = small_site(FILES)
    session = properties(site, "sessions/2025-03-08-spar-ribs")
    assert session["og:title"] == 'Spar & "ribs"'
    assert "og:image" not in session
    assert "og:url" not in session


def test_an_edition_tells_no_more_than_it_shows(small_site: SmallSite) -> None:
    from sites import SETTINGS  # noqa: PLC0415

    book = f"{BASE['book.yml']}address: {ADDRESS}\n"  # type: ignore[str-bytes-safe]
    settings = SETTINGS.replace("  - buildbook\n", "  - buildbook:\n      edition: public\n")
    site = small_site({**FILES, "book.yml": book}, settings=settings)
    session = properties(site, "sessions/2025-03-08-spar-ribs")
    assert session["og:image:alt"] == "B. F.'s rib"
    assert re.fullmatch(rf"{ADDRESS}pictures/2025-03-08-01-[0-9a-f]+-\d+\.jpg", session["og:image"])
    settings = SETTINGS.replace("  - buildbook\n", "  - buildbook:\n      edition: inspector\n")
    site = small_site({**FILES, "book.yml": book}, settings=settings)
    handed = properties(site, "sessions/2025-03-08-spar-ribs")
    assert "og:url" not in handed, "what is handed over has no place on the web"
