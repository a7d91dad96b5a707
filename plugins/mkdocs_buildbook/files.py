"""The book's pages as files of the site, and its navigation."""

import re
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any, cast

from markupsafe import escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.structure.toc import get_toc

from buildbook.pages import paths
from buildbook.pages.layout import HOME
from buildbook.pages.page import Page
from buildbook.pages.words import mark, say, speaking
from buildbook.records.book import Book
from buildbook.records.frontmatter import whom_for
from mkdocs_buildbook.drawing import Drawing

_HEADING = re.compile(r'<h([23]) id="([^"]+)"[^>]*>(.*?)</h[23]>', re.DOTALL)
_ANCHOR = re.compile(r' id="([^"]+)"')
PRIVATE_ASSETS = "assets/private/"
"""Files that are published with what is marked private, and not otherwise."""
_NAV_TITLES = {paths.HOME: HOME, paths.SECTIONS: mark("All sections")}
NOTES = mark("Notes")
"""What hand-written pages outside folders are listed under."""


class PageFile(File):
    """The file of a page that comes from records."""

    stale: bool = True
    """It is to be built; one that is known to be as it was is left as it is."""

    def is_modified(self) -> bool:
        """Tell whether the page is to be built; MkDocs asks where not all is."""
        return self.stale


class BookPage(MkDocsPage):
    """A page that comes from records. It is drawn from its view: no Markdown passes through it."""

    def __init__(self, path: str, file: PageFile, config: MkDocsConfig, drawing: Drawing) -> None:
        # The theme's templates print titles and descriptions as HTML, without escaping them. What
        # is not in the navigation has its title when it is laid out.
        title = drawing.layout.listed.get(path)
        with speaking(drawing.layout.language):
            shown = say(_NAV_TITLES[path]) if title and path in _NAV_TITLES else title
        super().__init__(shown and escape(shown), file, config)
        self.path = path
        self.listed = title is not None
        self.drawing = drawing
        self.book_file = file
        self.used: list[str] = []
        """Photos it shows, known when it is drawn."""
        self._anchors: set[str] | None = None

    @property
    def book_page(self) -> Page:
        """The page as it is laid out."""
        return self.drawing.layout.page(self.path)

    def read_source(self, config: MkDocsConfig) -> None:  # noqa: ARG002 - MkDocs' interface
        """Give MkDocs what it would read from a file: no text, and the page's metadata."""
        self.markdown = ""
        page = self.book_page
        self.meta = {
            "title": escape(page.title),
            "description": escape(page.description) or None,
            # Its entries come from the records, not from parsing what was drawn.
            "search": {"exclude": True},
        }

    def render(self, config: MkDocsConfig, files: Files) -> None:  # noqa: ARG002 - MkDocs' interface
        """Draw the page."""
        self.drawing.using.clear()
        self.content = self.drawing.draw(self.book_page, self.url)
        self.used = sorted(self.drawing.using)
        self.toc = get_toc(_headings(self.content))
        if self.book_page.cover:
            self.meta["hide"] = ["navigation", "toc"]
        elif not self.toc.items:
            self.meta["hide"] = ["toc"]  # the room goes to the page, wide tables need it
        self._anchors = set(_ANCHOR.findall(self.content))

    @property
    def stale(self) -> bool:
        """Tell whether it is to be built."""
        return self.book_file.stale

    @stale.setter
    def stale(self, value: bool) -> None:
        self.book_file.stale = value

    @property
    def present_anchor_ids(self) -> set[str]:
        """Places on the page that links may lead to; of one left as it was, by drawing it."""
        if self._anchors is None:
            drawn = self.drawing.draw(self.book_page, self.url)
            self._anchors = set(_ANCHOR.findall(drawn))
        return self._anchors

    @present_anchor_ids.setter
    def present_anchor_ids(self, value: set[str] | None) -> None:
        self._anchors = value


def _headings(html: str) -> list[Any]:
    """List second and third level headings the way Python-Markdown's toc does."""
    tokens: list[Any] = []
    for level, anchor, inner in _HEADING.findall(html):
        name = re.sub(r"<[^>]*>", "", inner).strip()
        token = {"level": int(level), "id": anchor, "name": name, "children": []}
        siblings = tokens[-1]["children"] if level == "3" and tokens else tokens
        siblings.append(token)
    return tokens


