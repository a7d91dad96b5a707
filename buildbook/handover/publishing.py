"""What would become public: counts of what is in an edition, and of what is left out."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from buildbook.handover.contemporary import past
from buildbook.handover.editions import Cut
from buildbook.handover.naming import Naming
from buildbook.ledger.ledger import derive
from buildbook.media.published import published
from buildbook.media.wishes import wishes
from buildbook.pages.context import Context
from buildbook.pages.layout import lay_out
from buildbook.records.book import Book

ASSETS = "assets"
PRIVATE = "private"


@dataclass(frozen=True, slots=True)
class Outlook:
    """What an edition would publish."""

    pages: int
    """Made from records."""
    written: int
    """Hand-written pages."""
    photos: int
    clips: int
    assets: int
    """Files that are published as they are."""
    left_out: Mapping[str, int]
    naming: int
    """Hand-written pages that name somebody who is not shown by name."""
    numbers: int
    """Part numbers and numbers of notices that do."""


def outlook(book: Book, cut: Cut) -> Outlook:
    """Count what an edition of a book would publish, and what it leaves out."""
    made = cut.book
    context = Context(made, derive(made))
    context.past = past(book.folder, book.zone)  # it has a page, if there is a version history
    naming = Naming(book.people, made.held.people)
    return Outlook(
        pages=len(lay_out(context)),
        written=len(made.notes),
        photos=len(published(made)),
        clips=len(wishes(made)),
        assets=len(_assets(book.folder / ASSETS, private=made.held.private_notes)),
        left_out=cut.left_out,
        naming=sum(naming.finds(text) or naming.finds(f) for f, text in made.notes.items()),
        numbers=sum(naming.finds(number) for number in (*made.parts, *made.notices)),
    )


def _assets(folder: Path, *, private: bool) -> list[Path]:
    if not folder.is_dir():
        return []
    return [
        path
        for path in folder.rglob("*")
        if path.is_file() and (private or path.relative_to(folder).parts[0] != PRIVATE)
    ]
