"""What a page says of itself to programs that show a preview of it (the Open Graph protocol)."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from buildbook.handover.feed import NAME as FEED
from buildbook.pages.context import Context
from buildbook.pages.opening import TITLES
from buildbook.pages.page import Page
from buildbook.pages.views import Figure
from buildbook.pages.words import ENGLISH, language, mark, say, speaking, translated
from buildbook.records.readers import FULL
from mkdocs_buildbook.drawing import Drawing


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What stands in the foot of every page, as in the title block of a drawing."""

    book: str
    aircraft: str
    edition: str
    words: dict[str, str]
    """What is printed round these, from English to the language of the book."""


_BLOCK = (
    mark("Book"),
    mark("Page"),
    mark("Aircraft"),
    mark("Edition"),
    mark("A personal record, not an approval."),
    mark("Made with"),
    mark("and"),
)
_FULL = mark("Full edition")
_IN_SCRIPTS = (
    mark("%(left)s of %(all)s shown"),
    mark("%(number)s of %(all)s"),
    mark("Previous"),
    mark("Next"),
    mark("Close"),
    mark("Photo"),
    mark("Caption"),
)
"""What the scripts of a page say; they fill in the values themselves."""


class Head:
    """Makes the metadata of the pages of one book."""

    def __init__(self, context: Context, drawing: Drawing) -> None:
        book = context.book
        # An edition that is handed to somebody has no place on the web.
        self.address = book.file.address if book.edition in (FULL, "public") else None
        self.title = book.file.title
        self.drawing = drawing
        self.language = book.file.language
        with speaking(self.language):
            self._spoken = _spoken()
            self.block = self._block(context)

    def _block(self, context: Context) -> TitleBlock:
        book = context.book
        return TitleBlock(
            book=book.file.title,
            aircraft=" ".join(filter(None, (book.file.aircraft.model, book.file.aircraft.serial))),
            edition=say(TITLES.get(book.edition, _FULL)),
            words={words: say(words) for words in _BLOCK},
        )

    @property
    def said(self) -> tuple[str | None, TitleBlock]:
        """What of the book stands in every page outside its own words."""
        return self.address, self.block

    def of(self, page: Page | None, url: str) -> str:
        """Return the elements for the head of a page at `url`; of one written by hand only some."""
        found = [self._spoken]
        if page:
            found += [_meta(name, content) for name, content in self._preview(page, url) if content]
        if self.address:
            to = "../" * url.count("/") + FEED
            with speaking(self.language):
                label = escape(say("%(title)s: sessions", title=self.title))
            found.append(
                f'<link rel="alternate" type="application/atom+xml" title="{label}" href="{to}">'
            )
        return "".join(found)

    def _preview(self, page: Page, url: str) -> Iterator[tuple[str, str]]:
        yield "og:type", "website" if page.path == "index" else "article"
        yield "og:site_name", self.title
        yield "og:title", page.title
        yield "og:description", page.description
        if self.address:
            root = self.address if self.address.endswith("/") else f"{self.address}/"
            yield "og:url", root + ("" if url in (".", "./") else url)
            yield from self._picture(page, root)

    def _picture(self, page: Page, root: str) -> Iterator[tuple[str, str]]:
        """Say the first picture of a page: one of ours, without what its camera wrote."""
        figures: tuple[Figure, ...] = getattr(page.view, "figures", ())
        for figure in figures[:1]:
            shown, _ = self.drawing.shown_of(figure.file)
            if shown:
                one = shown.large
                yield "og:image", root + one.file
                yield "og:image:type", "image/jpeg"
                yield "og:image:width", str(one.width)
                yield "og:image:height", str(one.height)
                yield "og:image:alt", figure.alt


def _spoken() -> str:
    """Give the scripts what they say in another language than English."""
    if language() == ENGLISH:
        return ""
    words = json.dumps({english: translated(english) for english in _IN_SCRIPTS})
    return f'<meta name="bb-words" content="{escape(words)}">'


def _meta(name: str, content: str) -> str:
    return f'<meta property="{name}" content="{escape(content)}">'
