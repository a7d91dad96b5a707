"""What others write does nothing but be read, and what is private stays out of the site."""

import io
import json
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote, unquote

import pytest
from hostile import PAYLOADS, hostile_book
from parsed import Document, Element, article, parse_text
from PIL import ExifTags, Image
from sites import BASE, Site, SmallSite

from buildbook.pages.prose import TAGS
from buildbook.records.kinds import KINDS
from buildbook.records.read import read
from buildbook.records.record import record_in

EVERY_TAG = """\
# All that can be filled in

[[total]] of work.

[[hours]]

[[parts]]

[[photos]]

[[sessions]]

[[lessons]]

[[squawks]]
"""

PLACE = ((55.0, 40.0, 33.42), (12.0, 34.0, 5.0))
"""Degrees, minutes, seconds north and east."""

SECRET = "Known only to the camera"


def photo(number: int = 0) -> bytes:
    """A small picture as a phone takes it: with the place, the owner and a comment in it."""
    picture = Image.new("RGB", (48, 32), (number * 7 % 256, 90, 120))
    exif = picture.getexif()
    exif[ExifTags.Base.ImageDescription] = SECRET
    exif[ExifTags.Base.Artist] = SECRET
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", PLACE[0]
    gps[ExifTags.GPS.GPSLongitudeRef], gps[ExifTags.GPS.GPSLongitude] = "E", PLACE[1]
    xmp = f"<x:xmpmeta xmlns:x='adobe:ns:meta/'>{SECRET}</x:xmpmeta>".encode()
    written = io.BytesIO()
    picture.save(written, "JPEG", exif=exif, comment=SECRET, xmp=xmp)
    return written.getvalue()


def photo_names() -> list[str]:
    """File names that are hostile too, as far as a disk takes them."""
    names = {" ".join(p.split()) for p in PAYLOADS if "/" not in p and "\\" not in p}
    return sorted(f"{name}.jpg" for name in names if not name.startswith((".", "_")))


@dataclass(frozen=True)
class Book:
    """A book built with these texts in every field."""

    site: Site
    files: dict[str, str | bytes]
    fields: set[tuple[str, str]]


def built(small_site: SmallSite, texts: list[str], names: list[str]) -> Book:
    files, fields = hostile_book(texts, names)
    files["all.md"] = EVERY_TAG
    files |= {f"photos/{name}": photo(n) for n, name in enumerate(names)}
    return Book(small_site(files), files, fields)


@pytest.fixture(scope="module")
def hostile(small_site: SmallSite) -> Book:
    return built(small_site, PAYLOADS, photo_names())


@pytest.fixture(scope="module")
def harmless(small_site: SmallSite) -> Book:
    """The same book with plain words: what its pages are made of, hostile ones may be made of."""
    return built(small_site, [f"plain words {n}" for n in range(12)], ["a.jpg", "b.jpg"])


def test_the_texts_are_in_the_book(hostile: Book) -> None:
    """Nothing was refused on the way in: all that follows would be a test of nothing."""
    assert len(PAYLOADS) > 40
    assert len(hostile.fields) > 60
    book = read(hostile.site.folder.parent / "content").book
    for kind in KINDS:
        records = getattr(book, kind, None)
        if records is not None and kind != "balance":  # of which there is one
            assert len(records) >= 25, kind
    models = {model for model, _ in hostile.fields}
    for kind in KINDS.values():
        for model in (kind.model, *filter(None, map(_record, kind.model.model_fields.values()))):
            without_words = {"Units", "Air", "Storage", "Corner", "Editions"}
            assert model.__name__ in models | without_words, model


def _record(field):
    return record_in(field.annotation)


FORBIDDEN = frozenset(
    {"script", "iframe", "object", "embed", "frame", "frameset", "applet", "form", "input"}
    | {"button", "select", "textarea", "style", "link", "meta", "base", "template", "noscript"}
    | {"math", "audio", "video", "source", "marquee", "animate", "use", "foreignobject"}
)
"""Elements that run, load or ask for something; none of ours is one of them."""


OUR_STYLES = re.compile(
    r"(?:width: [\d.]+%|--ratio: [\d.]+|background-color: #[0-9a-f]{6}"
    r"|transform-origin: [\d.]+px [\d.]+px);?"
)
"""What our templates write into `style`: numbers and colours they worked out themselves."""


Shape = tuple[str, tuple[str, ...]]
"""An element's name and the names of its attributes."""


def shape(element: Element) -> Shape:
    return element.tag, tuple(sorted(element.attributes))


def frame(page: Document) -> Counter[Shape]:
    """Count the elements of the frame around what a page says, by name and attributes."""
    inner = article(page)
    said = {id(e) for e in inner}
    return Counter(shape(e) for e in page if id(e) not in said)


SIFTED = ("gallery", "sessions", "parts", "lessons")
"""Lists with a form of ours, to show only some of what is in them."""


