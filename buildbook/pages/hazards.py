"""Hazards of operations, wherever the operations are shown."""

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.page import Link
from buildbook.pages.words import translated
from buildbook.records.book import Book
from buildbook.reference.hazards import Hazard, hazards_of


@dataclass(frozen=True, slots=True)
class HazardView:
    """A hazard in the box of cautions."""

    link: Link
    text: str
    """What it does, and the usual protection."""


def hazard_link(hazard: Hazard) -> Link:
    """Link to what the page Reference says."""
    return Link(translated(hazard.title), f"{paths.REFERENCE}#{hazard.anchor}")


def hazard_view(hazard: Hazard) -> HazardView:
    """Make the view of a hazard."""
    return HazardView(hazard_link(hazard), " ".join(map(translated, hazard.sentences)))


def hazards_in(book: Book, operations: Iterable[str | None]) -> tuple[Hazard, ...]:
    """Find the hazards of several operations, each once, in the operations' order."""
    known = (book.operations[name] for name in operations if name and name in book.operations)
    return hazards_of(hazard for operation in known for hazard in operation.hazards)
