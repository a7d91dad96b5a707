"""From a Ledger to all pages of the book."""

from collections.abc import Iterable

from buildbook.pages.context import Context
from buildbook.pages.forecast import forecast_page
from buildbook.pages.gallery import gallery_page
from buildbook.pages.home import home_page
from buildbook.pages.hours import hours_page
from buildbook.pages.lessons import lessons_page
from buildbook.pages.operations import operation_page, operations_page
from buildbook.pages.pace import pace_page
from buildbook.pages.page import Page
from buildbook.pages.parts import part_page, parts_page
from buildbook.pages.people import people_page
from buildbook.pages.sections import section_page, sections_page, step_page
from buildbook.pages.sessions import session_pages, sessions_page
from buildbook.pages.sheets import part_sheet_page, step_sheet_page
from buildbook.pages.squawks import squawk_pages, squawks_page
from buildbook.pages.stores import stores_page


def lay_out(context: Context) -> list[Page]:
    """Lay out every page, the listed ones in the order of the navigation."""
    book = context.book
    part_sheets = _made((n, part_sheet_page(context, n)) for n in book.parts)
    step_sheets = _made((n, step_sheet_page(context, n)) for n in book.steps)
    return [
        home_page(context),
        sections_page(context),
        *(section_page(context, name, section) for name, section in book.sections.items()),
        sessions_page(context),
        parts_page(context),
        operations_page(context),
        lessons_page(context),
        squawks_page(context),
        gallery_page(context),
        hours_page(context),
        pace_page(context),
        forecast_page(context),
        people_page(context),
        stores_page(context),
        *(step_page(context, n, step, n in step_sheets) for n, step in book.steps.items()),
        *session_pages(context),
        *(part_page(context, n, part, n in part_sheets) for n, part in book.parts.items()),
        *(operation_page(context, name, op) for name, op in book.operations.items()),
        *squawk_pages(context),
        *step_sheets.values(),
        *part_sheets.values(),
    ]


def _made(pages: Iterable[tuple[str, Page | None]]) -> dict[str, Page]:
    return {name: page for name, page in pages if page}
