"""Amendments: corrections that cannot have been made then, or of what there is not."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.problems import Problem, did_you_mean
from buildbook.records.record import fold
from buildbook.records.session import Session


def check_amendments(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with the corrections of sessions."""
    for session in book.sessions.values():
        for amendment in session.amendments:
            if amendment.date > today:
                yield Problem(
                    "future-amendment",
                    f"{amendment.date} is still to come",
                    amendment.place.at("date"),
                    advice="write the day on which the record was corrected",
                )
            elif amendment.date < session.date:
                yield Problem(
                    "early-amendment",
                    f"a correction of {amendment.date} comes before the session itself",
                    amendment.place.at("date"),
                    advice="mend the date of one of the two",
                )
            name = fold(amendment.field)
            if not any(f"{name} ".startswith(f"{known} ") for known in Session.spellings):
                yield Problem(
                    "unknown-amended",
                    f"a session has no field `{amendment.field}`",
                    amendment.place.at("field"),
                    advice=did_you_mean(name, Session.spellings)
                    or "write the field's name, as `hours` or `work 2 hours`",
                )
