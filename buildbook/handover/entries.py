"""What the chapters of the printed book hold: the aircraft, what was planned, and what was done.

Each entry is one view, made when it is set. The views are those of the pages of the site, so that
paper and screen say the same in the same words. What paper has no use for is left out, and where a
page shows a thing again, paper names the page on which it stands.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import date, timedelta
from functools import partial
from typing import Any

from buildbook.handover.nodes import nodes, plain
from buildbook.ledger.links import Shot
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.home import home_page
from buildbook.pages.people import people_page
from buildbook.pages.sections import section_page, step_page
from buildbook.pages.sessions import session_page
from buildbook.pages.sheets import has_part_sheet, part_sheet_page
from buildbook.pages.words import show_date, show_month
from buildbook.records.session import Session


@dataclass(frozen=True, slots=True)
class Entry:
    """Something to be set."""

    kind: str
    """Name of the template's function that sets it."""
    make: Callable[[], Any]
    """Gives its data, when it is time to set it."""
    anchors: tuple[str, ...] = ()
    """Paths of the site that lead to where it begins."""
    inside: tuple[str, ...] = ()
    """Paths that lead to places inside it, which its template marks."""
    photos: tuple[str, ...] = ()
    """Files of the photos it shows."""
    pages: float = 0.5
    """How many pages it takes, about."""
    group: str = ""
    """A heading that entries after each other share, as a month."""
    cells: int = 0
    """Of large tables, which take more memory than their pages tell."""


LETTERS = 3500
"""On a page of notes, about."""
_WITHOUT = frozenset(("chart",))
"""Drawn for the screen: the figures stand in the table beside it."""
_PAGER = frozenset(("earlier", "later", "previous"))


def own_fields(view: Any, *leave: str) -> dict[str, Any]:
    """Turn a view into data, without some of its own fields."""
    own = (f.name for f in fields(view) if f.name not in _PAGER and f.name not in leave)
    return {name: plain(getattr(view, name), _WITHOUT) for name in own if name not in _WITHOUT}


# The aircraft and the book as a whole.


def aircraft(context: Context) -> Iterator[Entry]:
    """Yield what is being built, how far it is, who builds it, and the hours."""
    yield Entry("aircraft", partial(_aircraft, context), pages=2)


def _aircraft(context: Context) -> dict[str, Any]:
    book, hours = context.book, context.ledger.hours
    home = home_page(context).view
    one = book.file.aircraft
    facts = (
        ("Model", one.model),
        ("Designer", one.designer),
        ("Serial number", one.serial),
        ("Name", one.name),
        ("Registration", one.registration),
        ("Authority", one.authority),
        ("Workshop", book.file.workshop),
    )
    return {
        "facts": [[name, plain(value)] for name, value in facts if value],
        "about": nodes(home.about),
        "whole": plain(home.whole),
        "clock": hours.clock,
        "person": hours.person,
        "sessions": len(book.sessions),
        "pieces": home.pieces,
        "sections": own_fields(
            context.hours("Hours by section", "Section", hours.by_section, "sections")
        ),
        "operations": own_fields(
            context.hours("Hours by operation", "Operation", hours.by_operation, "operations")
        ),
        "people": own_fields(people_page(context).view),
        "partial": list(book.partial),
    }


def days(context: Context) -> Iterator[Entry]:
    """Yield a calendar of working days for every year."""
    worked: dict[date, tuple[int, str]] = {}
    for slug, session in context.book.sessions.items():
        minutes, first = worked.get(session.date, (0, slug))
        worked[session.date] = (minutes + context.ledger.hours.by_session[slug][0], first)
    for year in sorted({day.year for day in worked}):
        yield Entry("year", partial(_year, year, worked), pages=0.45)


