"""Hand-written pages: tags filled in, names made links, code left alone, dead names told."""

import pytest
from parsed import Element, article
from sites import BASE, FOUR_LINES, Site, SmallSite

LESSONS = """\
- lesson: 1
  title: Clamp before drilling
  operations: drill
- lesson: 12
  title: Deburr both sides
  parts: FN-01
"""

SQUAWKS = """\
- squawk: 1
  title: A scratch
  step: fin/skeleton
"""

PAGE = """\
# Notes on FN-01

In all [[total]], of which [[total fin]] on the fin.

[[hours fin]]

[[parts]]

[[sessions fin/skeleton]]

[[lessons drill]]

[[squawks open]]

## About FN-01 and fin/close

FN-01 is in fin/skeleton; lesson 12 and squawk 1 say more. See [the rib](part:FN-02-L),
[a step](step:fin/close) and [Ada](person:ada). FN-02-L-03 is a piece.

Not names: XFN-01, FN-01-XX, FN-011, fin/skeletons, lessons 123456, [FN-01](../sections.md).

Code: `FN-01 and [[total]]`, and

```
FN-01 [[hours]] <a href="part:FN-01"> lesson 12
```

    FN-01 [[sessions]] lesson 1

<span title="FN-01">FN-01</span>
"""


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    return small_site(
        {
            **BASE,
            "lessons.yml": LESSONS,
            "squawks.yml": SQUAWKS,
            "sessions/2025-03-08.yml": FOUR_LINES,
            "more/notes.md": PAGE,
            "broken.md": (
                "# Broken\n\nSee [x](part:FN-99), lesson 77 and [[hours finn]] and [[houres]].\n"
            ),
            "with a space & more.md": "# Spaces\n\nFN-01 again.\n",
        }
    )


@pytest.fixture(scope="module")
def page(site: Site) -> Element:
    return article(site.page("more/notes"))


def test_tags_are_filled_in(page: Element) -> None:
    assert "In all 2 h 30, of which 2 h 30 on the fin." in page.text
    captions = [table.one("caption").text for table in page.all("table")]
    assert captions == ["Hours by step, Fin", "Parts", "Squawks"]
    (sessions,) = page.all("ul", "bb-sessions")
    assert dict(sessions.links) == {"Fin: skeleton": "../sessions/2025-03-08.html"}
    (lesson,) = page.all("article", "bb-lesson")
    assert "Clamp before drilling" in lesson.text
    assert not page.all("span", **{"data-buildbook": "0"})


def test_filled_tags_stand_on_their_own(page: Element) -> None:
    """A table inside a paragraph would be no HTML."""
    for table in page.all("table"):
        assert not table.within(lambda e: e.tag == "p")


def test_code_is_left_alone(page: Element) -> None:
    inline = page.all("code")[0]
    assert inline.text == "FN-01 and [[total]]"
    blocks = [pre.text for pre in page.all("pre")]
    assert blocks == [
        'FN-01 [[hours]] <a href="part:FN-01"> lesson 12',
        "FN-01 [[sessions]] lesson 1",
    ]
    assert all(not pre.all("a") for pre in (*page.all("pre"), *page.all("code")))


def paragraph(page: Element, begins: str) -> Element:
    return next(p for p in page.all("p") if p.text.startswith(begins))


def test_names_become_links(page: Element) -> None:
    assert paragraph(page, "FN-01 is in").links == [
        ("FN-01", "../parts/FN-01.html"),
        ("fin/skeleton", "../sections/fin/skeleton.html"),
        ("lesson 12", "../lessons.html#lesson-12"),
        ("squawk 1", "../squawks/1.html"),
        ("the rib", "../parts/FN-02-L.html"),
        ("a step", "../sections/fin/close.html"),
        ("Ada", "../people.html#ada"),
        ("FN-02-L-03", "../parts/FN-02-L.html#FN-02-L-03"),
    ]


def test_longer_words_and_links_are_no_names(page: Element) -> None:
    assert paragraph(page, "Not names").links == [("FN-01", "../sections.html")]


def test_headings_and_attributes_hold_no_links(page: Element) -> None:
    for tag in ("h1", "h2"):
        for heading in page.all(tag):
            assert [a for a in heading.all("a") if "headerlink" not in a.classes] == []
    # The heading's own anchor is made of its words.
    assert page.one("h2").attributes["id"] == "about-fn-01-and-finclose"
    span = next(s for s in page.all("span") if s.attributes.get("title"))
    assert span.attributes == {"title": "FN-01"}
    assert span.links == [("FN-01", "../parts/FN-01.html")]


def test_the_part_knows_the_pages_that_mention_it(site: Site) -> None:
    links = dict(article(site.page("parts/FN-01")).links)
    assert links["Notes on FN-01"] == "../more/notes.html"
    assert links["Spaces"] == "../with%20a%20space%20%26%20more.html"


def test_dead_names_are_told(site: Site) -> None:
    said = [line for line in site.log if "broken.md" in line]
    for words in (
        "broken.md:3:14: error: there is no part `FN-99`",
        "there is no lesson 77",
        "there is no tag `houres` [bad-tag]",
        "`hours` knows nothing called `finn` [bad-tag]",
    ):
        assert any(words in line for line in said), words
    assert any("did you mean `fin`" in line for line in said)


def test_dead_names_do_no_harm(site: Site) -> None:
    page = article(site.page("broken"))
    assert page.one("a", "bb-dead").text == "x"
    assert "href" not in page.one("a", "bb-dead").attributes
    assert "lesson 77" in page.text
    assert not page.all("table")


def test_a_readme_is_the_page_of_its_folder(small_site: SmallSite) -> None:
    """MkDocs makes an index of it: at the top, that is the home page."""
    site = small_site({**BASE, "README.md": "# My book\n\nAbout FN-01.\n"})
    page = article(site.page("index"))
    assert page.one("h1").text.startswith("My book")
    assert dict(page.links)["FN-01"] == "parts/FN-01.html"


def test_labels_with_spaces_are_places_too(small_site: SmallSite) -> None:
    parts = (
        "- part: FN-01\n  name: Spar\n  route: drill\n  label: 'no {n}'\n  quantity: 2\n"
        "- part: FN-02-L\n  name: Rib\n"
    )
    squawk = "- squawk: 1\n  title: A dent\n  pieces: FN-01-no 2\n"
    site = small_site({**BASE, "parts.yml": parts, "squawks.yml": squawk})
    links = dict(article(site.page("squawks/1")).links)
    assert links["FN-01-no 2"] == "../parts/FN-01.html#FN-01-no_2"
    assert article(site.page("parts/FN-01")).one("tr", id="FN-01-no_2")


def test_a_hand_written_page_takes_the_place_of_one_of_ours(small_site: SmallSite) -> None:
    site = small_site({**BASE, "gallery.md": "# My gallery\n\nNothing but words about FN-01.\n"})
    page = article(site.page("gallery"))
    assert page.one("h1").text.startswith("My gallery")
    assert dict(page.links)["FN-01"] == "parts/FN-01.html"
