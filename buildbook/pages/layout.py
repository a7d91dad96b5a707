"""From a Ledger to all pages of the book."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from buildbook.pages import paths
from buildbook.pages.asbuilt import as_built_page, assembly_page
from buildbook.pages.balance import balance_page, has_balance
from buildbook.pages.characteristics import characteristic_page, readings_page
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
from buildbook.pages.page import Link, Page
from buildbook.pages.parts import part_page, parts_page
from buildbook.pages.people import people_page
from buildbook.pages.reference import reference_page
from buildbook.pages.sections import section_page, sections_page, step_page
from buildbook.pages.sessions import session_page, sessions_page
from buildbook.pages.sheets import has_part_sheet, has_step_sheet, part_sheet_page, step_sheet_page
from buildbook.pages.squawks import squawk_page, squawks_page
from buildbook.pages.stores import stores_page
from buildbook.pages.words import ENGLISH, mark, say, speaking
from buildbook.pages.written import written_page


@dataclass(frozen=True, slots=True)
class Planned:
    """A page that can be laid out."""

    path: str
    make: Callable[[], Page]
    title: str = ""
    """Its title where it is listed in the navigation; the others are reached from those."""
    group: str = ""
    """What it is listed under there; empty where it stands alone."""
    under: str = ""
    """Path of the page above it, of which it is a part."""


class Layout:
    """Every page of a book by its path; each is laid out when it is first asked for."""

    def __init__(
        self,
        planned: Iterable[Planned],
        edition: EditionView | None = None,
        language: str = ENGLISH,
    ) -> None:
        self.edition = edition
        """Which edition the pages are of; None for the full one."""
        self.language = language
        """What the book's own words are said in."""
        self._planned = {one.path: one for one in planned}
        self._made: dict[str, Page] = {}
        self.listed = {path: one.title for path, one in self._planned.items() if one.title}
        """Titles of the pages of the navigation, by path, in its order."""
        self.groups = {path: self._planned[path].group for path in self.listed}
        """What each of those is listed under; empty where it stands alone."""

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
            with speaking(self.language):
                self._made[path] = self._planned[path].make()
        return self._made[path]

    def above(self, path: str) -> Iterator[str]:
        """Yield the paths of the pages that a page is a part of, up to the home page."""
        while path != paths.HOME and path in self._planned:
            path = self._planned[path].under or paths.HOME
            yield path

    def trail(self, path: str) -> tuple[Link, ...]:
        """Give the pages that a page is a part of, from the home page down."""
        with speaking(self.language):
            home = say(HOME)
        above = [
            Link(home if at == paths.HOME else self.listed.get(at) or self.page(at).title, at)
            for at in self.above(path)
        ]
        return tuple(reversed(above))


HOME = mark("Home")
BUILD, PARTS, WORKMANSHIP = mark("Build"), mark("Parts"), mark("Workmanship")
TIME, AIRCRAFT = mark("Time and cost"), mark("Aircraft")
"""What the lists of a book are listed under."""


def lay_out(context: Context, *, form: bool = False) -> Layout:
    """Plan every page, the listed ones in the order of the navigation.

    With `form`, one on which a session is written is among them: for the builder's own use.
    """
    language = context.book.file.language
    with speaking(language):
        write = [Planned(paths.WRITE, partial(form_page, context), say(FORM_TITLE))] if form else []
        planned = [*_listed(context), *write, *_others(context)]
        return Layout(planned, edition_view(context), language)