def _year(year: int, worked: dict[date, tuple[int, str]]) -> dict[str, Any]:
    months = []
    for month in range(1, 13):
        first = date(year, month, 1)
        length = (date(year + month // 12, month % 12 + 1, 1) - first).days
        here = [first + timedelta(n) for n in range(length)]
        cells = [
            {
                "minutes": worked[day][0] if day in worked else None,
                "to": paths.session(worked[day][1]) if day in worked else "",
                "weekend": day.weekday() > 4,  # noqa: PLR2004 - Saturday and Sunday
            }
            for day in here
        ]
        done = [worked[day][0] for day in here if day in worked]
        name = show_month(f"{year:04}-{month:02}").partition(" ")[0]
        months.append({"name": name, "cells": cells, "days": len(done), "minutes": sum(done)})
    return {"year": str(year), "months": months}


# Sections and their steps.


def sections(context: Context) -> Iterator[Entry]:
    """Yield every section, and after it each of its steps."""
    for name, section in context.book.sections.items():
        yield Entry("section", partial(_section, context, name), (paths.section(name),), pages=1)
        for step in section.steps:
            of_step = f"{name}/{step.step}"
            of_it = context.ledger.links.of("steps", of_step)
            lines = len(context.ledger.stints_of_step[of_step]) + len(of_it.readings) / 2
            lines += (len(of_it.shots) + len(of_it.lessons) + len(of_it.squawks)) / 2
            letters = len(step.notes or "")
            yield Entry(
                "step",
                partial(_step, context, of_step),
                (paths.step(of_step),),
                pages=0.7 + letters / LETTERS + lines / 35,
            )


def _section(context: Context, name: str) -> dict[str, Any]:
    view = section_page(context, name, context.book.sections[name]).view
    return {
        **own_fields(view, "figures", "clips", "parts", "hours", "next"),
        "hours": own_fields(view.hours),
    }


def _step(context: Context, name: str) -> dict[str, Any]:
    view = step_page(context, name, context.book.steps[name]).view
    touching = context.ledger.links.of("steps", name)
    made = own_fields(
        view,
        "figures",
        "clips",
        "work",
        "readings",
        "lessons",
        "hazards",
        "sheet",
        "contact_sheet",
        "next",
    )
    return {
        **made,
        "hazards": [plain(hazard.link) for hazard in view.hazards],
        "work": [
            {
                "session": plain(work.session),
                "date": show_date(work.date),
                "minutes": work.minutes,
                "who": plain(work.who),
                "operation": plain(work.operation),
                "finished": work.finished,
            }
            for work in view.work
        ],
        "photos": [cited(context, shot) for shot in shots_there(context, touching.shots)],
        "readings": [
            {"what": plain(r.what), "session": plain(r.session), "words": r.verdict.words}
            for r in view.readings
        ],
        "lessons": [plain(context.lesson_link(lesson.number)) for lesson in view.lessons],
    }


def shots_there(context: Context, shots: Iterable[Shot]) -> list[Shot]:
    """Give the photos that are there."""
    return [shot for shot in shots if shot.photo.file in context.book.photo_files]


def cited(context: Context, shot: Shot) -> dict[str, Any]:
    """Name a photo by its caption and where it stands."""
    return {
        "caption": plain(shot.photo.caption),
        "to": _shot_anchor(shot),
        "date": show_date(context.book.sessions[shot.session].date),
    }


def _shot_anchor(shot: Shot) -> str:
    return f"{paths.session(shot.session)}#{shot.anchor}"


def sheets(context: Context) -> Iterator[Entry]:
    """Yield the sheet of every part that has one: pieces down, operations across."""
    for number, pieces in context.book.pieces.items():
        if has_part_sheet(context, number):
            across = len(context.ledger.routes.sheets[number].operations)
            yield Entry(
                "sheet",
                partial(_sheet, context, number),
                (paths.part_sheet(number),),
                pages=0.15 + len(pieces) / 55,
                cells=len(pieces) * (across + 2),
            )


def _sheet(context: Context, number: str) -> Any:
    view = part_sheet_page(context, number).view
    return {**own_fields(view.sheets[0]), "plan": view.plan}


# Sessions, in the order they happened.


def sessions(context: Context) -> Iterator[Entry]:
    """Yield every session, with its photos."""
    links = context.ledger.links
    for slug, session in context.book.sessions.items():
        shots = shots_there(context, links.shots_of_session.get(slug, ()))
        befores = [s.photo.before for s in shots if s.photo.before in context.book.photo_files]
        yield Entry(
            "session",
            partial(_session, context, slug),
            (paths.session(slug),),
            tuple(map(_shot_anchor, shots)),
            (*(s.photo.file for s in shots), *(file for file in befores if file)),
            0.3 + _letters(session) / LETTERS + len(shots) * 0.16,
            show_month(f"{session.date:%Y-%m}"),
        )


def _letters(session: Session) -> int:
    return sum(len(work.notes or "") for work in (session, *session.work))


def _session(context: Context, slug: str) -> dict[str, Any]:
    view = session_page(context, slug).view
    return {
        **own_fields(view, "lessons", "hazards"),
        "path": paths.session(slug),
        "lessons": [
            {"link": plain(lesson.link), **own_fields(lesson, "session", "cited")}
            for lesson in view.lessons
        ],
    }
