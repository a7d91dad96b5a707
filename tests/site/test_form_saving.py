"""Saving from the served page, in a real browser; and what a page of another site can do there."""

import functools
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from forms import PAGE, PHONE, WITH_FORM, Form, opened
from mkdocs.livereload import LiveReloadServer
from playwright.sync_api import expect
from sites import BASE, BOOK, FOUR_LINES, SETTINGS, SmallSite

from buildbook.records.read import read
from mkdocs_buildbook.plugin import BuildbookPlugin
from mkdocs_buildbook.saving import PATH, allow_saving


@dataclass
class Served:
    content: Path
    url: str
    server: LiveReloadServer

    def sessions(self) -> list[str]:
        return sorted(p.name for p in (self.content / "sessions").glob("*"))


@pytest.fixture
def served(small_site: SmallSite, tmp_path: Path) -> Iterator[Served]:
    files = {**BASE, "sessions/2025-03-08.yml": FOUR_LINES}
    site = small_site(files, settings=WITH_FORM, folder=tmp_path)
    content = tmp_path / "content"
    server = LiveReloadServer(lambda: None, host="127.0.0.1", port=0, root=str(site.folder))
    assert allow_saving(server, content)
    server.server_bind()
    server.server_activate()
    server.serve_thread.start()
    yield Served(content, f"http://127.0.0.1:{server.server_address[1]}/", server)
    server.shutdown()


def four_lines(form: Form, date: str, *, hours: str = "2h30") -> None:
    form.at("date").fill(date)
    form.at("step").select_option("fin/skeleton")
    form.at("hours").fill(hours)
    form.at("notes").fill("Drilled.")


def test_it_is_saved(served: Served, browser) -> None:
    with opened(browser, served.url + PAGE) as form:
        four_lines(form, "2025-03-09")
        shown = form.text()
        form.page.locator("#bb-save").tap()
        status = form.page.locator("#bb-status")
        expect(status).to_have_text("Saved as sessions/2025-03-09.yml.")
        assert "notes" not in form.written()  # ready for the next one
        form.page.reload()  # as it is when the book was built anew
        expect(status).to_have_text("Saved as sessions/2025-03-09.yml.")
    assert (served.content / "sessions" / "2025-03-09.yml").read_text(encoding="utf-8") == shown
    assert read(served.content).problems == ()


def test_what_the_book_says_of_it_is_shown(served: Served, browser) -> None:
    """A picture may be named before it is copied: the session is saved, and this is told."""
    with opened(browser, served.url + PAGE) as form:
        four_lines(form, "2025-03-09")
        form.unfold()
        form.at("photos", "-add").tap()
        form.at("photos.0.file").fill("2025/spar.jpg")
        form.at("photos.0.caption").fill("The spar")
        form.page.locator("#bb-save").tap()
        status = form.page.locator("#bb-status")
        expect(status).to_contain_text("Saved as sessions/2025-03-09.yml.")
        expect(status).to_contain_text("there is no picture `2025/spar.jpg`")
    assert "2025-03-09.yml" in served.sessions()


def refused(form: Form, words: str) -> None:
    form.page.locator("#bb-save").tap()
    expect(form.page.locator("#bb-status")).to_contain_text("Not saved")
    expect(form.page.locator("#bb-status")).to_contain_text(words)
    form.errors.clear()  # the browser notes each answer that is no success


def test_what_is_not_saved_is_not_lost(served: Served, browser) -> None:
    with opened(browser, served.url + PAGE) as form:
        four_lines(form, "2025-03-09", hours="soon")
        refused(form, "`soon` is not a duration")
        four_lines(form, "2025-03-08", hours="3h")
        refused(form, "give it a title of its own")
        assert form.written()["notes"] == "Drilled."
        form.at("title").fill("Again")
        served.server.shutdown()
        refused(form, "does not answer")
        assert form.written()["title"] == "Again"
    assert served.sessions() == ["2025-03-08.yml"]


def test_a_page_of_an_earlier_run_is_told_to_load_again(served: Served, browser) -> None:
    with opened(browser, served.url + PAGE) as form:
        four_lines(form, "2025-03-09")
        form.page.evaluate("document.querySelector('meta[name=buildbook-saving]').content = 'old'")
        refused(form, "load the page again")
    assert served.sessions() == ["2025-03-08.yml"]


