"""The server of `buildbook serve`: it watches the records and shows them as they are saved."""

import posixpath
import shutil
import tempfile
import time
import webbrowser
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import watchdog.observers
import watchdog.observers.polling
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.livereload import LiveReloadServer
from watchdog.events import FileSystemEvent, FileSystemEventHandler

from mkdocs_buildbook.live import Live
from mkdocs_buildbook.plugin import BuildbookPlugin

_QUIET = 0.03
"""Seconds without another change before the records are read: an editor saves in several steps."""
_OF_CHANGE = frozenset(("created", "modified", "moved", "deleted"))
"""Kinds of events that are changes; reading a file is told too."""


class Server(LiveReloadServer):
    """MkDocs' server, which lets browsers follow, in front of pages built on demand."""

    beside = ""
    """Folder in the site that is no part of the book: it is there as it is."""

    def __init__(self, live: Live, folder: str, host: str, port: int, mount: str) -> None:
        super().__init__(self._refresh, host, port, folder, mount)
        self.build_delay = _QUIET
        self.live = live

    def _refresh(self) -> None:
        self.live.refresh()

    def watch_with(self, observer: Any) -> None:
        """Watch with another observer than the one that looks at every file each half second."""
        self.observer = observer

    def watch(self, path: str, func: None = None, *, recursive: bool = True) -> None:
        """Read the records again when something below a path changes."""
        del func
        if path in self._watched_paths:
            return
        self._watched_paths[path] = 1
        handler = FileSystemEventHandler()
        handler.on_any_event = self._seen  # type: ignore[method-assign]
        self._watch_refs[path] = self.observer.schedule(handler, path, recursive=recursive)

    def _seen(self, event: FileSystemEvent) -> None:
        if event.event_type in _OF_CHANGE and not (
            event.is_directory and event.event_type == "modified"
        ):
            with self._rebuild_cond:
                self._want_rebuild = True
                self._rebuild_cond.notify_all()

    def show_again(self) -> None:
        """Let browsers load their page again."""
        with self._epoch_cond:
            self._wanted_epoch = self._visible_epoch = max(
                int(time.monotonic() * 1000), self._visible_epoch + 1
            )
            self._epoch_cond.notify_all()

    def serve_request(
        self, environ: dict[str, Any], start_response: Callable[..., Any]
    ) -> Iterable[bytes]:
        """Answer a browser; the file it asks for is made before."""
        path = environ["PATH_INFO"].encode("latin-1").decode("utf-8", "ignore")
        waiting = path.startswith("/livereload/")  # a browser that asks whether something changed
        if not waiting and (path + "/").startswith(self.mount_path):
            name = path[len(self.mount_path) :]
            if path.endswith("/"):
                name += "index.html"
            name = posixpath.normpath("/" + name).lstrip("/")
            ready = name.partition("/")[0] == self.beside or self.live.ensure(name)
            if not ready and name.endswith(".html"):
                # Perhaps its record was saved a moment ago, and nobody has told of it yet.
                self.live.refresh()
                self.live.ensure(name)
        answer: Iterable[bytes] = super().serve_request(environ, start_response)
        return answer


def serve(
    settings: Path,
    address: str | None,
    *,
    open_it: bool,
    poll: bool,
    edition: str | None = None,
    beside: Path | None = None,
) -> None:
    """Serve a book's site until it is stopped. Raises OSError where the address is taken.

    `edition` is shown in place of the one that the settings name. The folder `beside` is served
    too, under its own name.
    """
    folder = tempfile.mkdtemp(prefix="buildbook-")
    options: dict[str, Any] = {"dev_addr": address} if address else {}
    url = ""

    def load() -> MkDocsConfig:
        config = load_config(config_file=str(settings), site_dir=folder, **options)
        config.plugins.on_startup(command="serve", dirty=False)
        book = config.plugins.get("buildbook")
        if isinstance(book, BuildbookPlugin):
            book.serving = True
            book.config.edition = edition or book.config.edition
        config.site_url = url or config.site_url
        return config

    first = load()
    host, port = first.dev_addr
    mount = urlsplit(first.site_url or "/").path
    live = Live(load, lambda: server.show_again())  # noqa: PLW0108 - not yet there
    server = Server(live, folder, host, port, mount)
    if beside:
        server.beside = beside.resolve().name
        shutil.copytree(beside, Path(folder) / server.beside)
    url = server.url
    kind = watchdog.observers.polling.PollingObserver if poll else watchdog.observers.Observer
    server.watch_with(kind(timeout=0.5 if poll else 0.05))
    try:
        live.refresh()
        for path in _watched(first):
            server.watch(str(path))
        live.config.plugins.on_serve(server, config=live.config, builder=live.refresh)
        try:
            if open_it:
                webbrowser.open(url)
            server.serve()  # type: ignore[no-untyped-call]
        except KeyboardInterrupt:
            pass
        finally:
            server.shutdown()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _watched(config: MkDocsConfig) -> list[Path]:
    named = [config.docs_dir, config.config_file_path, config.theme.custom_dir, *config.watch]
    return [Path(path).resolve() for path in named if path and Path(path).exists()]
