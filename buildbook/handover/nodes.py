"""From what pages say to plain data that a Typst template can set.

Prose comes as HTML that was made safe. Here it becomes lists of words and nodes, so that no word of
a record is ever read as markup: a template sees strings, and what is done with them is its own.
"""

import html
import re
from collections.abc import Collection
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from html.parser import HTMLParser
from typing import Any

from markupsafe import Markup

from buildbook.pages.page import SCHEME
from buildbook.pages.prose import TAGS
from buildbook.pages.words import show_date

Node = str | dict[str, Any]
"""Words, or `{"t": tag, "c": [Node, ...]}` with `to` (a page of the book) or `url` in links."""

_VOID = frozenset(("br", "hr"))
_HOLDS_BLOCKS = frozenset("blockquote ul ol dl table thead tbody tr".split())
"""Between what stands in these, white space says nothing."""
_BLOCKS = frozenset("p pre blockquote ul ol dl table hr".split())
_SPACE = re.compile(r"[ \t\r\n\f]+")
# Control characters and half of a surrogate pair have no glyph in any font, and PDF/A allows none.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff\ue000-\uf8ff"
    "\U000f0000-\U0010ffff]"
)


def plain(value: Any, leave: Collection[str] = ()) -> Any:  # noqa: PLR0911 - a line a kind
    """Turn a view into what JSON holds, without the fields named in `leave`.

    Links become `{"text", "to"}`, Markup becomes nodes, dates become words, enumerations their
    value. Raises TypeError for anything else that is no text, number, list or dataclass.
    """
    if isinstance(value, Markup):
        return nodes(value)
    if isinstance(value, Enum):
        return seen(str(value.value))
    if isinstance(value, str):
        return seen(value)
    if value is None or isinstance(value, bool | int | float):
        return value
    if isinstance(value, date):
        return show_date(value)
    if isinstance(value, list | tuple):
        return [plain(item, leave) for item in value]
    if isinstance(value, dict):
        return {key: plain(item, leave) for key, item in value.items() if key not in leave}
    if is_dataclass(value):
        given = (f.name for f in fields(value) if f.name not in leave)
        return {name: plain(getattr(value, name), leave) for name in given}
    raise TypeError(f"{type(value).__name__} cannot be set")


def seen(text: str) -> str:
    """Replace what no font can show by a character that says so."""
    return _UNSEEN.sub("\N{REPLACEMENT CHARACTER}", text)


def nodes(markup: str) -> list[Node]:
    """Turn sanitised HTML into nodes. What is no tag of prose is left out, its words are kept."""
    tree = _Tree()
    tree.feed(markup)
    tree.close()
    return _tidied(tree.top["c"], kept=False)


class _Tree(HTMLParser):
    """Builds nodes; closes what is left open."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.top: dict[str, Any] = {"t": "", "c": []}
        self._open = [self.top]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            return
        node: dict[str, Any] = {"t": tag, "c": []}
        href = dict(attrs).get("href") or ""
        if tag == "a" and href.startswith(SCHEME):
            node["to"] = html.unescape(href.removeprefix(SCHEME))
        elif tag == "a" and href.startswith(("https://", "http://", "mailto:")):
            node["url"] = seen(href)
        self._open[-1]["c"].append(node)
        if tag not in _VOID:
            self._open.append(node)

    def handle_endtag(self, tag: str) -> None:
        if any(node["t"] == tag for node in self._open[1:]):
            while self._open.pop()["t"] != tag:
                pass

    def handle_data(self, data: str) -> None:
        self._open[-1]["c"].append(seen(data))


def _tidied(children: list[Node], *, kept: bool, tag: str = "") -> list[Node]:
    """Make white space what a browser makes of it; `kept` is inside `pre`."""
    done: list[Node] = []
    blocks = tag in _HOLDS_BLOCKS or any(
        isinstance(child, dict) and child["t"] in _BLOCKS for child in children
    )
    for child in children:
        if isinstance(child, dict):
            inner = _tidied(child["c"], kept=kept or child["t"] == "pre", tag=child["t"])
            done.append({**child, "c": inner})
        elif kept:
            done.append(child)
        # Between paragraphs and the like white space says nothing.
        elif (words := _SPACE.sub(" ", child)) and not (blocks and words == " "):
            done.append(words)
    return done
