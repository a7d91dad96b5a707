"""The page on which a session is written, and what its form knows of the book.

The page works by itself, from disk and without a network: all it needs stands in it as JSON. It
holds names and states that other pages show too, and nothing else of the book.
"""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from buildbook.ledger.routes import CellState, Sheet
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.formfields import FormRecords, form_records
from buildbook.pages.formwords import form_words
from buildbook.pages.page import Page
from buildbook.pages.words import mark, say
from buildbook.records.kinds import KINDS
from buildbook.records.labels import Piece
from buildbook.records.schema import schema_of
from buildbook.records.session import SHORT_FORM, Session
from buildbook.writing.draft import SCHEMA

TITLE = mark("Write a session")
TOGETHER = {"from": "to", "to": "from", "break": "from"}
"""Fields of a piece of work that cannot stand without another one."""
BASICS = ("step", "operation", "parts", "pieces", "hours", "notes")
"""Fields of a piece of work that are shown at once; the others are to be unfolded."""
SCRIPTS = (
    "words",
    "yaml",
    "names",
    "rules",
    "exif",
    "film",
    "controls",
    "pieces",
    "photos",
    "draft",
    "page",
)
"""The form's scripts in the order they need one another: `assets/form/NAME.js`."""
_LATEST = 3  # steps worked on last, offered at one touch
_REMEMBERED = 60  # sessions whose names are known, to tell that a date needs another title


@dataclass(frozen=True, slots=True)
class FormView:
    """Template `form.html`: a session written in the browser."""

    title: str
    data: Markup
    """What the form knows of the book, as JSON without a `<` in it."""
    scripts: tuple[str, ...]
    """Paths of its scripts in the site."""
    style: str
    """Path of its style sheet in the site."""


ASSETS = "assets/buildbook/form"
"""Folder of the site that holds the form's scripts and style."""


def form_page(context: Context) -> Page:
    """Lay out the page on which a session is written."""
    data = json.dumps(form_data(context), ensure_ascii=False, separators=(",", ":"))
    return Page(
        paths.WRITE,
        say(TITLE),
        "form.html",
        FormView(
            say(TITLE),
            Markup(data.replace("<", "\\u003c")),  # noqa: S704 - no tag can begin in it
            tuple(f"{ASSETS}/{name}.js" for name in SCRIPTS),
            f"{ASSETS}/form.css",
        ),
        [],  # a tool of the builder's, not something a reader looks for
        frozenset(),
        listed=True,
        indexed=False,
    )


def form_data(context: Context) -> dict[str, Any]:
    """Collect what the form knows of the book."""
    book = context.book
    fields = form_records(schema_of(KINDS["sessions"]), Session.__name__)
    said = form_words()
    return {
        **({"words": said} if said else {}),
        "book": book.file.title,
        "builder": book.file.builder,
        "zone": book.file.time_zone,
        "schema": SCHEMA,
        "byYear": _by_year(book.sessions.values()),
        "fields": {name: [f.said() for f in some] for name, some in fields.items()},
        "short": list(SHORT_FORM),
        "basics": list(BASICS),
        "together": TOGETHER,
        "steps": list(_steps(context)),
        "latest": _latest_steps(book.sessions.values()),
        "parts": {number: _part(context, number) for number in book.parts},
        "names": {kind: _names(context, kind) for kind in _cited(fields)},
        "free": {
            "lesson": max(book.lessons, default=0) + 1,
            "squawk": max(book.squawks, default=0) + 1,
        },
        "sessions": list(book.sessions)[-_REMEMBERED:],
    }


def _by_year(sessions: Iterable[Session]) -> bool:
    """Tell whether the book keeps its sessions in a folder a year."""
    return any(re.match(r"sessions/\d{4}/", session.place.file) for session in sessions)


def _cited(fields: FormRecords) -> list[str]:
    """List the kinds of record that the form lets cite, without those it knows otherwise."""
    kinds = dict.fromkeys(f.refers for some in fields.values() for f in some if f.refers)
    return [k for k in kinds if k not in ("steps", "parts", "pieces", "photos", "clips")]


def _names(context: Context, kind: str) -> list[list[str]]:
    """List what a kind has: each one's identity and its title."""
    records: Mapping[Any, Any] = getattr(context.book, kind, {})
    named = [[str(n), getattr(r, "title", "") or r.name, _state(r)] for n, r in records.items()]
    # What is numbered was written one after the other: the latest is cited most.
    return named[::-1] if records and isinstance(next(iter(records)), int) else named


def _state(record: Any) -> str:
    return str(getattr(record, "state", ""))


def _steps(context: Context) -> Iterator[dict[str, Any]]:
    for name, step in context.book.steps.items():
        yield {
            "name": name,
            "section": context.book.sections[name.partition("/")[0]].title,
            "title": step.title,
            "state": context.ledger.progress.steps[name].state.value,
            "parts": [number for number in step.parts if number in context.book.parts],
            "operations": list(context.book.operations_of(step)),
            "photos": list(step.required_photos),
        }


def _latest_steps(sessions: Iterable[Session]) -> list[str]:
    """List the steps worked on last, the very last first."""
    found: dict[str, None] = {}
    for session in reversed(list(sessions)):
        found |= dict.fromkeys(w.step for w in reversed(session.entries) if w.step)
        if len(found) >= _LATEST:
            break
    return list(found)[:_LATEST]


def _part(context: Context, number: str) -> dict[str, Any]:
    """Say what a part is, which pieces it has, and what is done on each, a letter a piece."""
    part = context.book.parts[number]
    sheet = context.ledger.routes.sheets[number]
    pieces = context.book.pieces[number]
    said: dict[str, Any] = {
        "name": part.name,
        "pieces": [p.mark for p in pieces],
        "states": "".join(map(_letter, pieces)),
        "done": _done(sheet),
    }
    if any(p.label != f"{number}-{p.mark}" for p in pieces):
        said["labels"] = [p.label for p in pieces]
    if places := [" ".join(filter(None, (p.side, p.position))) for p in pieces]:
        said |= {"places": places} if any(places) else {}
    if held := {str(i): list(r.held_by) for i, r in enumerate(sheet.rows) if r.held_by}:
        said["held"] = held
    return said


def _letter(piece: Piece) -> str:
    """Say with one letter what becomes of a piece: `f`itted, `s`pare, `x` scrapped."""
    return "x" if piece.scrapped else "s" if piece.spare else "f"


def _done(sheet: Sheet) -> dict[str, str]:
    """Say for each operation which pieces it is done on: `1`, else `0`, in the pieces' order."""
    columns = {}
    for at, operation in enumerate(sheet.operations):
        done = [row.cells[at].state is CellState.DONE for row in sheet.rows]
        if any(done):
            columns[operation] = "".join(str(int(d)) for d in done)
    return columns
