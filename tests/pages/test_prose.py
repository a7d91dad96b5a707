"""Prose: from what a builder wrote to safe HTML with links."""

import re

import markdown
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from parsed import parse_text

from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.pages.prose import Prose, first_sentence, plain_text
from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.lesson import Lesson
from buildbook.records.part import Part
from buildbook.records.person import Person
from buildbook.records.section import Section
from buildbook.records.squawk import Squawk


def a_book() -> Book:
    return Book(
        file=BookFile.model_validate(
            {
                "title": "A small book",
                "aircraft": {"model": "Nothing"},
                "builder": "ada",
                "time zone": "Europe/Copenhagen",
            }
        ),
        people={"ada": Person.model_validate({"person": "ada", "name": "Ada"})},
        parts={
            n: Part.model_validate({"part": n, "name": n, "quantity": "3"})
            for n in ("FN-01", "FN-01-L", "rib", "7")
        },
        sections={
            "fin": Section.model_validate(
                {
                    "section": "fin",
                    "title": "Fin",
                    "steps": [{"step": "skeleton", "title": "Skeleton"}],
                }
            )
        },
        lessons={12: Lesson.model_validate({"lesson": "12", "title": "Twelve"})},
        squawks={4: Squawk.model_validate({"squawk": "4", "title": "Four"})},
    )


@pytest.fixture(scope="module")
def prose() -> Prose:
    book = a_book()
    return Context(book, derive(book)).prose


# Plain texts go a short way. It must lead where Markdown leads.

WORDS = st.text(
    st.sampled_from("abcdefghijklmnopqrstuvwxyz ABC 0123456789 .,;:!?'\"()-/%°éøß—…"),
    min_size=1,
    max_size=30,
)
TEXTS = st.lists(st.one_of(WORDS, st.sampled_from(["", " ", "1.5 mm", "2) two", "- x", "x:"])))


def normal(html: str) -> list[str]:
    """Spaces and line ends between words are all one to a browser."""
    return re.findall(r"<[^>]*>|[^<\s]+", html)


@given(TEXTS.map("\n".join))
@settings(max_examples=400, deadline=None)
def test_the_short_way_says_what_markdown_says(text: str) -> None:
    prose = Prose(BOOK, LINKS)
    whole = markdown.markdown(
        text.strip(), extensions=["tables", "fenced_code", "sane_lists", "def_list"]
    )
    # A record's headings are shown as strong paragraphs: its page has its own.
    whole = re.sub(r"<(/?)h\d>", lambda m: "</strong></p>" if m[1] else "<p><strong>", whole)
    assert normal(prose.html(text)) == normal(whole)


BOOK = a_book()
LINKS = derive(BOOK).links


@pytest.mark.parametrize(
    "text",
    [
        "One line.",
        "Two lines,\none paragraph.",
        "One paragraph.\n\nAnother one.",
        "One paragraph.\n \n \nAnother one.",
        "Drilled 3/32 in, at 17 °C: 45 minutes.",
        "He said \"on\" when it 'dropped'.",
        "  Leading and trailing blanks  ",
        "2031 was the year",
        "- not a list-like-thing",
    ],
)
def test_plain_texts(prose: Prose, text: str) -> None:
    assert normal(prose.html(text)) == normal(
        markdown.markdown(text, extensions=["sane_lists", "def_list"])
    )


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("**bold** and *slanted*", "<p><strong>bold</strong> and <em>slanted</em></p>"),
        ("- one\n- two", "<ul> <li>one</li> <li>two</li> </ul>"),
        ("1. one\n2. two", "<ol> <li>one</li> <li>two</li> </ol>"),
        ("`code`", "<p><code>code</code></p>"),
        ("a  \nb", "<p>a<br> b</p>"),
        ("# Heading", "<p><strong>Heading</strong></p>"),
        ("AT&T", "<p>AT&amp;T</p>"),
        ("1 < 2", "<p>1 &lt; 2</p>"),
        ("<script>alert(1)</script>", ""),
        (
            "[a](https://example.org/)",
            '<p><a href="https://example.org/" rel="noopener noreferrer">a</a></p>',
        ),
        ("[a](javascript:alert(1))", '<p><a rel="noopener noreferrer">a</a></p>'),
    ],
)
def test_markdown(prose: Prose, text: str, html: str) -> None:
    assert normal(prose.html(text)) == normal(html)


@pytest.mark.parametrize(
    ("text", "links"),
    [
        ("The FN-01.", ["buildbook:parts/FN-01"]),
        ("FN-01-L and FN-01", ["buildbook:parts/FN-01-L", "buildbook:parts/FN-01"]),
        ("FN-01-02 cracked", ["buildbook:parts/FN-01#FN-01-02"]),
        ("see fin/skeleton", ["buildbook:sections/fin/skeleton"]),
        ("Lesson 12, squawk 4.", ["buildbook:lessons#lesson-12", "buildbook:squawks/4"]),
        ("lesson 13, squawk 44", []),
        ("a rib, 7 of them", []),  # a word and a count, though parts are called so
        ("XFN-01 FN-011 FN-01/x", []),
        ("`FN-01` is code", []),
        ("[FN-01](https://example.org/)", ["https://example.org/"]),
        ("[the rib](part:rib)", ["buildbook:parts/rib"]),
        ("[x](lesson:12) [y](person:ada)", ["buildbook:lessons#lesson-12", "buildbook:people#ada"]),
        ("# FN-01", ["buildbook:parts/FN-01"]),  # a record's heading is no heading on its page
        ("AT&T and FN-01", ["buildbook:parts/FN-01"]),
        ("<b title='FN-01'>FN-01</b>", ["buildbook:parts/FN-01"]),
    ],
)
def test_links(prose: Prose, text: str, links: list[str]) -> None:
    page = parse_text(prose.html(text))
    assert [a.attributes["href"] for a in page.all("a")] == links
    assert {e.attributes.get("title", "FN-01") for e in page} <= {"FN-01"}  # never linked


def test_a_link_to_nothing_is_shown_dead(prose: Prose) -> None:
    (link,) = parse_text(prose.html("[x](part:FN-99)")).all("a")
    assert link.classes == ["bb-dead"]
    assert "href" not in link.attributes
    assert link.text == "x"


def test_what_looks_like_an_attribute_in_a_text_is_none(prose: Prose) -> None:
    for text in ('write href="part:FN-01"', '**write** href="part:FN-99" here'):
        assert parse_text(prose.html(text)).text == text.replace("*", "")


def test_one_line_is_no_markdown(prose: Prose) -> None:
    html = prose.inline("*FN-01* <b> & `fin/skeleton`")
    assert parse_text(html).text == "*FN-01* <b> & `fin/skeleton`"
    assert len(parse_text(html).all("a")) == 2


def test_nothing_is_nothing(prose: Prose) -> None:
    assert prose.html(None) == prose.html("") == prose.inline(None) == ""


@pytest.mark.parametrize(
    ("html", "text"),
    [
        ("<p>One</p>\n<p>two &amp; three</p>", "One two & three"),
        ('<a href="x">FN-01</a>', "FN-01"),
        ("", ""),
    ],
)
def test_plain_text(html: str, text: str) -> None:
    assert plain_text(html) == text


def test_first_sentence() -> None:
    assert first_sentence("One sentence. Another.") == "One sentence."
    assert first_sentence("At 1.5 mm it fits! Yes.") == "At 1.5 mm it fits!"
    long = "word " * 50
    cut = first_sentence(long, 40)
    assert len(cut) <= 42
    assert cut.endswith("word …")
