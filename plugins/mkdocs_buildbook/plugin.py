"""The plugin's events. Each hands over to a module that does one thing."""

import atexit
import gc
from collections.abc import Callable, Iterator
from pathlib import Path

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page as MkDocsPage

from buildbook.files import write_whole
from buildbook.handover.calendar import calendar_of
from buildbook.handover.contemporary import past
from buildbook.handover.editions import private_marks
from buildbook.handover.feed import NAME as FEED
from buildbook.handover.feed import feed
from buildbook.handover.showing import context_of
from buildbook.pages.context import Context
from buildbook.pages.form import ASSETS as FORM_ASSETS
from buildbook.pages.layout import Layout, lay_out
from buildbook.pages.paths import CALENDAR
from buildbook.pages.words import ENGLISH
from buildbook.records.bookfile import language_of
from buildbook.records.memory import uncollected
from buildbook.records.problems import Severity
from buildbook.records.read import CannotReadError, Reading, read
from buildbook.records.readers import EDITIONS, FULL
from buildbook.records.shelf import Shelf
from mkdocs_buildbook import files as book_files
from mkdocs_buildbook import search
from mkdocs_buildbook.clips import Clips
from mkdocs_buildbook.cupboard import Cupboard
from mkdocs_buildbook.drawing import Drawing, by_hand
from mkdocs_buildbook.files import BookPage
from mkdocs_buildbook.head import Head
from mkdocs_buildbook.notes import Notes
from mkdocs_buildbook.pictures import Pictures
from mkdocs_buildbook.problems import report
from mkdocs_buildbook.saving import allow_saving

log = get_plugin_logger("buildbook")

UNDERSTOOD = frozenset(("buildbook", "search", "offline", "material/search", "material/offline"))
"""Plugins that add nothing to a page but what follows from the page and the settings.

With any other one a site is always built as a whole.
"""

# The program's last act would be to look for garbage among all that was made: a twentieth of the
# time a build takes.
atexit.register(gc.freeze)

HERE = Path(__file__).parent
ASSETS = "assets/buildbook"
STYLES = [f"{ASSETS}/buildbook.css"]
_SHEETS = ("fonts", "look", "buildbook", "photos", "clips")
"""Style sheets that are published as one: each file is a question that a page waits for."""
MARK = f"{ASSETS}/mark.svg"
SCRIPTS = [f"{ASSETS}/lightbox.js"]
"""On every page; the others are named where they are used."""
PAGE_SCRIPTS = [f"{ASSETS}/{name}.js" for name in ("gallery", "clips", "lists")]
SHIM = f"{ASSETS}/iframe-worker.js"
SEARCH = f"{ASSETS}/search.js"
FONTS = sorted((HERE / "assets" / "vendor").glob("*/*.woff2"))
THEMES_FAVICON = "assets/images/favicon.png"
NOT_INDEXED = '<meta name="robots" content="noindex">'


class BuildbookConfig(Config):  # type: ignore[no-untyped-call]
    """Options of the plugin. The records are in MkDocs' `docs_dir`."""

    cache = config_options.Type(str, default=".buildbook/cache")
    """Folder for what is made once from pictures, beside `mkdocs.yml`. Safe to delete."""
    form = config_options.Optional(config_options.Type(bool))
    """Whether there is a page on which a session is written. When left out, only while serving:
    who is handed the site or reads it on the web has no use for it."""
    edition = config_options.Choice(EDITIONS, default=FULL)
    """Whom the site is for."""
    history = config_options.Type(bool, default=True)
    """Whether a page shows, from the version history, when each session was written down."""


