"""Building a site again: MkDocs builds what changed, and what stayed is left as it is."""

import json
import logging
import pickle
from collections.abc import Iterable
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.utils import meta

from mkdocs_buildbook.drawing import Drawing
from mkdocs_buildbook.files import BookPage
from mkdocs_buildbook.plugin import UNDERSTOOD, BuildbookPlugin
from mkdocs_buildbook.trace import (
    Stamp,
    Trace,
    outputs_of,
    shape,
    sources_of,
    stands_at,
    trace_file,
)


def build_site(
    settings: Path, target: Path | None, *, strict: bool, edition: str | None = None
) -> Path:
    """Build the site whose settings are in a file, and return its folder.

    `edition` is made in place of the one that the settings name.

    Raises MkDocs' exceptions. A build that is cut short leaves no trace, so that the next one
    makes everything.
    """
    options = {"site_dir": str(target)} if target else {}
    config = load_config(config_file=str(settings), strict=strict, **options)
    config.plugins.on_startup(command="build", dirty=False)
    place = trace_file(settings, target)
    earlier = Trace.load(place)
    place.unlink(missing_ok=True)
    watched = _watched(config)
    now = Trace(
        shape=shape(settings, watched, edition),
        watched=watched,
        content=str(Path(config.docs_dir).resolve()),
        site=str(Path(config.site_dir).resolve()),
        sources=sources_of(Path(config.docs_dir)),
    )
    plugin = config.plugins.get("buildbook")
    if isinstance(plugin, BuildbookPlugin) and plugin.config.history:
        now.history = stands_at(Path(config.docs_dir))
    if not isinstance(plugin, BuildbookPlugin):
        mkdocs_build(config)
        return Path(config.site_dir)
    if edition:
        plugin.config.edition = edition
    fits = (
        earlier.shape == now.shape
        and (earlier.content, earlier.site) == (now.content, now.site)
        and set(config.plugins) <= UNDERSTOOD
        and earlier.site_is_whole()
    )
    account = _Account(plugin, config, earlier if fits else Trace(), now)
    plugin.stays = account.mark
    with _listening(now.said):
        mkdocs_build(config, dirty=fits)
    account.close()
    config.plugins.on_shutdown()
    now.save(place)
    return Path(config.site_dir)


def _watched(config: MkDocsConfig) -> list[str]:
    """List what shapes pages beside the records: templates of the site's own, and hooks."""
    own = [str(config.theme.custom_dir)] if config.theme.custom_dir else []
    return [*own, *map(str, config.hooks), *map(str, config.watch)]


class _Account:
    """Holds a build against the one before."""

    def __init__(
        self, plugin: BuildbookPlugin, config: MkDocsConfig, earlier: Trace, now: Trace
    ) -> None:
        self.plugin = plugin
        self.config = config
        self.earlier = earlier
        self.now = now
        self.pages: list[BookPage] = []

    def mark(self, pages: list[BookPage], files: Files) -> None:
        """Mark the pages that need not be built, and take away what is no longer of the site."""
        self.pages = pages
        notes = [f for f in files.documentation_pages() if not isinstance(f.page, BookPage)]
        self.now.frame = _digest(
            self.config.nav,
            [(page.path, page.title) for page in pages if page.listed],
            [(f.src_uri, f.url, _naming(f.content_string)) for f in notes],
        )
        self.now.frame += _digest(self.plugin.drawing.layout.edition, self.plugin.head.said)
        same_frame = self.now.frame == self.earlier.frame
        for page in pages:
            dest = page.file.dest_uri
            before = self.earlier.pages.get(dest, ["", [], ""])
            said = _said_by(page)
            shown = _shown_by(page.drawing, before[1])
            page.stale = not (same_frame and said and [said, shown] == [before[0], before[2]])
            self.now.pages[dest] = [said, before[1], shown]
        for note in notes:
            # They are few, may show anything through tags, and their names are on every page.
            # What has its text in memory MkDocs builds each time.
            note.content_string = note.content_string
            self.now.pages[note.dest_uri] = ["", [], ""]
        for file in files:
            if not file.is_documentation_page() and file.abs_src_path:
                self._copied(file.dest_uri, Path(file.abs_src_path))
            elif not file.is_documentation_page():
                self.now.copied[file.dest_uri] = []  # made in memory, and written each time
        for dest in self.earlier.pages | self.earlier.copied:
            if dest not in self.now.pages and dest not in self.now.copied:
                self._take_away(dest)

    def _copied(self, dest: str, source: Path) -> None:
        with suppress(OSError):
            found = source.stat()
            stamp: Stamp = [found.st_mtime_ns, found.st_size]
            self.now.copied[dest] = stamp
            if dest in self.earlier.copied and self.earlier.copied[dest] != stamp:
                self._take_away(dest)  # then it is copied, whichever of the two is younger

    def _take_away(self, dest: str) -> None:
        with suppress(OSError):
            (Path(self.config.site_dir) / dest).unlink()
        with suppress(OSError):
            (Path(self.config.site_dir) / dest).parent.rmdir()  # if it is empty

    def close(self) -> None:
        """Note what was built."""
        for page in self.pages:
            if page.stale:
                said = self.now.pages[page.file.dest_uri][0]
                shown = _shown_by(page.drawing, page.used)
                self.now.pages[page.file.dest_uri] = [said, page.used, shown]
        self.now.outputs = outputs_of(Path(self.config.site_dir))


def _said_by(page: BookPage) -> str:
    """Sum up what a page says; nothing where that cannot be told, so that it is built."""
    try:
        said = pickle.dumps(page.book_page, protocol=5)
    except (pickle.PicklingError, TypeError, AttributeError):
        return ""
    return blake2b(said, digest_size=16).hexdigest()


def _shown_by(drawing: Drawing, photos: Iterable[str]) -> str:
    """Sum up the pictures of photos."""
    return _digest([drawing.shown_of(file) for file in photos])


def _digest(*what: Any) -> str:
    return blake2b(repr(what).encode(), digest_size=16).hexdigest()


def _naming(text: str) -> Any:
    """Give what the navigation shows of a hand-written page: its metadata and headings."""
    body, data = meta.get_data(text)
    lines = body.split("\n")
    heads = [
        line
        for line, below in zip(lines, [*lines[1:], ""], strict=True)
        if line.startswith("#") or below.startswith(("===", "---"))
    ]
    return json.dumps(data, default=str, sort_keys=True), heads


class _listening(logging.Handler):  # noqa: N801 - used as a statement: `with _listening(...)`
    """Notes what MkDocs and the plugin complain of."""

    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self.said = said
        self.log = logging.getLogger("mkdocs")
        self.building = logging.getLogger("mkdocs.commands.build")

    def __enter__(self) -> None:
        self.log.addHandler(self)
        self.building.addFilter(_not_of_dirt)

    def __exit__(self, *_: object) -> None:
        self.log.removeHandler(self)
        self.building.removeFilter(_not_of_dirt)

    def emit(self, record: logging.LogRecord) -> None:
        """Note a complaint as it is shown."""
        self.said.append(f"{record.levelname}: {record.getMessage()}")


def _not_of_dirt(record: logging.LogRecord) -> bool:
    """Keep MkDocs from saying that pages are stale: here they are not."""
    return not record.getMessage().startswith("A 'dirty' build")
