"""Air on the pages: what was measured, the dew point of it, and whether the work allowed it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from buildbook.ledger.air import WorkAir
from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.pages.words import mark, number, say, translated
from buildbook.records.air import Air, Conditions, difference_c, show_difference, show_temperature
from buildbook.records.operation import Operation

INSIDE, NOT_WRITTEN = mark("inside"), mark("the air was not written down")


@dataclass(frozen=True, slots=True)
class VerdictView:
    """Whether the air allowed one kind of work."""

    operation: Link
    asked: str
    """What the operation asks for, in words; empty where the book states nothing."""
    inside: bool
    said: str
    """In words: inside, or what is outside, or that nothing was written down."""
    knowingly: str
    """The builder's reason, where it was meant."""


@dataclass(frozen=True, slots=True)
class AirView:
    """One reading of the air."""

    heading: str
    """The work it was taken for; empty for the session's own."""
    facts: tuple[tuple[str, str], ...]
    """What it is, and its value."""
    verdicts: tuple[VerdictView, ...]


@dataclass(frozen=True, slots=True)
class AirLine:
    """The air of one session in an operation's table."""

    session: Link
    date: date
    temperature: str
    humidity: str
    dew_point: str
    """With the word frost where it is one."""
    surface: str
    margin: str
    inside: bool
    said: str
    knowingly: str


def session_air(context: Context, slug: str) -> tuple[AirView, ...]:
    """Make the views of a session's readings; work without any that needs one comes last."""
    session = context.book.sessions[slug]
    rows = context.ledger.air.of_session.get(slug, ())
    own = {row.index for row in rows if session.work and session.entries[row.index].air}
    views = []
    if session.air:
        shared = [row for row in rows if row.index not in own]
        views.append(AirView("", air_facts(context, session.air), _verdicts(context, shared)))
    for i, work in enumerate(session.work):
        if work.air:
            named = [link.text for link in _titles(context, work.operation, work.step)]
            mine = [row for row in rows if row.index == i]
            facts = air_facts(context, work.air)
            views.append(AirView(", ".join(named), facts, _verdicts(context, mine)))
    missing = [row for row in rows if row.air is None]
    if missing:
        views.append(AirView("", (), _verdicts(context, missing)))
    return tuple(views)


def _titles(context: Context, operation: str | None, step: str | None) -> Iterable[Link]:
    if operation:
        yield context.operation_link(operation)
    if step:
        yield context.step_link(step)


def air_facts(context: Context, air: Air) -> tuple[tuple[str, str], ...]:
    """List what was measured and what follows from it."""
    unit, point = context.book.file.units.temperature, air.dew_point
    rows = [
        (say("Temperature"), context.quantity(air.temperature)),
        (say("Relative humidity"), context.quantity(air.humidity)),
        (translated(point.name).capitalize(), number(show_temperature(point.celsius, unit))),
    ]
    if air.surface:
        rows.append((say("Surface"), context.quantity(air.surface)))
        rows.append(
            (say("Margin to the %(name)s", name=translated(point.name)), _margin(air, unit))
        )
    return tuple(rows)


def _margin(air: Air, unit: str) -> str:
    if air.margin is None:
        return ""
    if air.margin < 0:
        return say(
            "%(margin)s below it: the metal was wet",
            margin=number(show_difference(-air.margin, unit)),
        )
    return number(show_difference(air.margin, unit))


def _verdicts(context: Context, rows: Iterable[WorkAir]) -> tuple[VerdictView, ...]:
    """Say each verdict once: several pieces of work of one kind share it."""
    seen: dict[tuple[str, tuple[str, ...], str], VerdictView] = {}
    for row in rows:
        operation = context.book.operations[row.operation]
        if row.air is None or operation.conditions:
            seen.setdefault(
                (row.operation, row.faults, row.knowingly), _verdict(context, row, operation)
            )
    return tuple(seen.values())


def _verdict(context: Context, row: WorkAir, operation: Operation) -> VerdictView:
    return VerdictView(
        context.operation_link(row.operation),
        conditions_words(context, operation.conditions) if operation.conditions else "",
        row.air is not None and not row.faults,
        _said(row),
        row.knowingly,
    )


def _said(row: WorkAir) -> str:
    if row.air is None:
        return say(NOT_WRITTEN)
    return "; ".join(map(translated, row.faults)) or say(INSIDE)


def conditions_words(context: Context, conditions: Conditions) -> str:
    """Say what an operation asks of the air."""
    unit = context.book.file.units.temperature
    said = []
    if conditions.margin:
        least = number(show_difference(difference_c(conditions.margin), unit))
        said.append(say("metal at least %(least)s above the dew point", least=least))
    if span := conditions.temperature:
        said.append(say("air %(limit)s", limit=context.limit(span.low, span.high)))
    if span := conditions.humidity:
        said.append(say("humidity %(limit)s", limit=context.limit(span.low, span.high)))
    if conditions.source:
        said.append(conditions.source)
    return "; ".join(said)


def operation_air(context: Context, name: str) -> tuple[AirLine, ...]:
    """Make the table of an operation's air: a line for each session, the worst of it."""
    operation = context.book.operations[name]
    by_session: dict[str, WorkAir] = {}
    for row in context.ledger.air.of_operation.get(name, ()):
        before = by_session.get(row.session)
        if before is None or len(row.faults) > len(before.faults) or row.air is None:
            by_session[row.session] = row
    return tuple(
        _line(context, row, stated=operation.conditions is not None) for row in by_session.values()
    )


def _line(context: Context, row: WorkAir, *, stated: bool) -> AirLine:
    air, unit = row.air, context.book.file.units.temperature
    point = air.dew_point if air else None
    shown = number(show_temperature(point.celsius, unit)) if point else ""
    said = _said(row) if stated or air is None else ""
    return AirLine(
        context.session_link(row.session),
        row.date,
        context.quantity(air.temperature) if air else "",
        context.quantity(air.humidity) if air else "",
        say("%(shown)s (frost)", shown=shown) if point and point.is_frost else shown,
        context.quantity(air.surface) if air and air.surface else "",
        _margin(air, unit) if air else "",
        air is not None and not row.faults,
        said,
        row.knowingly,
    )
