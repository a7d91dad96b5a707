"""The site while it is written: every page is built when a browser asks for it.

After a change only the records are read again, those that changed; no page is built before it is
looked at. What a browser gets is what a build would write, but for problems of a record, which
stand on its page.
"""

import gc
import threading
from collections.abc import Callable
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path
from typing import Any

from mkdocs.commands.build import (  # MkDocs' own, so that a page is what a build makes of it
    _build_page,
    _build_theme_template,
    _populate_page,
)
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files, InclusionLevel, get_files, set_exclusions
from mkdocs.structure.nav import Navigation, get_navigation
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.utils import copy_file

from buildbook.handover.feed import NAME as FEED
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.layout import Layout
from buildbook.records.memory import uncollected
from buildbook.records.problems import Finding
from buildbook.records.read import CannotReadError, Reading, read
from buildbook.records.session import Session
from buildbook.records.shelf import Shelf
from mkdocs_buildbook.complaints import Complaints
from mkdocs_buildbook.cupboard import Cupboard
from mkdocs_buildbook.files import BookPage
from mkdocs_buildbook.plugin import UNDERSTOOD, BuildbookPlugin, log

_AFTERWARDS = 0.3
"""Seconds until records are checked against each other: the page that changed comes first."""


_AROUND = "what is made beside the pages"


class Frame:
    """Everything of a site but its pages: settings, files, navigation, templates."""

    def __init__(self, config: MkDocsConfig, context: Context) -> None:
        plugin = config.plugins["buildbook"]
        assert isinstance(plugin, BuildbookPlugin)
        plugin.given = context
        self.plugin = plugin
        self.config = config = config.plugins.on_config(config)
        config.plugins.on_pre_build(config=config)
        files = get_files(config)
        env = config.theme.get_env()
        files.add_files_from_theme(env, config)
        self.files: Files = config.plugins.on_files(files, config=config)
        set_exclusions(self.files, config)
        nav = get_navigation(self.files, config)
        self.nav: Navigation = config.plugins.on_nav(nav, config=config, files=self.files)
        self.documents = self.files.documentation_pages(inclusion=_in_serve)
        self.notes: list[MkDocsPage] = []
        for file in self.documents:
            page = file.page or MkDocsPage(None, file, config)
            if not isinstance(page, BookPage):
                self.notes.append(page)
                # What the navigation shows of a hand-written page is in the page.
                _populate_page(page, config, self.files)
        self.env = config.plugins.on_env(env, config=config, files=self.files)
        self.by_address: dict[str, File] = {file.dest_uri: file for file in self.files}

    def build(self, page: MkDocsPage) -> None:
        """Build one page into the site's folder."""
        _populate_page(page, self.config, self.files)
        _build_page(page, self.config, self.documents, self.nav, self.env)

    def makes(self, address: str) -> bool:
        """Tell whether a file may be one that is made beside the pages."""
        beside = {FEED, *self.config.theme.static_templates}
        known = address.startswith("search/") or address in beside
        return known or not set(self.config.plugins) <= UNDERSTOOD

    def build_around(self) -> None:
        """Build what MkDocs and its plugins make beside pages: the search index, a site map."""
        for page in self.notes:
            self.build(page)  # the search plugin notes what they say
        for template in self.config.theme.static_templates:
            _build_theme_template(template, self.env, self.files, self.config, self.nav)
        self.config.plugins.on_post_build(config=self.config)


