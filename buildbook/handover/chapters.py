"""The chapters of the printed book: which there are, and in which order, for each edition."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from buildbook.handover import entries, findings
from buildbook.handover.entries import Entry
from buildbook.pages.context import Context

Made = Callable[[Context], Iterable[Entry]]


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter with what it holds."""

    title: str
    lead: str
    """A sentence below its heading; may be empty."""
    entries: tuple[Entry, ...]


_LEADS = {
    "days": (
        "Days on which a session began, by year. The figure in a black field is the hours of that "
        "day, to the half hour; weekends are shaded."
    ),
    "sessions": "Every stretch of work in the order it happened, with its photos.",
    "written": (
        "A record written soon after the work is worth more than one written from memory. The "
        "version history of the records (git) tells when each session's file first came into it, "
        "and when it was changed later."
    ),
    "sheets": (
        "Pieces down, operations across. A date is the day of the session in which the operation "
        "was done."
    ),
    "readings": (
        "Everything measured, by what was measured. Limits are shown for cross-checking; the "
        "plans come first."
    ),
    "squawks": "Problems found, and what was done about them.",
    "lessons": "What to do differently.",
    "at work": (
        "Every picture that names who is at work in it, small, with the page on which it stands."
    ),
    "notices": "Bulletins and the like, and what was done about them.",
    "lots": "Consumables and hardware by batch, and what was made with them.",
    "hazards": (
        "General practice, for the operations of this book. The product's safety sheet, the "
        "tool's manual and local rules come first."
    ),
}
_CHAPTERS: dict[str, tuple[str, Made]] = {
    "days": ("Working days", entries.days),
    "aircraft": ("The aircraft and this book", entries.aircraft),
    "evidence": ("Evidence account", findings.evidence),
    "written": ("When it was written", findings.written),
    "as built": ("As built", findings.as_built),
    "balance": ("Weight and balance", findings.balance),
    "sections": ("Sections and steps", entries.sections),
    "sessions": ("Sessions", entries.sessions),
    "sheets": ("Sheets of pieces", entries.sheets),
    "readings": ("Readings", findings.readings),
    "squawks": ("Squawks", findings.squawks),
    "lessons": ("Lessons", findings.lessons),
    "at work": ("Pictures by who is at work", findings.at_work),
    "notices": ("Notices", findings.notices),
    "lots": ("Batches", findings.lots),
    "tools": ("Tools", findings.tools),
    "hazards": ("Hazards of the work", findings.hazards),
}

_ORDER = {
    # In order of time, and opened by the calendar: how inspectors like to read (common practice).
    "inspector": (
        "days, aircraft, evidence, written, sessions, at work, sections, sheets, readings, "
        "squawks, notices, balance, as built, lots, tools, lessons, hazards"
    ),
    "owner": (
        "as built, balance, notices, aircraft, sections, squawks, readings, lots, sheets, "
        "sessions, days, evidence, written, lessons, tools, hazards"
    ),
    "public": (
        "aircraft, sections, sessions, lessons, squawks, readings, sheets, evidence, written, "
        "balance, as built, lots, notices, tools, days, hazards"
    ),
    "full": (
        "aircraft, days, sections, sessions, squawks, readings, sheets, lessons, at work, "
        "evidence, written, balance, as built, lots, notices, tools, hazards"
    ),
}


def chapters(context: Context) -> list[Chapter]:
    """List the chapters of an edition that hold anything, in its order."""
    return list(_chapters(context))


def _chapters(context: Context) -> Iterator[Chapter]:
    for name in _ORDER[context.book.edition].split(", "):
        title, made = _CHAPTERS[name]
        if found := tuple(made(context)):
            yield Chapter(title, _LEADS.get(name, ""), found)
