"""What the tags of hand-written pages stand for, as views."""

from dataclasses import dataclass
from typing import Any

from buildbook.ledger.hours import HoursTable
from buildbook.pages.clips import clip_views
from buildbook.pages.context import Context
from buildbook.pages.parts import PartLine, part_line
from buildbook.pages.sessions import session_line
from buildbook.pages.words import say
from buildbook.records.tags import argument_kind


@dataclass(frozen=True, slots=True)
class TagView:
    """A template of `tags/` and the view it draws."""

    template: str
    view: Any


def tag_view(context: Context, name: str, argument: str) -> TagView | None:
    """Make the view of a tag; None for a tag that is wrong."""
    kind = argument_kind(context.book, name, argument) if argument else ""
    if kind is None:
        return None
    match name:
        case "total":
            view: Any = _total(context, kind, argument)
        case "hours":
            view = _hours(context, argument)
        case "parts":
            view = _parts(context, argument)
        case "photos":
            links = context.ledger.links
            shots = links.of(kind, argument).shots if kind else links.shots
            view = context.figures(shots)
        case "clips":
            links = context.ledger.links
            view = clip_views(context, links.of(kind, argument).takes if kind else links.takes)
        case "sessions":
            slugs = (
                context.ledger.links.of(kind, argument).sessions if kind else context.book.sessions
            )
            view = tuple(session_line(context, slug) for slug in slugs)
        case "lessons":
            view = tuple(map(context.lesson, _lessons(context, kind, argument)))
        case "squawks":
            numbers = sorted(context.book.squawks)
            lines = map(context.squawk_line, numbers)
            view = tuple(s for s in lines if not argument or s.state == argument)
        case _:
            return None
    return TagView(f"tags/{name}.html", view)


def _total(context: Context, kind: str, argument: str) -> int:
    hours = context.ledger.hours
    rows = {"sections": hours.of_section, "steps": hours.of_step}
    if not kind:
        return hours.clock
    row = rows[kind].get(argument)
    return row.clock if row else 0


def _hours(context: Context, section: str) -> Any:
    hours = context.ledger.hours
    if not section:
        return context.hours(say("Hours by section"), say("Section"), hours.by_section, "sections")
    title = context.section_link(section).text
    table = HoursTable(tuple(r for r in hours.by_step.rows if r.key.startswith(f"{section}/")))
    return context.hours(say("Hours by step, %(title)s", title=title), say("Step"), table, "steps")


def _parts(context: Context, section: str) -> tuple[PartLine, ...]:
    book = context.book
    steps = book.sections[section].steps if section else book.steps.values()
    numbers = dict.fromkeys(p for step in steps for p in step.parts if p in book.parts)
    return tuple(part_line(context, number) for number in numbers)


def _lessons(context: Context, kind: str, argument: str) -> list[int]:
    if kind == "steps":
        return list(context.ledger.lessons_of_step[argument])
    return context.ledger.links.of(kind, argument).lessons if kind else sorted(context.book.lessons)
