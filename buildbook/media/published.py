"""Which photos a book publishes, and what nobody shall see of them."""

from buildbook.media.engine import Box
from buildbook.records.book import Book


def published(book: Book) -> set[str]:
    """List the photos that some record shows; a picture no record names is not published."""
    shown = {photo.file for session in book.sessions.values() for photo in session.photos}
    for squawk in book.squawks.values():
        shown |= {squawk.photo or "", squawk.closed.photo or "" if squawk.closed else ""}
    shown |= {lot.photo or "" for lot in book.lots.values()}
    return (shown & book.photo_files) - book.withheld


def hidden(book: Book) -> dict[str, tuple[Box, ...]]:
    """List the boxes nobody shall see into, by photo: those of every record that shows it."""
    boxes: dict[str, tuple[Box, ...]] = {}
    for session in book.sessions.values():
        for photo in session.photos:
            here = tuple((b.left, b.top, b.width, b.height) for b in photo.blur)
            boxes[photo.file] = (*boxes.get(photo.file, ()), *here)
    return boxes
