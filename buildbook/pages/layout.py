"""From a Ledger to all pages of the book."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from buildbook.pages import paths
from buildbook.pages.asbuilt import as_built_page, assembly_page
from buildbook.pages.balance import balance_page, has_balance
from buildbook.pages.contactsheet import contact_sheet_page, has_contact_sheet
from buildbook.pages.context import Context
from buildbook.pages.costs import costs_page
from buildbook.pages.evidence import evidence_page
from buildbook.pages.forecast import forecast_page
from buildbook.pages.form import TITLE as FORM_TITLE
from buildbook.pages.form import form_page
from buildbook.pages.gallery import gallery_page
from buildbook.pages.home import home_page
from buildbook.pages.hours import hours_page
from buildbook.pages.lessons import lessons_page
from buildbook.pages.lots import lot_page
from buildbook.pages.notices import notices_page
from buildbook.pages.opening import (
    EditionView,
    at_work_page,
    edition_view,
    inspector_page,
    overview_page,
    owner_page,
)
from buildbook.pages.operations import operation_page, operations_page
from buildbook.pages.pace import pace_page
from buildbook.pages.page import Page
from buildbook.pages.parts import part_page, parts_page
from buildbook.pages.people import people_page
from buildbook.pages.readings import characteristic_page, readings_page
from buildbook.pages.reference import reference_page
from buildbook.pages.sections import section_page, sections_page, step_page
from buildbook.pages.sessions import session_page, sessions_page
from buildbook.pages.sheets import has_part_sheet, has_step_sheet, part_sheet_page, step_sheet_page
from buildbook.pages.squawks import squawk_page, squawks_page
from buildbook.pages.stores import stores_page
from buildbook.pages.written import written_page


@dataclass(frozen=True, slots=True)
class Planned:
    """A page that can be laid out."""

    path: str
    make: Callable[[], Page]
    title: str = ""
    """Its title where it is listed in the navigation; the others are reached from those."""


class Layout:
    """Every page of a book by its path; each is laid out when it is first asked for."""

    def __init__(self, planned: Iterable[Planned], edition: EditionView | None = None) -> None:
        self.edition = edition
        """Which edition the pages are of; None for the full one."""
        self._planned = {one.path: one for one in planned}
        self._made: dict[str, Page] = {}
        self.listed = {path: one.title for path, one in self._planned.items() if one.title}
        """Titles of the pages of the navigation, by path, in its order."""

    def __len__(self) -> int:
        """Count the pages."""
        return len(self._planned)

    def __contains__(self, path: str) -> bool:
        """Tell whether there is a page."""
        return path in self._planned

    def __iter__(self) -> Iterator[Page]:
        """Lay out every page, the listed ones first and in the order of the navigation."""
        return map(self.page, self._planned)

    @property
    def paths(self) -> Iterable[str]:
        """Every page's path."""
        return self._planned.keys()

    def page(self, path: str) -> Page:
        """Lay out a page."""
        if path not in self._made:
            self._made[path] = self._planned[path].make()
        return self._made[path]


def lay_out(context: Context, *, form: bool = False) -> Layout:
    """Plan every page, the listed ones in the order of the navigation.

    With `form`, one on which a session is written is among them: for the builder's own use.
    """
    write = [Planned(paths.WRITE, partial(form_page, context), FORM_TITLE)] if form else []
    planned = [*_listed(context), *write, *_others(context)]
    return Layout(planned, edition_view(context))


def _listed(context: Context) -> Iterator[Planned]:
    book = context.book
    yield from _opening(context)
    yield Planned(paths.SECTIONS, partial(sections_page, context), "Sections")
    for name, section in book.sections.items():
        make = partial(section_page, context, name, section)
        yield Planned(paths.section(name), make, section.title)
    yield Planned(paths.SESSIONS, partial(sessions_page, context), "Sessions")
    yield Planned(paths.PARTS, partial(parts_page, context), "Parts")
    yield Planned(paths.OPERATIONS, partial(operations_page, context), "Operations")
    yield Planned(paths.LESSONS, partial(lessons_page, context), "Lessons")
    yield Planned(paths.SQUAWKS, partial(squawks_page, context), "Squawks")
    yield Planned(paths.READINGS, partial(readings_page, context), "Readings")
    yield Planned(paths.GALLERY, partial(gallery_page, context), "Gallery")
    yield Planned(paths.HOURS, partial(hours_page, context), "Hours")
    yield Planned(paths.PACE, partial(pace_page, context), "Pace")
    yield Planned(paths.FORECAST, partial(forecast_page, context), "Forecast")
    yield Planned(paths.PEOPLE, partial(people_page, context), "People")
    yield Planned(paths.STORES, partial(stores_page, context), "Stores")
    if book.notices:
        yield Planned(paths.NOTICES, partial(notices_page, context), "Notices")
    if book.file.show_costs:
        yield Planned(paths.COSTS, partial(costs_page, context), "Costs")
    if book.tasks:
        yield Planned(paths.EVIDENCE, partial(evidence_page, context), "Evidence")
    if book.sections:
        yield Planned(paths.AS_BUILT, partial(as_built_page, context), "As built")
    if has_balance(context):
        yield Planned(paths.BALANCE, partial(balance_page, context), "Weight and balance")
    yield Planned(paths.REFERENCE, partial(reference_page, context), "Reference")


def _opening(context: Context) -> Iterator[Planned]:
    title = context.book.file.title
    match context.book.edition:
        case "inspector":
            yield Planned(paths.HOME, partial(inspector_page, context), title)
            yield Planned(paths.OVERVIEW, partial(overview_page, context), "Overview")
            yield Planned(paths.AT_WORK, partial(at_work_page, context), "At work")
        case "owner":
            yield Planned(paths.HOME, partial(owner_page, context), title)
            yield Planned(paths.OVERVIEW, partial(overview_page, context), "Overview")
        case _:
            yield Planned(paths.HOME, partial(home_page, context), title)


def _others(context: Context) -> Iterator[Planned]:
    book = context.book
    yield from _steps(context)
    for name in book.sections:
        yield Planned(paths.as_built(name), partial(assembly_page, context, name))
    if context.past:
        yield Planned(paths.WRITTEN, partial(written_page, context))
    for slug in book.sessions:
        yield Planned(paths.session(slug), partial(session_page, context, slug))
    for number, part in book.parts.items():
        yield Planned(paths.part(number), partial(part_page, context, number, part))
        if has_part_sheet(context, number):
            yield Planned(paths.part_sheet(number), partial(part_sheet_page, context, number))
    for name, operation in book.operations.items():
        yield Planned(paths.operation(name), partial(operation_page, context, name, operation))
    for name, lot in book.lots.items():
        yield Planned(paths.lot(name), partial(lot_page, context, name, lot))
    for squawk in book.squawks:
        yield Planned(paths.squawk(squawk), partial(squawk_page, context, squawk))
    for one in context.ledger.readings.characteristics:
        yield Planned(paths.reading(one.slug), partial(characteristic_page, context, one))


def _steps(context: Context) -> Iterator[Planned]:
    for name, step in context.book.steps.items():
        yield Planned(paths.step(name), partial(step_page, context, name, step))
        if has_step_sheet(context, name):
            yield Planned(paths.step_sheet(name), partial(step_sheet_page, context, name))
        if has_contact_sheet(context, name):
            yield Planned(paths.contact_sheet(name), partial(contact_sheet_page, context, name))
