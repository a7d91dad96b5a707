"""Pages of operations: how this build does a kind of work, and everything learned about it."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.hours import HoursRow
from buildbook.pages import paths
from buildbook.pages.context import Context, Figure, LessonView
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.sessions import SessionLine, session_line
from buildbook.records.operation import Operation


@dataclass(frozen=True, slots=True)
class OperationView:
    """Template `operation.html`."""

    title: str
    how: Markup
    cautions: tuple[Markup, ...]
    air_matters: bool
    clock: int
    person: int
    lessons: tuple[LessonView, ...]
    sessions: tuple[SessionLine, ...]
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class OperationsView:
    """Template `operations.html`."""

    operations: tuple[tuple[Link, int, int, int], ...]
    """Link, clock minutes, sessions, lessons."""


def operation_page(context: Context, name: str, operation: Operation) -> Page:
    """Lay out the page of one operation."""
    touching = context.ledger.links.of("operations", name)
    row = context.ledger.hours.of_operation.get(name) or HoursRow(name, 0, 0, 0)
    how = context.prose.html(operation.how)
    view = OperationView(
        title=operation.title,
        how=how,
        cautions=tuple(map(context.prose.inline, operation.cautions)),
        air_matters=operation.air_matters,
        clock=row.clock,
        person=row.person,
        lessons=tuple(map(context.lesson, touching.lessons)),
        sessions=tuple(session_line(context, slug) for slug in touching.sessions),
        figures=context.figures(touching.shots),
    )
    return Page(
        paths.operation(name),
        operation.title,
        "operation.html",
        view,
        [SearchEntry(operation.title, plain_text(how))],
        frozenset({operation.place.file}),
        description=plain_text(how)[:160],
    )


def operations_page(context: Context) -> Page:
    """Lay out the list of operations."""
    hours, links = context.ledger.hours.of_operation, context.ledger.links
    rows = []
    for name in context.book.operations:
        row = hours.get(name) or HoursRow(name, 0, 0, 0)
        lessons = len(links.of("operations", name).lessons)
        rows.append((context.operation_link(name), row.clock, row.sessions, lessons))
    return Page(
        paths.OPERATIONS,
        "Operations",
        "operations.html",
        OperationsView(tuple(rows)),
        [SearchEntry("Operations", "Kinds of work, with their cautions")],
        frozenset(),
        listed=True,
    )