def test_nothing_in_a_page_comes_from_a_record(harmless: Book, hostile: Book) -> None:
    usual_content: set[Shape] = set()
    usual_frame: set[Shape] = set()
    usual_scripts: set[str] = set()
    elsewhere: set[str] = set()
    for path, page in harmless.site.pages():
        if path != "404":
            usual_content |= {shape(e) for e in article(page)}
            if path not in SIFTED:
                elsewhere |= {e.tag for e in article(page)}
            usual_frame |= frame(page).keys()
            usual_scripts |= scripts(page)
    # A session has its own clips, and with them their script.
    assert sorted(elsewhere & FORBIDDEN - {"video", "source", "script"}) == []
    for path, page in hostile.site.pages():
        if path == "404":
            continue
        # Titles and descriptions go through the theme's templates, which print them as they are.
        assert not frame(page).keys() - usual_frame, path
        assert not scripts(page) - usual_scripts, path
        for element in article(page):
            if element.tag not in TAGS:
                # An element of ours carries the attributes our templates give it, and no others.
                assert shape(element) in usual_content, (path, shape(element))
        for element in page:
            check_attributes(path, element)


def scripts(page: Document) -> set[str]:
    """Collect the scripts written into a page, without what depends on where it stands."""
    return {re.sub(r'"base": ?"[./]*"', "", script.text) for script in page.all("script")}


def check_attributes(path: str, element: Element) -> None:
    for name, value in element.attributes.items():
        assert not name.startswith("on"), (path, element.tag, name)
        if name in {"href", "src", "srcset", "action", "formaction", "data", "poster"}:
            check_address(path, element, value)
        if name == "style":
            assert OUR_STYLES.fullmatch(value), (path, value)


def check_address(path: str, element: Element, value: str) -> None:
    """Refuse every scheme but the web's, as a browser reads it: without control characters."""
    read_as = re.sub(r"[\x00-\x20]", "", unquote(value)).lower()
    scheme = re.match(r"([a-z][a-z0-9+.\-]*):", read_as)
    assert not scheme or (
        element.tag in ("a", "link") and scheme[1] in ("http", "https", "mailto")
    ), f"{path}: {value!r}"
    # No record makes a page load something from elsewhere.
    assert element.tag == "a" or not read_as.startswith("//"), f"{path}: {value!r}"


def test_the_texts_are_shown(hostile: Book) -> None:
    """Titles are texts: whoever reads the page sees them as they were written."""
    book = read(hostile.site.folder.parent / "content").book
    for name, section in book.sections.items():
        assert article(hostile.site.page(f"sections/{name}")).one("h1").text == section.title
    for name, operation in book.operations.items():
        page = article(hostile.site.page(f"operations/{name}"))
        assert page.one("h1").text == operation.title
        for caution in operation.cautions:
            assert caution in [li.text for li in page.one("section", "bb-cautions").all("li")]
    captions: list[str] = []
    for slug, session in book.sessions.items():
        page = hostile.site.page(f"sessions/{slug}")
        assert article(page).one("h1").text == session.title
        assert page.one("title").text.startswith(session.title or "")
        captions += [image.attributes["alt"] for image in article(page).all("img")]
    assert len(captions) > 5  # not every name of a picture is taken
    assert set(captions) <= {s.photos[0].caption for s in book.sessions.values()}
    for number, squawk in book.squawks.items():
        assert article(hostile.site.page(f"squawks/{number}")).one("h1").text.endswith(squawk.title)


def test_the_search_index_holds_texts_only(hostile: Book) -> None:
    """The theme puts a result's title and text into the page as HTML."""
    file = hostile.site.folder / "search" / "search_index.json"
    entries = json.loads(file.read_text(encoding="utf-8"))["docs"]
    assert len(entries) > 200
    for entry in entries:
        tags = {e.tag for text in (entry["title"], entry["text"]) for e in parse_text(text)}
        assert tags <= {"p", "ul", "ol", "li", "code", "pre", "em", "strong"}, entry
        assert not any(e.attributes for e in parse_text(entry["title"] + entry["text"])), entry


