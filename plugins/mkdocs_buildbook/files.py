"""The book's pages as files of the site, and its navigation."""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from markupsafe import escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.structure.toc import get_toc

from buildbook.pages.page import Page
from buildbook.records.book import Book
from mkdocs_buildbook.drawing import Drawing

_HEADING = re.compile(r'<h([23]) id="([^"]+)"[^>]*>(.*?)</h[23]>', re.DOTALL)
_ANCHOR = re.compile(r' id="([^"]+)"')
_NAV_TITLES = {"index": "Home", "sections": "All sections"}


class BookPage(MkDocsPage):
    """A page that comes from records. It is drawn from its view: no Markdown passes through it."""

    def __init__(self, page: Page, file: File, config: MkDocsConfig, drawing: Drawing) -> None:
        # The theme's templates print titles and descriptions as HTML, without escaping them.
        super().__init__(escape(_NAV_TITLES.get(page.path, page.title)), file, config)
        self.book_page = page
        self.drawing = drawing

    def read_source(self, config: MkDocsConfig) -> None:  # noqa: ARG002 - MkDocs' interface
        """Give MkDocs what it would read from a file: no text, and the page's metadata."""
        self.markdown = ""
        self.meta = {
            "title": escape(self.book_page.title),
            "description": escape(self.book_page.description) or None,
            # Its entries come from the records, not from parsing what was drawn.
            "search": {"exclude": True},
        }

    def render(self, config: MkDocsConfig, files: Files) -> None:  # noqa: ARG002 - MkDocs' interface
        """Draw the page."""
        self.content = self.drawing.draw(self.book_page, self.url)
        self.toc = get_toc(_headings(self.content))
        if not self.toc.items:
            self.meta["hide"] = ["toc"]  # the room goes to the page, wide tables need it
        self.present_anchor_ids = set(_ANCHOR.findall(self.content))


def _headings(html: str) -> list[Any]:
    """List second and third level headings the way Python-Markdown's toc does."""
    tokens: list[Any] = []
    for level, anchor, inner in _HEADING.findall(html):
        name = re.sub(r"<[^>]*>", "", inner).strip()
        token = {"level": int(level), "id": anchor, "name": name, "children": []}
        siblings = tokens[-1]["children"] if level == "3" and tokens else tokens
        siblings.append(token)
    return tokens


def add_pages(
    files: Files, config: MkDocsConfig, pages: Iterable[Page], drawing: Drawing
) -> list[BookPage]:
    """Add the book's pages to the site's files. A hand-written page of the same name wins."""
    added = []
    # By where they end up too: a README.md becomes an index.html.
    taken = {name for file in files for name in (file.src_uri, file.dest_uri)}
    for page in pages:
        uri = f"{page.path}.md"
        if uri in taken or File(uri, None, "", config.use_directory_urls).dest_uri in taken:
            continue
        # Records stay out of the navigation: its cost in every page grows with its length.
        level = InclusionLevel.INCLUDED if page.listed else InclusionLevel.NOT_IN_NAV
        file = File.generated(config, uri, content="", inclusion=level)
        files.append(file)
        added.append(BookPage(page, file, config, drawing))
    return added


def keep_only_pages(files: Files, content: Path) -> None:
    """Take out of the site whatever in the content folder is neither a page nor in `assets/`.

    Records and original pictures are not for publishing: pictures are published only as
    derivatives without their metadata.
    """
    for file in list(files):
        own = file.src_dir is not None and Path(file.src_dir) == content
        if own and not file.is_documentation_page() and not file.src_uri.startswith("assets/"):
            files.remove(file)


def asset(config: MkDocsConfig, name: str, source: Path) -> File:
    """Make a file of the site from one on disk."""
    return File.generated(config, name, abs_src_path=str(source))


def navigation(pages: Iterable[BookPage], book: Book, files: Files) -> list[Any]:
    """Make the navigation for a site that names none: the book's lists, then hand-written pages."""
    listed = [p.book_page.path for p in pages if p.book_page.listed]
    sections = [path for path in listed if path.startswith("sections/")]
    nav: list[Any] = []
    for path in listed:
        if path == "sections" and sections:
            nav.append({"Sections": [f"{p}.md" for p in (path, *sections)]})
        elif path not in sections:
            nav.append(f"{path}.md")
    folders: dict[str, list[str]] = {}
    for note in book.notes:
        if files.get_file_from_path(note):
            folder, _, name = note.rpartition("/")
            if note == "index.md":
                nav.insert(0, note)
            else:
                folders.setdefault(folder if name else "", []).append(note)
    nav += folders.pop("", [])
    nav += [{escape(_title(folder)): notes} for folder, notes in folders.items()]
    return nav


def _title(folder: str) -> str:
    return folder.rpartition("/")[2].replace("-", " ").replace("_", " ").capitalize()
