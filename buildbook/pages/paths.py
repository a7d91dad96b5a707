"""Where everything is in the book: the one place that knows the paths of pages."""

from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from buildbook.files import portable
from buildbook.ledger.links import Links

HOME, SECTIONS, SESSIONS, PARTS, OPERATIONS = "index", "sections", "sessions", "parts", "operations"
LESSONS, SQUAWKS, PEOPLE, GALLERY, HOURS = "lessons", "squawks", "people", "gallery", "hours"
NOTICES, COSTS = "notices", "costs"
STORES, PACE, FORECAST = "stores", "pace", "forecast"
WRITE = "write-a-session"
OVERVIEW, AT_WORK = "overview", "at-work"
READINGS = "readings"
REFERENCE = "reference"
EVIDENCE, WRITTEN, AS_BUILT = "evidence", "written-when", "as-built"
BALANCE = "weight-and-balance"
CALENDAR = "assets/buildbook/recurring.ics"
"""No page: the file of what recurs."""


def section(name: str) -> str:
    """Path of a section's page."""
    return f"{SECTIONS}/{portable(name)}"


def step(name: str) -> str:
    """Path of a step's page; `name` is `section/step`."""
    return f"{SECTIONS}/{'/'.join(map(portable, name.split('/')))}"


def session(slug: str) -> str:
    """Path of a session's page."""
    return f"{SESSIONS}/{slug}"


def part(number: str) -> str:
    """Path of a part's page."""
    return f"{PARTS}/{portable(number)}"


def operation(name: str) -> str:
    """Path of an operation's page."""
    return f"{OPERATIONS}/{portable(name)}"


def squawk(number: int) -> str:
    """Path of a squawk's page."""
    return f"{SQUAWKS}/{number}"


def reading(slug: str) -> str:
    """Path of the page of a characteristic that was measured."""
    return f"{READINGS}/{portable(slug)}"


def lot(name: str) -> str:
    """Path of a lot's page."""
    return f"lots/{portable(name)}"


def as_built(section: str) -> str:
    """Path of the page of a section as it was built."""
    return f"{AS_BUILT}/{portable(section)}"


def notice(number: str) -> str:
    """Path of a notice: a place on the page of all notices."""
    return f"{NOTICES}#notice-{number}"


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


def contact_sheet(name: str) -> str:
    """Path of a step's contact sheet; `name` is `section/step`."""
    return f"{step(name)}/contact-sheet"


def note(file: str) -> str:
    """Path of a hand-written page from its file in the content folder."""
    return quote(file.removesuffix(".md"))


def clip(links: Links, name: str) -> str | None:
    """Path of a clip, cited by its file, or of a chapter in it, as `drilling.mp4@1:20`."""
    if take := links.take_of_file.get(name):
        return f"{session(take.session)}#{take.anchor}"
    file, _, code = name.rpartition("@")
    take = links.take_of_file.get(file)
    codes = [str(chapter.at) for chapter in take.clip.chapters] if take else []
    if take is None or code not in codes:
        return None
    return f"{session(take.session)}#{take.chapter_anchor(codes.index(code) + 1)}"


_PATH_OF: dict[str, Callable[[Any], str]] = {
    "parts": part,
    "steps": step,
    "sections": section,
    "sessions": session,
    "people": person,
    "operations": operation,
    "lessons": lesson,
    "squawks": squawk,
    "lots": lot,
    "notices": notice,
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
    if kind == "clips":
        return clip(links, str(name))
    return _PATH_OF[kind](name)