def _listed(context: Context) -> Iterator[Planned]:
    book = context.book
    yield from _opening(context)

    def plan(path: str, page: Callable[[Context], Page], title: str, group: str) -> Planned:
        return Planned(path, partial(page, context), title, say(group))

    yield plan(paths.SECTIONS, sections_page, say("Sections"), BUILD)
    for name, section in book.sections.items():
        make = partial(section_page, context, name, section)
        yield Planned(paths.section(name), make, section.title, say(BUILD), paths.SECTIONS)
    yield plan(paths.SESSIONS, sessions_page, say("Sessions"), BUILD)
    yield plan(paths.GALLERY, gallery_page, say("Gallery"), BUILD)
    yield plan(paths.LESSONS, lessons_page, say("Lessons"), BUILD)
    yield plan(paths.PARTS, parts_page, say("Parts"), PARTS)
    yield plan(paths.OPERATIONS, operations_page, say("Operations"), PARTS)
    yield plan(paths.STORES, stores_page, say("Stores"), PARTS)
    yield plan(paths.READINGS, readings_page, say("Readings"), WORKMANSHIP)
    yield plan(paths.SQUAWKS, squawks_page, say("Squawks"), WORKMANSHIP)
    if book.notices:
        yield plan(paths.NOTICES, notices_page, say("Notices"), WORKMANSHIP)
    yield plan(paths.REFERENCE, reference_page, say("Reference"), WORKMANSHIP)
    yield plan(paths.HOURS, hours_page, say("Hours"), TIME)
    yield plan(paths.PACE, pace_page, say("Pace"), TIME)
    yield plan(paths.FORECAST, forecast_page, say("Forecast"), TIME)
    yield plan(paths.PEOPLE, people_page, say("People"), TIME)
    if book.file.show_costs:
        yield plan(paths.COSTS, costs_page, say("Costs"), TIME)
    if book.sections:
        yield plan(paths.AS_BUILT, as_built_page, say("As built"), AIRCRAFT)
    if has_balance(context):
        yield plan(paths.BALANCE, balance_page, say("Weight and balance"), AIRCRAFT)
    if book.tasks:
        yield plan(paths.EVIDENCE, evidence_page, say("Evidence"), AIRCRAFT)


def _opening(context: Context) -> Iterator[Planned]:
    title = context.book.file.title
    match context.book.edition:
        case "inspector":
            yield Planned(paths.HOME, partial(inspector_page, context), title)
            yield Planned(paths.OVERVIEW, partial(overview_page, context), say("Overview"))
            yield Planned(paths.AT_WORK, partial(at_work_page, context), say("At work"))
        case "owner":
            yield Planned(paths.HOME, partial(owner_page, context), title)
            yield Planned(paths.OVERVIEW, partial(overview_page, context), say("Overview"))
        case _:
            yield Planned(paths.HOME, partial(home_page, context), title)


def _others(context: Context) -> Iterator[Planned]:
    book = context.book
    yield from _steps(context)
    for name in book.sections:
        make = partial(assembly_page, context, name)
        yield Planned(paths.as_built(name), make, under=paths.AS_BUILT)
    if context.past:
        yield Planned(paths.WRITTEN, partial(written_page, context), under=paths.SESSIONS)
    for slug in book.sessions:
        make = partial(session_page, context, slug)
        yield Planned(paths.session(slug), make, under=paths.SESSIONS)
    for number, part in book.parts.items():
        make = partial(part_page, context, number, part)
        path = paths.part(number)
        yield Planned(path, make, under=paths.PARTS)
        if has_part_sheet(context, number):
            make = partial(part_sheet_page, context, number)
            yield Planned(paths.part_sheet(number), make, under=path)
    for name, operation in book.operations.items():
        make = partial(operation_page, context, name, operation)
        yield Planned(paths.operation(name), make, under=paths.OPERATIONS)
    for name, lot in book.lots.items():
        yield Planned(paths.lot(name), partial(lot_page, context, name, lot), under=paths.STORES)
    for squawk in book.squawks:
        make = partial(squawk_page, context, squawk)
        yield Planned(paths.squawk(squawk), make, under=paths.SQUAWKS)
    for one in context.ledger.readings.characteristics:
        make = partial(characteristic_page, context, one)
        yield Planned(paths.reading(one.slug), make, under=paths.READINGS)


def _steps(context: Context) -> Iterator[Planned]:
    for name, step in context.book.steps.items():
        path = paths.step(name)
        section = paths.section(name.split("/")[0])
        yield Planned(path, partial(step_page, context, name, step), under=section)
        if has_step_sheet(context, name):
            make = partial(step_sheet_page, context, name)
            yield Planned(paths.step_sheet(name), make, under=path)
        if has_contact_sheet(context, name):
            make = partial(contact_sheet_page, context, name)
            yield Planned(paths.contact_sheet(name), make, under=path)
