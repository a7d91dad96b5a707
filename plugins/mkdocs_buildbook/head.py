"""What a page says of itself to programs that show a preview of it (the Open Graph protocol)."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from buildbook.handover.feed import NAME as FEED
from buildbook.pages.context import Context, Figure
from buildbook.pages.opening import TITLES
from buildbook.pages.page import Page
from buildbook.records.readers import FULL
from mkdocs_buildbook.drawing import Drawing


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What stands in the foot of every page, as in the title block of a drawing."""

    book: str
    aircraft: str
    edition: str


class Head:
    """Makes the metadata of the pages of one book."""

    def __init__(self, context: Context, drawing: Drawing) -> None:
        book = context.book
        # An edition that is handed to somebody has no place on the web.
        self.address = book.file.address if book.edition in (FULL, "public") else None
        self.title = book.file.title
        self.drawing = drawing

        self.block = TitleBlock(
            book=book.file.title,
            aircraft=" ".join(filter(None, (book.file.aircraft.model, book.file.aircraft.serial))),
            edition=TITLES.get(book.edition, "Full edition"),
        )

    @property
    def said(self) -> tuple[str | None, TitleBlock]:
        """What of the book stands in every page outside its own words."""
        return self.address, self.block

    def of(self, page: Page | None, url: str) -> str:
        """Return the elements for the head of a page at `url`; of one written by hand only some."""
        found = []
        if page:
            found += [_meta(name, content) for name, content in self._preview(page, url) if content]
        if self.address:
            to = "../" * url.count("/") + FEED
            label = escape(f"{self.title}: sessions")
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


def _meta(name: str, content: str) -> str:
    return f'<meta property="{name}" content="{escape(content)}">'
