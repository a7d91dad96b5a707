"""`buildbook serve`: a session that is saved is on its page in the browser."""

import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sites import BASE, SETTINGS

NOTES = "".join(
    f"\n  Paragraph {n} of a long evening, so that the page scrolls.\n" for n in range(60)
)
SESSION = f"date: 2025-03-08\nstep: fin/skeleton\nhours: 2h30\nnotes: |{NOTES}"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    for name, text in {**BASE, "sessions/first.yml": SESSION}.items():
        file = tmp_path / "content" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
    (tmp_path / "mkdocs.yml").write_text(SETTINGS)
    return tmp_path


@pytest.fixture
def address(book: Path) -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = Path(sys.executable).with_name("buildbook")
    child = subprocess.Popen(
        [command, "serve", "--address", f"127.0.0.1:{port}"],
        cwd=book,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        stderr=subprocess.DEVNULL,
    )
    site = f"http://127.0.0.1:{port}"
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(f"{site}/index.html").close()
                break
            except urllib.error.URLError:
                assert child.poll() is None
                time.sleep(0.1)
        yield site
    finally:
        child.terminate()
        child.wait()


def test_the_page_in_the_browser_follows_and_stays_where_it_was(
    browser: Any, book: Path, address: str
) -> None:
    page = browser.new_page(viewport={"width": 1000, "height": 600})
    page.goto(f"{address}/sessions/2025-03-08.html")
    page.wait_for_load_state("load")
    page.evaluate("window.scrollTo(0, 1200)")
    time.sleep(0.5)  # until the browser has noted it
    session = book / "content" / "sessions" / "first.yml"
    session.write_text(SESSION.replace("Paragraph 30 ", "Paragraph thirty "))
    page.wait_for_selector("text=Paragraph thirty")
    page.wait_for_function("Math.abs(window.scrollY - 1200) < 5")
    session.write_text(SESSION + "hourz: 3\n")
    page.wait_for_selector(".bb-complaints")
    assert "hours" in page.locator(".bb-complaints").inner_text()
    session.write_text(SESSION)
    page.wait_for_selector(".bb-complaints", state="detached")
    page.close()


def test_a_new_session_is_there_and_a_deleted_one_gone(book: Path, address: str) -> None:
    def status(path: str) -> int:
        try:
            with urllib.request.urlopen(f"{address}/{path}") as answer:
                return int(answer.status)
        except urllib.error.HTTPError as error:
            return error.code

    assert status("sessions/2025-03-09.html") == 404
    new = book / "content" / "sessions" / "second.yml"
    new.write_text(SESSION.replace("03-08", "03-09"))
    for _ in range(100):
        if status("sessions/2025-03-09.html") == 200:
            break
        time.sleep(0.1)
    assert status("sessions/2025-03-09.html") == 200
    new.unlink()
    for _ in range(100):
        if status("sessions/2025-03-09.html") == 404:
            break
        time.sleep(0.1)
    assert status("sessions/2025-03-09.html") == 404


def test_nothing_outside_the_site_is_served(book: Path, address: str) -> None:
    host, port = re.fullmatch(r"http://([\d.]+):(\d+)", address).groups()  # type: ignore[union-attr]
    (book / "secret.txt").write_text("secret")
    for path in ("/../secret.txt", "/%2e%2e/secret.txt", "//secret.txt", "/../content/book.yml"):
        with socket.create_connection((host, int(port))) as raw:
            raw.sendall(f"GET {path} HTTP/1.0\r\nHost: {host}:{port}\r\n\r\n".encode())
            answer = b"".join(iter(lambda: raw.recv(65536), b""))
        assert answer.startswith(b"HTTP/1.0 404"), path
        assert b"secret" not in answer