class BuildbookPlugin(BasePlugin[BuildbookConfig]):  # type: ignore[no-untyped-call]
    """Turns the records of a book into pages of the site."""

    given: Context | None = None
    """The book, from whoever keeps it between builds; none, and it is read."""
    stays: Callable[[list[BookPage], Files], None] | None = None
    """Told the pages before they are built, to mark those that need not be."""
    drawing: Drawing
    head: Head
    notes: Notes
    pages: list[BookPage]
    calendar = ""
    """What recurs, as a calendar file says it."""
    calendar_file: File | None = None
    cupboard: Cupboard | None = None
    """Where what this build read goes; none where it was given a book."""
    shelf: Shelf
    serving = False
    """The site is shown while it is written: set by `buildbook serve`. An `on_startup` here would
    tell too, but MkDocs keeps a plugin that has one for all later builds of a process."""

    # Before the offline plugin, which adds that script only where there is none.
    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Give the theme our templates and styles, and keep it from asking other hosts."""
        config.theme.dirs.insert(-1, str(HERE / "templates"))
        if config.theme.name == "material":
            # Before the theme's own templates, after those of the builder.
            config.theme.dirs.insert(1 if config.theme.custom_dir else 0, str(HERE / "frame"))
            if config.theme.get("favicon") == THEMES_FAVICON:
                config.theme["favicon"] = MARK
        language = language_of(Path(config.docs_dir))
        if language != ENGLISH and not _names_language(config):
            config.theme["language"] = language
        config.extra_css += STYLES
        config.extra_javascript += SCRIPTS
        # Without a font of its own the theme would load one from another host.
        if not isinstance(config.theme.get("font"), dict):
            config.theme["font"] = False
        # Searching from file:// needs this script; the theme would take it from another host.
        polyfills = config.extra.setdefault("polyfills", [])
        if not any("iframe-worker" in str(script) for script in polyfills):
            polyfills.append(SHIM)
        polyfills.append(SEARCH)  # before the theme's own script, which would load the index
        return config

    def on_files(self, files: Files, config: MkDocsConfig) -> Files:
        """Read the book, lay out its pages, and add them to the site."""
        context = self.given
        if context is None:
            context = self.context_of(self._read(config))
            if context.book.edition == FULL and (marks := private_marks(context.book)):
                log.info(
                    "The full edition shows all of it, also what is marked private (%d). "
                    "`buildbook publish` makes one without.",
                    marks,
                )
        with uncollected():
            return self._add_pages(files, config, context)

    def context_of(self, reading: Reading) -> Context:
        """Cut from a book the edition this site is of, and derive from it.

        Raises PluginError where what was to be private may be in what could not be read.
        """
        name = self.config.edition
        wrong = sum(p.severity is Severity.ERROR for p in reading.alone)
        if name != FULL and wrong and not self.serving:
            errors = "an error" if wrong == 1 else f"{wrong} errors"
            raise PluginError(
                f"the {name} edition is not made while the records have {errors}: "
                "what is to be left out may be in what could not be read"
            )
        return context_of(reading.book, name)

    def _add_pages(self, files: Files, config: MkDocsConfig, context: Context) -> Files:
        book = context.book
        book_files.keep_only_pages(files, book.folder)
        if book.edition != FULL:
            left_out = book_files.keep_notes_of(files, book)
            config.nav = book_files.without(config.nav, left_out)
        if book.file.address and book.edition in (FULL, "public") and not self.serving:
            config.site_url = config.site_url or book.file.address
        self.drawing = Drawing(config)
        self.notes = Notes(self.drawing)
        pictures, clips = self.show(context, config)
        for file in look_files(config):
            files.append(file)
        for name, path in form_files() if self.with_form else ():
            files.append(book_files.asset(config, name, path))
        for name, path in (*pictures.files(), *clips.files()):
            files.append(book_files.asset(config, name, path))
        if any(due.due for due in context.ledger.recurring):
            self.calendar_file = File.generated(config, CALENDAR, content=self.calendar)
            files.append(self.calendar_file)
        self.drawing.lead_to_notes(
            file for file in files.documentation_pages() if file.src_uri in book.notes
        )
        self.pages = book_files.add_pages(files, config, self.drawing)
        if config.nav is None:
            config.nav = book_files.navigation(self.pages, book, files)
        if self.stays:
            self.stays(self.pages, files)
        return files

    def show(self, context: Context, config: MkDocsConfig) -> tuple[Pictures, Clips]:
        """Let the pages say from now on what this state of the book says."""
        if self.config.history:
            context.past = past(context.book.folder, context.book.zone)
        pictures = Pictures(context.book, self._cache(config) / "pictures", log)
        clips = Clips(context.book, self._cache(config) / "clips", log)
        self.drawing.show(self.plan(context), pictures, clips)
        self.notes.context = context
        self.head = Head(context, self.drawing)
        config.extra["title_block"] = self.head.block
        self.calendar = calendar_of(context.book, context.ledger.recurring, context.ledger.as_of)
        if self.calendar_file:
            self.calendar_file.content_string = self.calendar
        return pictures, clips

    def plan(self, context: Context) -> Layout:
        """Plan the pages of this site of a book."""
        return lay_out(context, form=self.with_form)

    def on_nav(self, nav: Navigation, *, config: MkDocsConfig, files: Files) -> Navigation:
        """Let pages that are in no list stand where the list above them stands."""
        del config, files
        book_files.place(self.pages)
        return nav

    def on_page_markdown(
        self, markdown: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Put placeholders for our tags into a hand-written page."""
        del config, files
        if isinstance(page, BookPage):
            return markdown
        return self.notes.mark_tags(markdown, page.file.src_uri)

    def on_page_content(
        self, html: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Fill the placeholders of a hand-written page, and make the names in it into links."""
        del config, files
        if isinstance(page, BookPage):
            return html
        return by_hand(self.notes.finish(html, page.file.src_uri, page.url))

    def on_post_page(self, output: str, *, page: MkDocsPage, config: MkDocsConfig) -> str:
        """Say what a page is of; ask search engines to leave out one that is no one's to find."""
        del config
        own = page.book_page if isinstance(page, BookPage) else None
        head = NOT_INDEXED if own and not own.indexed else self.head.of(own, page.url)
        return output.replace("</head>", f"{head}</head>", 1)

    def on_serve(
        self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Callable[..., None]
    ) -> LiveReloadServer:
        """Let the page on which a session is written save it, on the builder's own computer."""
        del builder
        if self.with_form:
            allow_saving(server, Path(config.docs_dir))
        return server

    # After the search plugin has written its index, before the offline plugin copies it.
    @event_priority(-50)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Add what the book's pages say to the search index."""
        search.add_entries(Path(config.site_dir), self.pages)
        if self.head.address:
            urls = {page.path: page.url for page in self.pages}
            made = feed(self.notes.context, lambda path: urls.get(path, path))
            write_whole(Path(config.site_dir) / FEED, made, durable=False)
        if self.cupboard:
            self.cupboard.put_away(self.shelf)

    @property
    def with_form(self) -> bool:
        """Whether there is a page on which a session is written."""
        if self.config.edition != FULL:
            return False
        return self.serving if self.config.form is None else self.config.form

    def _read(self, config: MkDocsConfig) -> Reading:
        """Read the book and log its problems."""
        content = Path(config.docs_dir)
        self.cupboard = self.cupboard_of(config)
        self.shelf = self.cupboard.take_out()
        try:
            reading = read(content, shelf=self.shelf)
        except CannotReadError as error:
            raise PluginError(str(error)) from None
        report(reading, content, log)
        return reading

    def cupboard_of(self, config: MkDocsConfig) -> Cupboard:
        """Say where what was read of the book is kept from one run to the next."""
        return Cupboard(self._cache(config), Path(config.docs_dir))

    def _cache(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path or ".").resolve().parent
        return base / self.config.cache


def _names_language(config: MkDocsConfig) -> bool:
    """Tell whether the settings name a language themselves."""
    themes = [file.get("theme") for file in config.user_configs]
    return any(isinstance(theme, dict) and "language" in theme for theme in themes)


def look_files(config: MkDocsConfig) -> Iterator[File]:
    """Make the styles, scripts and fonts of every site."""
    assets = HERE / "assets"
    sheets = ((assets / f"{name}.css").read_text(encoding="utf-8") for name in _SHEETS)
    yield File.generated(config, STYLES[0], content="\n".join(sheets))
    for name in (*SCRIPTS, *PAGE_SCRIPTS, SEARCH, MARK):
        yield book_files.asset(config, name, assets / Path(name).name)
    yield book_files.asset(config, SHIM, assets / "vendor" / "iframe-worker" / "iframe-worker.js")
    for font in FONTS:
        yield book_files.asset(config, f"{ASSETS}/fonts/{font.name}", font)


def form_files() -> Iterator[tuple[str, Path]]:
    """Yield what the form is made of: each file's address in the site, and where it is."""
    for path in sorted((HERE / "assets" / "form").iterdir()):
        yield f"{FORM_ASSETS}/{path.name}", path
