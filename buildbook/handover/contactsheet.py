"""Contact sheets as PDF: all photos of a step, small, dated and captioned, in the order of days."""

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from buildbook.handover.typeset import set_pages
from buildbook.ledger.links import Shot
from buildbook.media.picture import Picture, cached_name_of
from buildbook.pages.context import Context
from buildbook.pages.prose import plain_text
from buildbook.pages.words import show_date
from buildbook.records.photo import Marker

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Paper by the name a builder gives it, and by Typst's."""
COLUMNS = 4
CELL = (44.0, 33.0)
"""Room for one picture, in millimetres."""


def contact_sheet(
    context: Context,
    step: str,
    pictures: Mapping[str, Picture],
    cache: Path,
    *,
    paper: str = "a4",
    on: date | None = None,
) -> bytes:
    """Set the contact sheet of a step to a PDF. `on` is the date the file says it was made.

    `pictures` are those that could be prepared, by file, and `cache` is the folder that holds
    them. `paper` is one of `PAPERS`. Raises CannotSetError.
    """
    shots = [s for s in context.ledger.links.of("steps", step).shots if s.photo.file in pictures]
    data = {
        "book": context.book.file.title,
        "title": context.step_in_section(step),
        "plan": context.book.steps[step].plan or "",
        "paper": PAPERS[paper],
        "columns": COLUMNS,
        "cell": CELL,
        "dated": on is not None,
        "photos": [_photo(context, shot, pictures[shot.photo.file]) for shot in shots],
    }
    return set_pages("contact_sheet.typ", data, on, pictures=cache)


def _photo(context: Context, shot: Shot, picture: Picture) -> dict[str, Any]:
    session = context.book.sessions[shot.session]
    small = picture.derivatives[0]
    scale = min(CELL[0] / small.width, CELL[1] / small.height)
    size = (small.width * scale, small.height * scale)
    return {
        "file": f"/{cached_name_of(small)}",
        "size": size,
        "date": show_date(session.date),
        "caption": plain_text(context.prose.inline(shot.photo.caption)),
        "markers": list(_markers(context, shot.photo.markers)),
    }


def _markers(context: Context, markers: Iterable[Marker]) -> Iterable[dict[str, Any]]:
    for number, marker in enumerate(markers, 1):
        area = marker.area
        yield {
            "number": str(number),
            "box": (area.left, area.top, area.width, area.height),
            "caption": plain_text(context.prose.inline(marker.caption)),
        }
