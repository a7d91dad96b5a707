"""The Atom feed against another program's reading of it (feedparser), and the two standards.

RFC 4287 says what a feed and an entry must have, RFC 4151 what a `tag:` identifier looks like.
"""

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree as ET

import feedparser
import pytest
from sites import BASE, SmallSite

from buildbook.handover.feed import ATOM, feed
from buildbook.handover.showing import context_of
from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.records.read import read

ADDRESS = "https://book.example/plane"
# RFC 4151, 2.1: "tag:" authorityName "," date ":" specific
TAG = re.compile(r"tag:[a-z0-9.-]+,\d{4}(-\d\d(-\d\d)?)?:[A-Za-z0-9\-._~!$&'()*+,;=:@/?%]*")

FILES: dict[str, str | bytes] = {
    **BASE,
    "book.yml": f"{BASE['book.yml']}address: {ADDRESS}\n",  # type: ignore[str-bytes-safe]
    "sessions/a.yml": (
        "date: 2025-03-08\ntitle: Spar & ribs <first>\nstep: fin/skeleton\nfrom: 9:30\nto: 11:00\n"
        "who: ada, ben\nnotes: Drilled **FN-01** with [Ben](person:ben). It went well.\n"
    ),
    "sessions/b.yml": (
        "date: 2025-07-01\nstep: fin/skeleton\nhours: 1h\nnotes: More.\n"
        "amendments: [{date: 2025-07-04, field: hours, was: 2h}]\n"
    ),
    "sessions/c.yml": "date: 2025-07-02\nstep: fin/skeleton\nprivate: yes\nnotes: Hidden.\n",
}


def write(folder: Path, files: dict[str, str | bytes]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def made(folder: Path, edition: str = "full", **more: str) -> bytes:
    context = context_of(read(write(folder, {**FILES, **more})).book, edition)
    return feed(context, lambda path: f"{path}.html")


def test_another_program_reads_it(tmp_path: Path) -> None:
    read_by_other = feedparser.parse(made(tmp_path))
    assert not read_by_other.bozo, read_by_other.get("bozo_exception")
    assert read_by_other.version == "atom10"
    about = read_by_other.feed
    assert about.title == "The Fencroft book"
    assert {link.rel: link.href for link in about.links} == {
        "self": f"{ADDRESS}/feed.xml",
        "alternate": f"{ADDRESS}/",
    }
    newest, second, oldest = read_by_other.entries
    assert oldest.title == "Spar & ribs <first>"
    assert [a.name for a in oldest.authors] == ["Ada Fen", "Ben Fen"]
    assert oldest.link == f"{ADDRESS}/sessions/2025-03-08-spar-ribs-first.html"
    assert oldest.summary == "Drilled FN-01 with Ben."
    assert f'href="{ADDRESS}/parts/FN-01.html"' in oldest.content[0].value
    # 09:30 in Copenhagen is 08:30 UTC in March, noon is 10:00 UTC in July.
    assert datetime(*oldest.published_parsed[:6], tzinfo=UTC) == datetime(
        2025, 3, 8, 8, 30, tzinfo=UTC
    )
    assert datetime(*second.updated_parsed[:6], tzinfo=UTC) == datetime(2025, 7, 4, 10, tzinfo=UTC)
    assert newest.published > second.published > oldest.published
    assert about.updated == max(e.updated for e in read_by_other.entries)


def test_what_the_standard_asks_for(tmp_path: Path) -> None:
    """RFC 4287, 4.1.1 and 4.1.2: one id, title and updated each; ids differ; dates are RFC 3339."""
    root = ET.fromstring(made(tmp_path))
    entries = root.findall(f"{{{ATOM}}}entry")
    ids = [element.findtext(f"{{{ATOM}}}id") for element in (root, *entries)]
    assert len(set(ids)) == len(ids) == 4
    assert all(one and TAG.fullmatch(one) for one in ids), ids
    for element in (root, *entries):
        for name in ("id", "title", "updated"):
            assert len(element.findall(f"{{{ATOM}}}{name}")) == 1
        moment = element.findtext(f"{{{ATOM}}}updated") or ""
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", moment)
        assert element.findall(f"{{{ATOM}}}author")


def test_the_same_bytes_again(tmp_path: Path) -> None:
    assert made(tmp_path / "a") == made(tmp_path / "b")


def test_the_public_edition_has_what_is_public(tmp_path: Path) -> None:
    read_by_other = feedparser.parse(made(tmp_path, "public"))
    assert len(read_by_other.entries) == 2
    assert [a.name for a in read_by_other.entries[1].authors] == ["A. F.", "B. F."]


def test_an_empty_book_has_an_empty_feed(tmp_path: Path) -> None:
    files = {k: v for k, v in FILES.items() if not k.startswith("sessions/")}
    context = context_of(read(write(tmp_path, files)).book, "full")
    read_by_other = feedparser.parse(feed(context, lambda path: path))
    assert not read_by_other.bozo
    assert read_by_other.entries == []


@pytest.mark.parametrize("text", ["\x00", "\x0b", "\ufffe", "\ud800"])
def test_what_xml_cannot_hold_is_left_out(tmp_path: Path, text: str) -> None:
    book = read(write(tmp_path, FILES)).book
    odd = replace(book, file=book.file.model_copy(update={"title": f"x{text}y"}))
    context = Context(odd, derive(odd))
    read_by_other = feedparser.parse(feed(context, lambda path: path))
    assert not read_by_other.bozo
    assert read_by_other.feed.title == "xy"


def test_the_site_has_it_and_leads_to_it(small_site: SmallSite) -> None:
    site = small_site(FILES)
    read_by_other = feedparser.parse((site.folder / "feed.xml").read_bytes())
    assert not read_by_other.bozo
    for entry in read_by_other.entries:
        assert (site.folder / entry.link.removeprefix(f"{ADDRESS}/")).is_file()
    for path, page in site.pages():
        text = (site.folder / f"{path}.html").read_text(encoding="utf-8")
        if path != "404" and 'content="noindex"' not in text:
            root = "../" * path.count("/")
            link = f'title="The Fencroft book: sessions" href="{root}feed.xml"'
            assert f'type="application/atom+xml" {link}' in text
        del page
    sitemap = (site.folder / "sitemap.xml").read_text(encoding="utf-8")
    assert f"<loc>{ADDRESS}/sessions.html</loc>" in sitemap


def test_without_an_address_there_is_none(small_site: SmallSite) -> None:
    site = small_site({k: v for k, v in FILES.items() if k != "book.yml"})
    assert not (site.folder / "feed.xml").exists()
    assert "atom+xml" not in (site.folder / "index.html").read_text(encoding="utf-8")