def add_pages(files: Files, config: MkDocsConfig, drawing: Drawing) -> list[BookPage]:
    """Add the book's pages to the site's files. A hand-written page of the same name wins."""
    added = []
    # By where they end up too: a README.md becomes an index.html.
    taken = {name for file in files for name in (file.src_uri, file.dest_uri)}
    listed = drawing.layout.listed
    for path in drawing.layout.paths:
        uri = f"{path}.md"
        # Records stay out of the navigation: its cost in every page grows with its length.
        level = InclusionLevel.INCLUDED if path in listed else InclusionLevel.NOT_IN_NAV
        file = cast("PageFile", PageFile.generated(config, uri, content="", inclusion=level))
        if uri in taken or file.dest_uri in taken:
            continue
        files.append(file)
        added.append(BookPage(path, file, config, drawing))
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


def keep_notes_of(files: Files, book: Book) -> frozenset[str]:
    """Take out the hand-written pages that an edition has not, and tell which.

    Those it has say what they say in it. Of `assets/`, its folder `private` is not for it either.
    """
    left_out = set()
    for file in list(files):
        if file.src_dir is None or Path(file.src_dir) != book.folder:
            continue
        if file.src_uri in book.notes:
            file.content_string = book.notes[file.src_uri]
        elif not file.is_documentation_page():
            if file.src_uri.startswith(PRIVATE_ASSETS) and not book.held.private_notes:
                files.remove(file)
        elif not _is_for(book, file):
            files.remove(file)
            left_out.add(file.src_uri)
    return frozenset(left_out)


def _is_for(book: Book, file: File) -> bool:
    """Tell whether a page that stands where the book reads none may be in an edition."""
    apart = file.src_uri.startswith("assets/")
    head = whom_for(file.content_string)
    return apart and head.is_in(book.edition, private_notes=book.held.private_notes)


def without(nav: Any, left_out: Collection[str]) -> Any:
    """Take pages out of a navigation that names them."""
    if isinstance(nav, list):
        kept = [without(entry, left_out) for entry in nav]
        return [entry for entry in kept if entry not in (None, {}, [])]
    if isinstance(nav, dict):
        kept_of = {name: without(entry, left_out) for name, entry in nav.items()}
        return {name: entry for name, entry in kept_of.items() if entry not in (None, [])}
    return None if nav in left_out else nav


def asset(config: MkDocsConfig, name: str, source: Path) -> File:
    """Make a file of the site from one on disk."""
    return File.generated(config, name, abs_src_path=str(source))


def navigation(pages: Iterable[BookPage], book: Book, files: Files) -> list[Any]:
    """Make the navigation for a site that names none: the book's lists, then hand-written pages."""
    nav: list[Any] = []
    lists: dict[str, list[str]] = {}
    for page in pages:
        if not page.listed:
            continue
        group = page.drawing.layout.groups[page.path]
        if not group:
            nav.append(f"{page.path}.md")
        elif group in lists:
            lists[group].append(f"{page.path}.md")
        else:
            lists[group] = [f"{page.path}.md"]
            nav.append({group: lists[group]})
    alone: list[str] = []
    folders: dict[str, list[str]] = {}
    for note in book.notes:
        if files.get_file_from_path(note):
            folder, _, name = note.rpartition("/")
            if note == "index.md":
                nav.insert(0, note)
            elif folder and name:
                folders.setdefault(folder, []).append(note)
            else:
                alone.append(note)
    if len(alone) > 1:
        with speaking(book.file.language):
            nav.append({say(NOTES): alone})
    else:
        nav += alone
    nav += [{escape(_title(folder)): notes} for folder, notes in folders.items()]
    return nav


def place(pages: Iterable[BookPage]) -> None:
    """Put each page that the navigation does not name into the group of the list above it.

    The frame around a page then shows where it is, though no page carries a list of all.
    """
    by_path = {page.path: page for page in pages}
    for page in by_path.values():
        for above in page.drawing.layout.above(page.path):
            if page.parent is None and (listed := by_path.get(above)):
                page.parent = listed.parent


def _title(folder: str) -> str:
    return folder.rpartition("/")[2].replace("-", " ").replace("_", " ").capitalize()
