"""The search index: entries for the book's pages, made from the records and not from their HTML."""

import json
from collections.abc import Iterable
from pathlib import Path

from buildbook.files import write_whole
from mkdocs_buildbook.files import BookPage


def add_entries(site: Path, pages: Iterable[BookPage]) -> None:
    """Add the pages' entries to the index that the search plugin wrote; none, none added."""
    index = site / "search" / "search_index.json"
    if not index.is_file():
        return
    data = json.loads(index.read_text(encoding="utf-8"))
    for page in pages:
        for entry in page.book_page.search:
            data["docs"].append(
                {
                    "location": f"{page.url}#{entry.anchor}" if entry.anchor else page.url,
                    "title": _escaped(entry.title),
                    "text": _escaped(entry.text),
                }
            )
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=False)
    write_whole(index, text.encode(), durable=False)


def _escaped(text: str) -> str:
    """Escape a text: the theme puts titles and texts of results into the page as HTML."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
