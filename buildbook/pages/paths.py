"""Where everything is in the book: the one place that knows the paths of pages."""

from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from buildbook.ledger.links import Links

HOME, SECTIONS, SESSIONS, PARTS, OPERATIONS = "index", "sections", "sessions", "parts", "operations"
LESSONS, SQUAWKS, PEOPLE, GALLERY, HOURS = "lessons", "squawks", "people", "gallery", "hours"
STORES, PACE, FORECAST = "stores", "pace", "forecast"


def section(name: str) -> str:
    """Path of a section's page."""
    return f"{SECTIONS}/{name}"


def step(name: str) -> str:
    """Path of a step's page; `name` is `section/step`."""
    return f"{SECTIONS}/{name}"


def session(slug: str) -> str:
    """Path of a session's page."""
    return f"{SESSIONS}/{slug}"


def part(number: str) -> str:
    """Path of a part's page."""
    return f"{PARTS}/{number}"


def operation(name: str) -> str:
    """Path of an operation's page."""
    return f"{OPERATIONS}/{name}"


def squawk(number: int) -> str:
    """Path of a squawk's page."""
    return f"{SQUAWKS}/{number}"


def lesson(number: int) -> str:
    """Path of a lesson: a place on the page of all lessons."""
    return f"{LESSONS}#lesson-{number}"


def person(name: str) -> str:
    """Path of a person: a place on the page of people."""
    return f"{PEOPLE}#{name}"


def piece_anchor(label: str) -> str:
    """Return the identifier of a piece on its part's page: in HTML it has no spaces."""
    return label.replace(" ", "_")


def piece(part_number: str, label: str) -> str:
    """Path of a piece: a place on its part's page."""
    return f"{part(part_number)}#{quote(piece_anchor(label), safe='')}"


def part_sheet(number: str) -> str:
    """Path of a part's sheet to print."""
    return f"{part(number)}/sheet"


def step_sheet(name: str) -> str:
    """Path of a step's sheet to print; `name` is `section/step`."""
    return f"{step(name)}/sheet"


def note(file: str) -> str:
    """Path of a hand-written page from its file in the content folder."""
    return quote(file.removesuffix(".md"))


_PATH_OF: dict[str, Callable[[Any], str]] = {
    "parts": part,
    "steps": step,
    "sections": section,
    "sessions": session,
    "people": person,
    "operations": operation,
    "lessons": lesson,
    "squawks": squawk,
}


def target(links: Links, kind: str, name: str | int, piece_part: str = "") -> str | None:
    """Path of anything prose can cite; None for a picture that no session shows.

    `piece_part` is the part number of a piece.
    """
    if kind == "pieces":
        return piece(piece_part, str(name))
    if kind == "photos":
        shot = links.shot_of_file.get(str(name))
        return f"{session(shot.session)}#{shot.anchor}" if shot else None
    return _PATH_OF[kind](name)
