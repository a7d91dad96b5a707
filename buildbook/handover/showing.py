"""From a book as it was read to what the pages of one edition are laid out from."""

from buildbook.handover.editions import edition
from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.records.book import Book


def context_of(book: Book, name: str) -> Context:
    """Cut an edition of a book and derive from it. Raises NoSuchEditionError."""
    made = edition(book, name)
    return Context(made, derive(made))
