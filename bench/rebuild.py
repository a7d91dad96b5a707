"""After one session is edited: how long until its page is new, and how long until all is.

Run `python bench/rebuild.py [--sessions 2000]`. In one run on one book it prints MkDocs' own
whole build and its `--dirty` one (plain pages, as many of them and as long, without our plugin),
our whole build, our build after one edit and with nothing changed, and what `buildbook serve`
takes from saving a file to the finished page. Then the search: the index's size, and the time
from typing to the first result in headless Chromium. Seconds on the clock: it is what a builder
waits for. Other work on the machine makes them longer, so its load is shown beside each.
"""

import argparse
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

from run import BIN, ENV, measure

PORT = 8471
LONGEST = 90
"""Seconds after which something is taken for broken."""


def edit(file: Path, mark: int) -> None:
    """Change one sentence of a session or a page."""
    text = re.sub(r"(?m)^ *Edit \d+\.\n", "", file.read_text(encoding="utf-8"))
    file.write_text(f"{text.rstrip()}\n  Edit {mark}.\n", encoding="utf-8")


def middle(folder: Path, pattern: str) -> Path:
    """Pick the file in the middle."""
    files = sorted(folder.rglob(pattern))
    return files[len(files) // 2]


def timed(rounds: int, run: Callable[[int], object]) -> float:
    """Give the median of some rounds, in seconds on the clock."""
    took = []
    for n in range(rounds):
        started = time.perf_counter()
        run(n)
        took.append(time.perf_counter() - started)
    return statistics.median(took)


def mkdocs(folder: Path, *options: str) -> None:
    measure(BIN / "mkdocs", "build", "-q", "-f", folder / "mkdocs.yml", *options)


def buildbook(folder: Path) -> None:
    subprocess.run(
        [BIN / "buildbook", "build"], cwd=folder, env=ENV, check=True, capture_output=True
    )


class Served:
    """`buildbook serve` of one book, and a browser that waits for news."""

    def __init__(self, folder: Path) -> None:
        self.address = f"http://127.0.0.1:{PORT}"
        command = [BIN / "buildbook", "serve", "--address", f"127.0.0.1:{PORT}"]
        self.started = time.perf_counter()
        self.process = subprocess.Popen(command, cwd=folder, env=ENV, stderr=subprocess.DEVNULL)
        while self.process.poll() is None:
            try:
                self.get("index.html")
                break
            except OSError:
                if time.perf_counter() - self.started > LONGEST:
                    self.stop()
                    sys.exit("the first page is not served")
                time.sleep(0.01)
        self.ready = time.perf_counter() - self.started

    def get(self, path: str) -> str:
        """Load an address."""
        with urllib.request.urlopen(f"{self.address}/{path}", timeout=LONGEST) as answer:  # noqa: S310 - our own
            return str(answer.read().decode())

    def page_of(self, day: str) -> str:
        """Find the page of a session."""
        names = re.findall(r'href="([^"#]*sessions/[^"#]+)"', self.get("sessions.html"))
        return next(name for name in names if day in name)

    def until_new(self, page: str, save: Callable[[], None], mark: str) -> float:
        """Give the seconds from saving to having the page with the words that were saved."""
        found = re.search(r"livereload\((\d+), ", self.get(page))
        assert found
        started = time.perf_counter()
        save()
        while time.perf_counter() - started < LONGEST:
            self.get(f"livereload/{found[1]}/1")  # answered when there is something new
            if mark in self.get(page):
                return time.perf_counter() - started
        sys.exit("what was saved is not shown")

    def stop(self) -> None:
        """Stop serving."""
        self.process.terminate()
        self.process.wait()


def serve(folder: Path, rounds: int) -> tuple[float, float]:
    """Give the seconds from start to the first page, and from saving to the finished page."""
    session = middle(folder / "content" / "sessions", "*.yml")
    day = re.search(r"date: (\S+)", session.read_text(encoding="utf-8"))
    assert day
    served = Served(folder)
    try:
        page = served.page_of(day[1])
        took = []
        for n in range(rounds):
            time.sleep(3)  # a builder saves, looks, and types on
            save = lambda n=n: edit(session, 100 + n)  # noqa: E731
            took.append(served.until_new(page, save, f"Edit {100 + n}"))
    finally:
        served.stop()
    return served.ready, statistics.median(took)


def search(site: Path) -> tuple[int, float, float]:
    """Give the index's bytes, and seconds to the first result at first and on a warm page."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        loaded: list[str] = []
        page.on("request", lambda request: loaded.append(request.url))
        page.goto((site / "index.html").as_uri())
        page.wait_for_load_state("networkidle")
        before = [url for url in loaded if "search_index" in url]
        if before:
            print("  the index is loaded before search is opened")
        field, said = page.locator(".md-search__input"), page.locator(".md-search-result__meta")
        field.click()
        took = []
        for words in ("spar", "deburred", "rib"):
            before_typing = said.inner_text()
            started = time.perf_counter()
            field.press_sequentially(words)
            page.wait_for_function(
                "before => document.querySelector('.md-search-result__item') &&"
                " document.querySelector('.md-search-result__meta').innerText !== before",
                arg=before_typing,
                timeout=60_000,
            )
            took.append(time.perf_counter() - started)
            field.fill("")
        browser.close()
    return (site / "search" / "search_index.json").stat().st_size, took[0], min(took[1:])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--sessions", type=int, default=2000)
    parser.add_argument("--rounds", type=int, default=3)
    said = parser.parse_args()
    here = Path(__file__).parent
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "book"
        measure(sys.executable, here / "make_book.py", "--sessions", str(said.sessions), book)
        measure(sys.executable, here / "run.py", "--one", "plain", book / "content")
        plain = book / "plain"
        session = middle(book / "content" / "sessions", "*.yml")
        note = middle(plain / "content" / "sessions", "*.md")
        rows: list[tuple[str, float]] = []

        def row(what: str, seconds: float) -> None:
            rows.append((what, seconds))
            print(f"{what:58}{seconds:8.2f} s{os.getloadavg()[0]:8.1f}", flush=True)

        print(
            f"{said.sessions:,} sessions, medians of {said.rounds} rounds; last, the machine's load"
        )
        mkdocs(plain)
        row(
            "MkDocs, plain pages: build after one edit",
            timed(said.rounds, lambda n: (edit(note, n), mkdocs(plain))),
        )
        row(
            "MkDocs, plain pages: --dirty after one edit",
            timed(said.rounds, lambda n: (edit(note, n), mkdocs(plain, "--dirty"))),
        )

        def cold(_: int) -> None:
            shutil.rmtree(book / "site", ignore_errors=True)
            for trace in (book / ".buildbook").glob("site-*.json"):
                trace.unlink()
            buildbook(book)

        cold(0)
        row("buildbook build: everything, pictures ready", timed(said.rounds, cold))
        row(
            "buildbook build: after one edit",
            timed(said.rounds, lambda n: (edit(session, n), buildbook(book))),
        )
        time.sleep(2.5)  # until time stamps say that nothing changes any more
        buildbook(book)
        row("buildbook build: nothing changed", timed(said.rounds, lambda _: buildbook(book)))
        row("buildbook --help", timed(said.rounds, lambda _: measure(BIN / "buildbook", "--help")))
        row(
            "python -c 'import click'",
            timed(said.rounds, lambda _: measure(sys.executable, "-c", "import click")),
        )
        ready, new = serve(book, said.rounds)
        row("buildbook serve: start to the first page", ready)
        row("buildbook serve: a session saved to its finished page", new)
        size, first, warm = search(book / "site")
        print(f"search index: {size / 1e6:.2f} MB")
        row("search: first result on a fresh page", first)
        row("search: first result on a warm page", warm)


if __name__ == "__main__":
    main()
