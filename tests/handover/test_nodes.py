"""Prose on paper says what it says on the screen."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from buildbook.handover.nodes import Node, nodes, plain, seen
from buildbook.ledger.links import links
from buildbook.pages.page import Link
from buildbook.pages.prose import Prose, plain_text
from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile

FILE = {"title": "A book", "aircraft": {"model": "F-1"}, "builder": "a", "time zone": "UTC"}


@pytest.fixture(scope="module")
def prose() -> Prose:
    book = Book(BookFile.model_validate(FILE))
    return Prose(book, links(book))


def words(several: list[Node]) -> str:
    return "".join(n if isinstance(n, str) else f" {words(n['c'])} " for n in several)


@pytest.mark.parametrize(
    ("markup", "expected"),
    [
        ("plain", ["plain"]),
        ("<p>a <em>b</em>c</p>", [{"t": "p", "c": ["a ", {"t": "em", "c": ["b"]}, "c"]}]),
        ("a<br>b", ["a", {"t": "br", "c": []}, "b"]),
        ("&lt;b&gt; &amp; &#x41;", ["<b> & A"]),
        ("<script>alert(1)</script>x", ["alert(1)", "x"]),
        ('<a href="javascript:x">a</a>', [{"t": "a", "c": ["a"]}]),
        ('<a href="buildbook:parts/X%20Y">a</a>', [{"t": "a", "to": "parts/X%20Y", "c": ["a"]}]),
        ('<a href="https://e.org">a</a>', [{"t": "a", "url": "https://e.org", "c": ["a"]}]),
        ("<ul>\n<li>a</li>\n</ul>\n", [{"t": "ul", "c": [{"t": "li", "c": ["a"]}]}]),
        ("<pre>a  b\n c</pre>", [{"t": "pre", "c": ["a  b\n c"]}]),
        ("<p>a\n  b</p>", [{"t": "p", "c": ["a b"]}]),
        ("<b>open", [{"t": "b", "c": ["open"]}]),
        ("</b>never open", ["never open"]),
    ],
)
def test_html_becomes_nodes(markup: str, expected: list[Node]) -> None:
    assert nodes(markup) == expected


@given(st.text(alphabet="ab *_`#[]()<>&|\n-1.\\\"'", max_size=80))
def test_no_word_is_lost_or_added(prose: Prose, text: str) -> None:
    drawn = str(prose.html(text))
    assert words(nodes(drawn)).split() == plain_text(drawn).split()


class Colour(StrEnum):
    RED = "red"


@dataclass
class View:
    name: str
    on: date
    link: Link
    notes: Markup
    colour: Colour
    several: tuple[int, ...]
    chart: object


def test_a_view_becomes_data() -> None:
    view = View("a", date(2025, 3, 8), Link("b", "c"), Markup("<b>d</b>"), Colour.RED, (1, 2), [])
    assert plain(view, {"chart"}) == {
        "name": "a",
        "on": "8 March 2025",
        "link": {"text": "b", "to": "c"},
        "notes": [{"t": "b", "c": ["d"]}],
        "colour": "red",
        "several": [1, 2],
    }
    with pytest.raises(TypeError, match="object cannot be set"):
        plain(object())


@pytest.mark.parametrize(
    "odd", ["\x00", "\x07", "\x9f", "\ud800", "\ufffe", "\ue000", "\U000f1234"]
)
def test_what_no_font_can_show_is_shown_as_such(odd: str) -> None:
    """Unicode 16, 23: control characters, surrogates, noncharacters and private use."""
    assert seen(f"a{odd}b") == "a\N{REPLACEMENT CHARACTER}b"
    assert nodes(f"a{odd}") == ["a\N{REPLACEMENT CHARACTER}"]
