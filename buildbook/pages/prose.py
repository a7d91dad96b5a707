"""From what a builder wrote to safe HTML: Markdown, sanitised, with the book's names as links."""

import html
import re
from functools import cached_property
from typing import Any

from markupsafe import Markup

from buildbook.ledger.links import Links
from buildbook.pages import paths
from buildbook.pages.page import SCHEME
from buildbook.records.book import Book
from buildbook.records.mentions import LINK_SCHEMES, names_of

# A text with none of these is paragraphs of words: Markdown would say the same, fifty times slower.
_MARKED_UP = re.compile(
    r"[*_`\[\]<>#|\\~=&$^+]|://|  $|^\s*(?:[-:](?:\s|$)|-{2,}|\d+[.)]\s)|^(?: {4}|\t)", re.MULTILINE
)

TAGS = frozenset(
    "p br strong em b i u s sub sup code pre kbd blockquote ul ol li dl dt dd a hr "
    "table thead tbody tr th td abbr".split()
)
_ATTRIBUTES = {"a": {"href", "title"}, "th": {"align"}, "td": {"align"}, "abbr": {"title"}}
_SCHEMES = frozenset(("http", "https", "mailto", *LINK_SCHEMES))
_HEADING = re.compile(r"<(/?)h[1-6][^>]*>")
_PIECES = re.compile(r"(<[^>]*>|&[#\w]+;)")
_NO_LINKS_INSIDE = frozenset(
    "a code pre script style svg button h1 h2 h3 h4 h5 h6 title textarea select".split()
)
_TAG_NAME = re.compile(r"</?\s*([a-zA-Z][\w-]*)")
TAG = re.compile(r"<[a-zA-Z](?:[^<>\"']|\"[^\"]*\"|'[^']*')*>")
"""A start tag: what looks like an attribute in a text is none."""
_HREF = re.compile(r'href="([a-z]+):([^"#]*)"')


class Prose:
    """Turns texts into HTML and names into links; the same text is turned once."""

    def __init__(self, book: Book, links: Links) -> None:
        self.book = book
        self.links = links
        self.names = names_of(book)
        self._done: dict[str, Markup] = {}

    def html(self, text: str | None) -> Markup:
        """Render a record's text. Raw HTML in it is sanitised."""
        if not text or text.isspace():
            return Markup()
        if text not in self._done:
            plain = text.strip()
            if _MARKED_UP.search(plain):
                done = self._sanitise(self._markdown(plain))
                done = self.linked_explicitly(done)
            else:
                paragraphs = re.split(r"\n\s*\n", plain)
                done = "\n".join(f"<p>{html.escape(p, quote=False)}</p>" for p in paragraphs)
            self._done[text] = Markup(self.link_names(done))  # noqa: S704 - sanitised just above
        return self._done[text]

    def inline(self, text: str | None) -> Markup:
        """Render one line of plain text with its names as links."""
        return Markup(self.link_names(html.escape(text or "", quote=False)))  # noqa: S704 - escaped

    def link_names(self, markup: str) -> str:
        """Make names in HTML into links: never inside links, code, headings or tags."""
        out: list[str] = []
        closed: list[str] = []  # the elements we are in, inside which nothing is linked
        for piece in _PIECES.split(markup):
            if piece.startswith("<"):
                if (found := _TAG_NAME.match(piece)) and (
                    name := found[1].lower()
                ) in _NO_LINKS_INSIDE:
                    if not piece.startswith("</"):
                        if not piece.endswith("/>"):
                            closed.append(name)
                    elif name in closed:
                        while closed.pop() != name:
                            pass
            elif piece and not closed and not piece.startswith("&"):
                piece = self._linked(piece)  # noqa: PLW2901 - the same piece, linked
            out.append(piece)
        return "".join(out)

    def linked_explicitly(self, markup: str) -> str:
        """Resolve links such as `href="part:ST-014-L"` in HTML."""
        return TAG.sub(lambda tag: _HREF.sub(self._explicit, tag[0]), markup)

    def _linked(self, text: str) -> str:
        out, at = [], 0
        for mention in self.names.in_text(text):
            if href := self._href(mention.to, mention.name):
                words = text[mention.start : mention.end]
                out += [text[at : mention.start], f'<a class="bb-name" href="{href}">{words}</a>']
                at = mention.end
        return "".join(out) + text[at:]

    def _href(self, kind: str, name: str | int) -> str | None:
        part = self.book.piece_by_label[str(name)].part if kind == "pieces" else ""
        to = paths.target(self.links, kind, name, part)
        return f"{SCHEME}{html.escape(to)}" if to else None

    def _explicit(self, found: re.Match[str]) -> str:
        kind = LINK_SCHEMES.get(found[1])
        if not kind:
            return found[0]
        name = self.names.explicit(kind, html.unescape(found[2]))
        href = self._href(kind, name) if name is not None else None
        return f'href="{href}"' if href else 'class="bb-dead"'

    def _sanitise(self, markup: str) -> str:
        import nh3  # noqa: PLC0415 - not needed by a book of plain notes

        plain = _HEADING.sub(lambda m: "</strong></p>" if m[1] else "<p><strong>", markup)
        return str(
            nh3.clean(
                plain,
                tags=set(TAGS),
                attributes={k: set(v) for k, v in _ATTRIBUTES.items()},
                url_schemes=set(_SCHEMES),
                link_rel="noopener noreferrer",
            )
        )

    def _markdown(self, text: str) -> str:
        return str(self._converter.reset().convert(text))

    @cached_property
    def _converter(self) -> Any:
        import markdown  # noqa: PLC0415

        return markdown.Markdown(
            extensions=["tables", "fenced_code", "sane_lists", "def_list", "abbr"],
            output_format="html",
        )


def plain_text(markup: str) -> str:
    """Take the tags out of HTML, for search and descriptions."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", markup)).split())


def first_sentence(text: str, limit: int = 160) -> str:
    """Return the first sentence of a plain text, cut at a word when it is long."""
    plain = " ".join(text.split())
    sentence = re.split(r"(?<=[.!?])\s", plain, maxsplit=1)[0]
    if len(sentence) <= limit:
        return sentence
    return sentence[:limit].rsplit(" ", 1)[0] + " …"