class Live:
    """The site of a book that is being written."""

    def __init__(self, load: Callable[[], MkDocsConfig], changed: Callable[[], None]) -> None:
        """`load` gives fresh settings; `changed` is called when pages are to be shown again."""
        self._load = load
        self._changed = changed
        self._lock = threading.RLock()
        self._shelf = Shelf()
        self._cupboard: Cupboard | None = None
        self._frame: Frame | None = None
        self._key = ""
        self._fresh: set[str] = set()
        self._lost: dict[str, str] = {}
        """Addresses of sessions that cannot be read now, and their files."""
        self._turn = 0
        self._checking: threading.Timer | None = None
        self.complaints = Complaints()

    @property
    def config(self) -> MkDocsConfig:
        """The settings in force."""
        assert self._frame
        return self._frame.config

    def refresh(self) -> None:
        """Read what changed. Raises nothing for what is wrong in records: their pages tell it."""
        self.stop()
        with self._lock, uncollected():
            self._turn += 1
            config = self._frame.config if self._frame else self._load()
            if self._cupboard is None:
                plugin = config.plugins["buildbook"]
                assert isinstance(plugin, BuildbookPlugin)
                self._cupboard = plugin.cupboard_of(config)
                self._shelf = self._cupboard.take_out()
            known = dict(self._shelf.files)
            try:
                reading = read(Path(config.docs_dir), shelf=self._shelf)
            except CannotReadError as error:
                log.error("%s", error)
                return
            plugin = config.plugins["buildbook"]
            assert isinstance(plugin, BuildbookPlugin)
            context = plugin.context_of(reading)
            layout = plugin.plan(context)
            key = _key(config, layout, reading)
            if self._frame is None or key != self._key:
                if self._frame:  # settings may have changed, and plugins add to them
                    config = self._load()
                self._frame, self._key = Frame(config, context), key
            else:
                self._frame.plugin.show(context, self._frame.config)
            self._frame.plugin.drawing.complaints = self.complaints.about
            self._fresh.clear()
            self._complain(reading.findings(reading.alone))
            self._note_lost(reading, layout, known)
            turn = self._turn
        # What was made stays: the collector need not walk it while somebody waits for a page.
        gc.freeze()
        self._checking = threading.Timer(_AFTERWARDS, self._check, args=(reading, turn))
        self._checking.daemon = True
        self._checking.start()

    def stop(self) -> None:
        """Check nothing more of what was read last."""
        if self._checking:
            self._checking.cancel()

    def _check(self, reading: Reading, turn: int) -> None:
        """Lay the records side by side; that takes longer than showing one."""
        if turn != self._turn:
            return
        findings = reading.findings()
        with self._lock:
            if turn != self._turn:
                return
            for finding in findings:
                self.complaints.log(finding, Path(self.config.docs_dir), log)
            if self._complain(findings):
                self._fresh.clear()
                self._changed()
            if self._cupboard:
                self._cupboard.put_away(self._shelf)

    def _complain(self, findings: list[Finding]) -> bool:
        """Show these problems from now on; tell whether they are others than before."""
        before = self.complaints.by_file
        self.complaints.take(findings)
        return self.complaints.by_file != before

    def _note_lost(self, reading: Reading, layout: Layout, known: dict[str, Any]) -> None:
        """Note which sessions have no page since their file cannot be read."""
        wrong = {problem.place.file for problem in reading.alone}
        for file in wrong & known.keys():
            for record in known[file].records:
                if isinstance(record, Session):
                    self._lost[paths.session(record.slug)] = file
        self._lost = {p: f for p, f in self._lost.items() if f in wrong and p not in layout}

    def ensure(self, address: str) -> bool:
        """Have a file of the site ready in its folder, as the records are now, if it is there."""
        with self._lock:
            frame = self._frame
            if frame is None:
                return False
            if address in self._fresh:
                return True
            file = frame.by_address.get(address)
            if file and file.page:
                frame.build(file.page)
            elif file:
                self._copy(file)
            elif source := frame.plugin.drawing.source_of(address):
                copy_file(str(source), str(Path(frame.config.site_dir) / address))
            elif lost := self._lost_at(address):
                frame.build(self.complaints.page(*lost, frame.config, frame.plugin.drawing))
            elif frame.makes(address):
                self._make_around(frame)
            else:
                with suppress(OSError):  # it was of the site before
                    (Path(frame.config.site_dir) / address).unlink()
                return False
            self._fresh.add(address)
            return True

    def _make_around(self, frame: Frame) -> None:
        """Make what stands beside the pages, once for each state of the book."""
        if _AROUND not in self._fresh:
            # In a frame of its own: the search plugin adds up all pages that it sees built.
            Frame(self._load(), frame.plugin.notes.context).build_around()
            self._fresh.add(_AROUND)

    def _lost_at(self, address: str) -> tuple[str, str] | None:
        assert self._frame
        for path, file in self._lost.items():
            if (
                File(f"{path}.md", None, "", self._frame.config.use_directory_urls).dest_uri
                == address
            ):
                return path, file
        return None

    def _copy(self, file: File) -> None:
        """Copy a file that is no page, if it is another than the copy."""
        target = Path(file.abs_dest_path)
        source = Path(file.abs_src_path) if file.abs_src_path else None
        if source and target.is_file() and source.stat().st_mtime_ns <= target.stat().st_mtime_ns:
            return
        file.copy_file()


def _in_serve(level: InclusionLevel) -> bool:
    return level in (InclusionLevel.INCLUDED, InclusionLevel.NOT_IN_NAV, InclusionLevel.DRAFT)


def _key(config: MkDocsConfig, layout: Layout, reading: Reading) -> str:
    """Sum up what stands around the pages: when that changes, all is made anew."""
    settings = Path(config.config_file_path).stat() if config.config_file_path else None
    assets = Path(config.docs_dir) / "assets"
    around = (
        settings and (settings.st_mtime_ns, settings.st_size),
        list(layout.paths),
        layout.listed,
        reading.book.notes,
        sorted(str(path) for path in assets.rglob("*")) if assets.is_dir() else [],
    )
    return blake2b(repr(around).encode(), digest_size=16).hexdigest()
