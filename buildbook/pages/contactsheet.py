"""Contact sheets: all photos of a step, small and in the order of the days, to be read at a glance.

They are pages to look at and to print; `buildbook.handover.contactsheet` makes a PDF of one.
"""

from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page
from buildbook.pages.views import Figure
from buildbook.pages.words import say, show_date


@dataclass(frozen=True, slots=True)
class ContactSheetView:
    """Template `contact_sheet.html`."""

    step: Link
    plan: str
    span: str
    """Date of the first photo, and of the last where that is another day."""
    figures: tuple[Figure, ...]


def has_contact_sheet(context: Context, name: str) -> bool:
    """Tell whether a step has photos to put on one."""
    files = context.book.photo_files
    return any(s.photo.file in files for s in context.ledger.links.of("steps", name).shots)


def contact_sheet_link(context: Context, name: str) -> Link | None:
    """Link to the contact sheet of a step that has one."""
    there = has_contact_sheet(context, name)
    return Link(say("Contact sheet"), paths.contact_sheet(name)) if there else None


def contact_sheet_page(context: Context, name: str) -> Page:
    """Lay out the contact sheet of a step that has photos."""
    book = context.book
    shots = context.ledger.links.of("steps", name).shots
    figures = context.figures(shots)
    step = context.step_in_section(name)
    days = list(dict.fromkeys(show_date(figure.date) for figure in figures))
    view = ContactSheetView(
        Link(step, paths.step(name)),
        book.steps[name].plan or "",
        days[0] if len(days) == 1 else say("%(first)s to %(last)s", first=days[0], last=days[-1]),
        figures,
    )
    return Page(
        paths.contact_sheet(name),
        say("Contact sheet, %(step)s", step=step),
        "contact_sheet.html",
        view,
        (),
        frozenset({book.steps[name].place.file}),
    )
