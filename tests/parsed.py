"""HTML as a tree, small enough to trust: tests read pages with it, not with patterns."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from html.parser import HTMLParser
from pathlib import Path

# HTML Living Standard, 13.1.2: elements that have no end tag.
VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track"}
    | {"wbr"}
)


@dataclass(eq=False, slots=True, repr=False)
class Element:
    """An element, with its attributes and what is in it."""

    tag: str
    attributes: dict[str, str]
    parent: "Element | None" = None
    children: "list[Element | str]" = field(default_factory=list)
    order: "list[Element]" = field(default_factory=list)
    """All elements of the document."""
    start: int = 0
    end: int | None = None
    """The elements inside are those from `start` to `end` of them."""

    def __repr__(self) -> str:
        """Show the start tag: all that is inside would be the whole document, many times."""
        return f"<{self.tag} {self.attributes}>"

    def __iter__(self) -> "Iterator[Element]":
        """Go through all elements inside, in the order of the document."""
        return iter(self.order[self.start : self.end])

    def all(self, tag: str = "", class_: str = "", **attributes: str) -> "list[Element]":
        """Find elements inside by tag, class and attributes."""
        return [
            e
            for e in self
            if (not tag or e.tag == tag)
            and (not class_ or class_ in e.classes)
            and all(e.attributes.get(name) == value for name, value in attributes.items())
        ]

    def one(self, tag: str = "", class_: str = "", **attributes: str) -> "Element":
        """Find the one element inside like this."""
        (found,) = self.all(tag, class_, **attributes)
        return found

    def within(self, test: "Callable[[Element], bool]") -> bool:
        """Tell whether this or an element around it passes the test."""
        return test(self) or (self.parent is not None and self.parent.within(test))

    @property
    def classes(self) -> list[str]:
        """Its classes."""
        return self.attributes.get("class", "").split()

    @property
    def text(self) -> str:
        """All text inside, with single spaces."""
        return " ".join("".join(self._texts()).split())

    def _texts(self) -> Iterator[str]:
        for child in self.children:
            if isinstance(child, str):
                yield child
            else:
                yield from child._texts()

    @property
    def links(self) -> "list[tuple[str, str]]":
        """Words and address of every link inside."""
        return [(a.text, a.attributes["href"]) for a in self.all("a") if "href" in a.attributes]


Document = Element


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = self.at = Element("", {})
        self.order = self.root.order

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = self._add(tag, attrs)
        if tag not in VOID:
            self.at = element

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._add(tag, attrs).end = len(self.order)

    def _add(self, tag: str, attrs: list[tuple[str, str | None]]) -> Element:
        attributes = {name: value or "" for name, value in attrs}
        element = Element(tag, attributes, self.at, order=self.order, start=len(self.order) + 1)
        if tag in VOID:
            element.end = element.start
        self.order.append(element)
        self.at.children.append(element)
        return element

    def handle_endtag(self, tag: str) -> None:
        at: Element | None = self.at
        while at and at.tag != tag:
            at = at.parent
        if at and at.parent:
            at.end = len(self.order)
            self.at = at.parent

    def handle_data(self, data: str) -> None:
        self.at.children.append(data)


def parse_text(html: str) -> Document:
    """Parse HTML."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader.root


@lru_cache(maxsize=32)
def parse(file: Path) -> Document:
    """Parse a file that does not change any more."""
    return parse_text(file.read_text(encoding="utf-8"))


def article(page: Document) -> Element:
    """Return what the page says, without the theme's frame."""
    return page.one("article", "md-content__inner")
