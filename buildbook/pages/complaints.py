"""What is wrong in the records of a page, shown on it while the book is written."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ComplaintView:
    """A problem of a record."""

    severity: str
    where: str
    message: str
    shown: str
    """The line itself."""
    advice: str


@dataclass(frozen=True, slots=True)
class ComplaintsView:
    """Template `complaints.html`, by itself or above a page."""

    complaints: tuple[ComplaintView, ...]
    more: int
