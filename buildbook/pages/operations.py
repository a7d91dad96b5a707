"""Pages of operations: how this build does a kind of work, and everything learned about it."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.hours import HoursRow
from buildbook.pages import paths
from buildbook.pages.air import AirLine, conditions_words, operation_air
from buildbook.pages.clips import ClipView, clip_views
from buildbook.pages.context import Context
from buildbook.pages.hazards import HazardView, hazard_view, hazards_in
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.sessions import SessionLine, session_line
from buildbook.pages.views import Figure, LessonView
from buildbook.pages.words import say
from buildbook.records.operation import Operation


@dataclass(frozen=True, slots=True)
class OperationView:
    """Template `operation.html`."""

    title: str
    how: Markup
    cautions: tuple[Markup, ...]
    hazards: tuple[HazardView, ...]
    air_matters: bool
    conditions: str
    """What it asks of the air, in words; empty where the book states nothing."""
    air: tuple[AirLine, ...]
    clock: int
    person: int
    lessons: tuple[LessonView, ...]
    sessions: tuple[SessionLine, ...]
    figures: tuple[Figure, ...]
    clips: tuple[ClipView, ...]


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
        hazards=tuple(map(hazard_view, hazards_in(context.book, [name]))),
        air_matters=operation.needs_air,
        conditions=conditions_words(context, operation.conditions) if operation.conditions else "",
        air=operation_air(context, name),
        clock=row.clock,
        person=row.person,
        lessons=tuple(map(context.lesson, touching.lessons)),
        sessions=tuple(session_line(context, slug) for slug in touching.sessions),
        figures=context.figures(touching.shots),
        clips=clip_views(context, touching.takes),
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
        say("Operations"),
        "operations.html",
        OperationsView(tuple(rows)),
        [SearchEntry(say("Operations"), say("Kinds of work, with their cautions"))],
        frozenset(),
        listed=True,
    )
