"""Amendments on a session's page: what it said before, when and why it was corrected."""

from dataclasses import dataclass
from datetime import date

from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.records.session import Session

_SHORT = 80
"""Letters up to which the earlier words stand in the sentence."""


@dataclass(frozen=True, slots=True)
class AmendmentView:
    """One correction."""

    date: date
    field: str
    was: str
    """As it was written; empty where nothing was."""
    is_long: bool
    """The earlier words stand below the sentence, line by line."""
    why: str
    by: Link


def amendments(context: Context, session: Session) -> tuple[AmendmentView, ...]:
    """Make the views of a session's corrections, in the order they were written."""
    return tuple(
        AmendmentView(
            one.date,
            one.field,
            was := (one.was or "").strip("\n"),
            len(was) > _SHORT or "\n" in was,
            one.why or "",
            context.person_link(one.by or context.book.file.builder),
        )
        for one in session.amendments
    )
