"""The page of people."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.hours import HoursRow
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.words import say, translated


@dataclass(frozen=True, slots=True)
class PersonView:
    """One person and their share of the work."""

    anchor: str
    name: str
    role: str
    notes: Markup
    minutes: int
    sessions: int
    photos: int


@dataclass(frozen=True, slots=True)
class PeopleView:
    """Template `people.html`."""

    people: tuple[PersonView, ...]
    person: int
    """Person-minutes of all together."""


def people_page(context: Context) -> Page:
    """Lay out the page of people."""
    by_person = {r.key: r for r in context.ledger.hours.by_person.rows}
    views = []
    for name, person in context.book.people.items():
        row = by_person.get(name) or HoursRow(name, 0, 0, 0)
        views.append(
            PersonView(
                name,
                person.name,
                translated(person.role),
                context.prose.html(person.notes),
                row.clock,
                row.sessions,
                len(context.ledger.links.of("people", name).shots),
            )
        )
    view = PeopleView(tuple(views), sum(v.minutes for v in views))
    entries = [SearchEntry(say("People"), say("Who works on the aircraft"))]
    entries += [SearchEntry(v.name, f"{v.role} {plain_text(v.notes)}", v.anchor) for v in views]
    return Page(paths.PEOPLE, say("People"), "people.html", view, entries, frozenset(), listed=True)
