"""Which clips a book publishes, and how."""

from buildbook.media.clipstore import Wish
from buildbook.records.book import Book


def wishes(book: Book) -> dict[str, Wish]:
    """List the clips that some record shows, each with what all records ask to hide of it.

    Its picture is the one that the first record of it asks for.
    """
    found: dict[str, Wish] = {}
    for session in book.sessions.values():
        for clip in session.clips:
            if clip.file not in book.clip_files - book.withheld or clip.file is None:
                continue
            before = found.get(clip.file, Wish())
            boxes = tuple((b.left, b.top, b.width, b.height) for b in clip.blur)
            poster = clip.poster.seconds if clip.poster else None
            found[clip.file] = Wish(
                hidden=(*before.hidden, *boxes),
                silent=before.silent or clip.silent,
                poster=poster if before.poster is None else before.poster,
            )
    return found