def test_no_page_runs_anything_in_a_browser(hostile: Book, browser) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened: list[str] = []
    asked: list[str] = []
    page = context.new_page()
    page.on("dialog", lambda dialog: (opened.append(page.url), dialog.dismiss()))
    page.on("request", lambda r: asked.append(r.url) if not r.url.startswith("file:") else None)
    folder = hostile.site.folder
    some = [p.stem for p in sorted(folder.glob("*.html")) if p.stem != "404"]
    for kind in (
        "sections/*",
        "sections/*/*",
        "sessions/*",
        "parts/*",
        "operations/*",
        "squawks/*",
    ):
        found = sorted(folder.glob(f"{kind}.html"))
        some += [
            f.relative_to(folder).with_suffix("").as_posix() for f in found[:: len(found) // 6]
        ]
    try:
        for path in some:
            page.goto((folder / f"{quote(path)}.html").as_uri())
            # What waits for a pointer, a focus or the end of an animation.
            page.evaluate(
                "for (const e of document.querySelectorAll('article *')) {"
                "  e.dispatchEvent(new MouseEvent('mouseover', {bubbles: true}));"
                "  e.focus?.();"
                "}"
            )
        for words in ("onerror", "href", "onmouseover"):
            page.locator("[data-md-component=search-query]").click()
            page.locator("[data-md-component=search-query]").fill(words[:-1])
            page.locator("[data-md-component=search-query]").press(words[-1])
            page.locator(".md-search-result__item").first.wait_for()
            page.locator(".md-search-result__item a").first.hover()
    finally:
        context.close()
    assert len(some) > 30
    assert opened == []
    assert [url for url in asked if not url.startswith(("blob:", "data:image/svg"))] == []


# Private things.


def test_only_pages_pictures_and_assets_are_published(small_site: SmallSite) -> None:
    site = small_site(
        {
            **BASE,
            "sessions/2025-03-08.yml": (
                "date: 2025-03-08\nstep: fin/skeleton\nhours: 1h\nnotes: Drilled.\n"
                "photos:\n- file: 2025/spar.jpg\n  caption: The spar\n"
            ),
            "photos/2025/spar.jpg": photo(1),
            "photos/2025/not-shown.jpg": photo(2),
            "photos/2025/clip.mp4": b"not shown either",
            "notes.md": "# Notes\n\nSome words.\n",
            "assets/plan.txt": "a file for the site",
            "lots.yml": "- lot: primer-1\n  title: Primer\n  cost: 41 EUR\n",
            "letter.pdf": b"%PDF-1.4 private",
            "drawings/scan.png": b"private",
            "accounts.csv": "what,cost\nspar,900\n",
        }
    )
    there = {f.relative_to(site.folder).as_posix() for f in site.folder.rglob("*") if f.is_file()}
    assert {"notes.html", "assets/plan.txt", "parts/FN-01.html"} <= there
    endings = {Path(name).suffix for name in there}
    assert not endings & {".yml", ".yaml", ".md", ".mp4", ".pdf", ".csv"}
    pictures = {name for name in there if name.endswith((".jpg", ".png", ".heic"))}
    own = {name for name in pictures if not name.startswith("assets/images/")}
    assert {name.rpartition("-")[0].rpartition("-")[0] for name in own} == {"pictures/spar"}
    content = site.folder.parent / "content"
    originals = {f.read_bytes() for f in content.rglob("*") if f.is_file()}
    for name in there - {"assets/plan.txt"}:
        assert (site.folder / name).read_bytes() not in originals, name
    # What things cost is the builder's own affair.
    for name in there:
        assert b"41 EUR" not in (site.folder / name).read_bytes(), name


MARKERS = (
    b"Exif\0\0",
    b"http://ns.adobe.com/",
    b"adobe:ns:meta",
    b"Photoshop 3.0",
    SECRET.encode(),
)
"""How metadata begins in a JPEG: Exif 2.32 (JEITA CP-3451), XMP part 3 (ISO 16684-1), IPTC."""


def test_published_pictures_carry_no_metadata(hostile: Book) -> None:
    original = next(v for k, v in hostile.files.items() if k.startswith("photos/"))
    assert isinstance(original, bytes)
    assert all(marker in original for marker in (b"Exif\0\0", SECRET.encode()))  # there to be lost
    pictures = list((hostile.site.folder / "pictures").iterdir())
    assert len(pictures) > 5
    for file in pictures:
        data = file.read_bytes()
        assert not [marker for marker in MARKERS if marker in data], file.name
        with Image.open(file) as picture:
            assert not picture.getexif()
            assert not picture.info.keys() & {"exif", "xmp", "comment", "icc_profile", "photoshop"}


def test_the_demos_pictures_carry_no_metadata(demo_site: Site) -> None:
    pictures = list((demo_site.folder / "pictures").glob("*.jpg"))
    assert pictures
    for file in pictures:
        data = file.read_bytes()
        assert not [marker for marker in MARKERS if marker in data], file.name
        with Image.open(file) as picture:
            assert not picture.getexif()


def test_no_page_tells_a_place_or_a_path(hostile: Book) -> None:
    """Neither where a photo was taken nor where the book is on the machine."""
    folder = hostile.site.folder.parent
    told = [
        str(folder),
        str(Path.home()),
        "33.42",  # seconds of the latitude above
        f"{PLACE[0][0] + PLACE[0][1] / 60 + PLACE[0][2] / 3600:.3f}",
        "GPSLatitude",
        SECRET,
    ]
    for file in hostile.site.folder.rglob("*"):
        if file.suffix in (".html", ".json", ".js", ".xml", ".txt"):
            text = file.read_text(encoding="utf-8")
            if "assets/javascripts" not in file.as_posix():
                assert not [word for word in told if word in text], file.name
