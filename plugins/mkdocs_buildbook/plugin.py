"""The plugin's events. Each hands over to a module that does one thing."""

import atexit
import gc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page as MkDocsPage

from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.pages.layout import lay_out
from buildbook.records.book import Book
from buildbook.records.read import CannotReadError, read
from mkdocs_buildbook import files as book_files
from mkdocs_buildbook import search
from mkdocs_buildbook.drawing import Drawing
from mkdocs_buildbook.notes import Notes
from mkdocs_buildbook.pictures import Pictures
from mkdocs_buildbook.problems import report

log = get_plugin_logger("buildbook")

# The program's last act would be to look for garbage among all that was made: a twentieth of the
# time a build takes.
atexit.register(gc.freeze)

HERE = Path(__file__).parent
ASSETS = "assets/buildbook"
STYLE = f"{ASSETS}/buildbook.css"
SHIM = f"{ASSETS}/iframe-worker.js"


class BuildbookConfig(Config):  # type: ignore[no-untyped-call]
    """Options of the plugin. The records are in MkDocs' `docs_dir`."""

    cache = config_options.Type(str, default=".buildbook/cache")
    """Folder for what is made once from pictures, beside `mkdocs.yml`. Safe to delete."""


class BuildbookPlugin(BasePlugin[BuildbookConfig]):  # type: ignore[no-untyped-call]
    """Turns the records of a book into pages of the site."""

    drawing: Drawing
    notes: Notes
    pages: list[book_files.BookPage]

    # Before the offline plugin, which adds that script only where there is none.
    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Give the theme our templates and styles, and keep it from asking other hosts."""
        config.theme.dirs.insert(-1, str(HERE / "templates"))
        config.extra_css.append(STYLE)
        # Without a font of its own the theme would load one from another host.
        if not isinstance(config.theme.get("font"), dict):
            config.theme["font"] = False
        # Searching from file:// needs this script; the theme would take it from another host.
        polyfills = config.extra.setdefault("polyfills", [])
        if not any("iframe-worker" in str(script) for script in polyfills):
            polyfills.append(SHIM)
        return config

    def on_files(self, files: Files, config: MkDocsConfig) -> Files:
        """Read the book, lay out its pages, and add them to the site."""
        book = _read(Path(config.docs_dir))
        with _uncollected():
            return self._add_pages(files, config, book)

    def _add_pages(self, files: Files, config: MkDocsConfig, book: Book) -> Files:
        context = Context(book, derive(book))
        pages = lay_out(context)
        book_files.keep_only_pages(files, book.folder)
        pictures = Pictures(book, self._cache(config) / "pictures", log)
        self.drawing = Drawing(config, pages, pictures)
        for script, source in (
            (STYLE, HERE / "assets" / "buildbook.css"),
            (SHIM, HERE / "assets" / "vendor" / "iframe-worker" / "iframe-worker.js"),
        ):
            files.append(book_files.asset(config, script, source))
        for name, path in pictures.files():
            files.append(book_files.asset(config, name, path))
        self.pages = book_files.add_pages(files, config, pages, self.drawing)
        for note in files.documentation_pages():
            if note.src_uri in book.notes:
                self.drawing.add_note(note)
        self.notes = Notes(context, self.drawing)
        if config.nav is None:
            config.nav = book_files.navigation(self.pages, book, files)
        return files

    def on_page_markdown(
        self, markdown: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Put placeholders for our tags into a hand-written page."""
        del config, files
        if isinstance(page, book_files.BookPage):
            return markdown
        return self.notes.mark_tags(markdown, page.file.src_uri)

    def on_page_content(
        self, html: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Fill the placeholders of a hand-written page, and make the names in it into links."""
        del config, files
        if isinstance(page, book_files.BookPage):
            return html
        return self.notes.finish(html, page.file.src_uri, page.url)

    # After the search plugin has written its index, before the offline plugin copies it.
    @event_priority(-50)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Add what the book's pages say to the search index."""
        search.add_entries(Path(config.site_dir), self.pages)

    def _cache(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path or ".").resolve().parent
        return base / self.config.cache


def _read(content: Path) -> Book:
    """Read the book and log its problems. What was read of the files is not kept."""
    try:
        reading = read(content)
    except CannotReadError as error:
        raise PluginError(str(error)) from None
    report(reading, content, log)
    return reading.book


@contextmanager
def _uncollected() -> Iterator[None]:
    """Keep the garbage collector away from what is made and stays until the site is built."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
