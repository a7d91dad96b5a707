"""The search index is loaded when somebody searches, and not before."""

import functools
import http.server
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from sites import Site


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: Any) -> None:
        """Say nothing."""


@pytest.fixture(scope="module")
def served(demo_site: Site) -> Iterator[str]:
    handler = functools.partial(_Quiet, directory=str(demo_site.folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


@pytest.mark.parametrize("how", ["from disk", "from a server"])
def test_the_index_waits_until_somebody_searches(
    browser: Any, demo_site: Site, served: str, how: str
) -> None:
    start = demo_site.folder / "index.html"
    address = start.as_uri() if how == "from disk" else f"{served}/index.html"
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    page.wait_for_load_state("networkidle")
    assert not [url for url in asked if "search_index" in url]
    field = page.locator(".md-search__input")
    field.click()
    field.type("spar")
    page.wait_for_selector(".md-search-result__item")
    assert len([url for url in asked if "search_index" in url]) == 1
    assert "matching documents" in page.locator(".md-search-result__meta").inner_text()
    page.close()


def test_a_link_with_words_to_search_for_is_followed(browser: Any, served: str) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{served}/index.html?q=spar")
    page.wait_for_selector(".md-search-result__item", state="attached")
    page.close()