@pytest.mark.parametrize(
    ("setting", "serving", "made"),
    [(None, True, True), (None, False, False), (True, False, True), (False, True, False)],
)
def test_when_the_page_is_made(setting: bool | None, serving: bool, made: bool) -> None:
    """Without a setting it is there while serving, and left out of what is built."""
    plugin = BuildbookPlugin()
    plugin.load_config({"form": setting})
    plugin.serving = serving
    assert plugin.with_form is made


def test_buildbook_serve_from_end_to_end(tmp_path: Path, browser) -> None:
    """Served as a builder serves it, saved, and seen at once on the list of sessions."""
    files = {**BASE, "sessions/2025-03-08.yml": FOUR_LINES, "book.yml": BOOK}
    for name, text in files.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    (tmp_path / "mkdocs.yml").write_text(SETTINGS, encoding="utf-8")
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    buildbook = Path(sys.executable).with_name("buildbook")
    serving = subprocess.Popen(
        [buildbook, "serve", "--address", f"127.0.0.1:{port}"],
        cwd=tmp_path,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    url = f"http://127.0.0.1:{port}/"
    try:
        wait_for(url)
        with opened(browser, url + PAGE) as form:
            four_lines(form, "2025-03-09")
            form.page.locator("#bb-save").tap()
            status = form.page.locator("#bb-status")
            expect(status).to_have_text("Saved as sessions/2025-03-09.yml.")
            form.page.goto(f"{url}sessions/2025-03-09.html")
            expect(form.page.locator("article")).to_contain_text("Drilled.")
    finally:
        serving.terminate()
        serving.wait(timeout=20)


def wait_for(url: str) -> None:
    for _ in range(300):
        try:
            urllib.request.urlopen(url, timeout=5).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail("buildbook serve does not answer")


# Another site, opened in the same browser.

EVIL_PAGE = """<!doctype html><title>Other</title>
<iframe src="{url}{page}" name="frame"></iframe>
<form id="plain" method="post" action="{url}{path}" enctype="text/plain" target="_blank">
<input name='{{"text": "date: 2025-03-10\\nstep: fin/skeleton\\nhours: 1h\\n", "x": "' value='"}}'>
</form>
<script>
const text = JSON.stringify({{ text: "date: 2025-03-10\\nstep: fin/skeleton\\nhours: 1h\\n" }});
globalThis.tried = Promise.all([
  fetch("{url}{path}", {{ method: "POST", mode: "no-cors", body: text }}),
  fetch("{url}{path}", {{ method: "POST", mode: "no-cors", body: text,
                         headers: {{ "Content-Type": "text/plain" }} }}),
  fetch("{url}{path}", {{ method: "POST", body: text,
                         headers: {{ "Content-Type": "application/json" }} }}),
  fetch("{url}{path}", {{ method: "POST", body: text, credentials: "include", headers:
                         {{ "Content-Type": "application/json", "X-Buildbook-Token": "x" }} }}),
  fetch("{url}{page}").then(r => r.text()),
  Promise.resolve(navigator.sendBeacon("{url}{path}", text)),
].map(p => p.then(r => typeof r === "string" ? r : String(r.status ?? r), e => "refused")));
</script>
"""


@contextmanager
def another_site(folder: Path, text: str) -> Iterator[str]:
    folder.mkdir()
    (folder / "index.html").write_text(text, encoding="utf-8")

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def test_another_site_saves_nothing_and_learns_nothing(
    served: Served, browser, tmp_path: Path
) -> None:
    text = EVIL_PAGE.format(url=served.url, page=PAGE, path=PATH.lstrip("/"))
    context = browser.new_context(**PHONE)
    try:
        with another_site(tmp_path / "other", text) as url:
            page = context.new_page()
            page.goto(url)
            said = page.evaluate("tried")
            # What may be sent is answered without a word the other site can read (status 0).
            assert said[:5] == ["0", "0", "refused", "refused", "refused"]
            frame = page.frame("frame")
            assert frame is not None
            assert not frame.locator("#bb-session").count()
            with context.expect_page() as answered:
                page.evaluate("document.getElementById('plain').submit()")
            expect(answered.value.locator("body")).to_contain_text("another site asked for this")
    finally:
        context.close()
    assert served.sessions() == ["2025-03-08.yml"]
