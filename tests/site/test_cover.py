"""The picture that opens the book: the one it names, the latest photo otherwise."""

from pathlib import Path

from parsed import Element
from sites import BASE, BOOK, FOUR_LINES, ROOT, Site, SmallSite

from buildbook.handover.editions import edition
from buildbook.records.read import read

PICTURE = next((ROOT / "content" / "photos").rglob("*.jpg")).read_bytes()
SHOWN = (
    "photos:\n  - {file: first.jpg, caption: The first}\n  - {file: last.jpg, caption: The last}\n"
)
FILES: dict[str, str | bytes] = {
    **BASE,
    "photos/first.jpg": PICTURE,
    "photos/last.jpg": PICTURE,
    "sessions/1.yml": FOUR_LINES + SHOWN,
}


def cover(site: Site) -> Element:
    return site.page("index").one("div", "bb-cover").one("img")


def test_without_a_word_it_is_the_latest_photo(small_site: SmallSite) -> None:
    assert cover(small_site(FILES)).attributes["alt"] == "The last"


def test_the_book_may_name_another(small_site: SmallSite) -> None:
    site = small_site({**FILES, "book.yml": f"{BOOK}cover: first.jpg\n"})
    assert cover(site).attributes["alt"] == "The first"
    assert "loading" not in cover(site).attributes  # it is what one sees first


def test_a_book_without_photos_opens_without(small_site: SmallSite) -> None:
    site = small_site({**BASE, "sessions/1.yml": FOUR_LINES})
    assert not site.page("index").one("div", "bb-cover").all("img")


def test_a_private_photo_is_on_no_cover(tmp_path: Path) -> None:
    private = SHOWN.replace("caption: The first}", "caption: The first, private: yes}")
    for name, text in {
        **FILES,
        "book.yml": f"{BOOK}cover: first.jpg\n",
        "sessions/1.yml": FOUR_LINES + private,
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    whole = read(tmp_path).book
    assert whole.file.cover == "first.jpg"
    assert edition(whole, "public").file.cover is None
