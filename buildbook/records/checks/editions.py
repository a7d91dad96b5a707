"""Editions: hand-written pages that do not say rightly whom they are for."""

from collections.abc import Iterator

from buildbook.records.book import Book
from buildbook.records.frontmatter import whom_for
from buildbook.records.problems import Place, Problem


def check_editions(book: Book) -> Iterator[Problem]:
    """Yield a problem for every hand-written page whose head cannot be followed."""
    for file, text in book.notes.items():
        if wrong := whom_for(text).wrong:
            said, advice = wrong
            yield Problem("edition", said, Place(file), advice=advice, position=(1, 1))
