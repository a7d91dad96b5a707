"""Checks across records: what no single record can know about itself. A module a subject."""

from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.citations import check_citations, top_records
from buildbook.records.checks.hours import check_hours
from buildbook.records.checks.photos import check_photos
from buildbook.records.checks.plan import check_plan
from buildbook.records.checks.prose import check_prose
from buildbook.records.checks.routes import check_routes
from buildbook.records.problems import Problem
from buildbook.records.references import references


def check_book(book: Book, today: date, broken: frozenset[str]) -> list[Problem]:
    """Find every problem that shows only when records are laid side by side.

    `broken` names the kinds of which a record could not be read: citations of those are not
    blamed, since what they name may well be there.
    """
    cited = [reference for record in top_records(book) for reference in references(record)]
    return [
        *check_citations(book, cited, broken),
        *check_hours(book, today),
        *check_plan(book, broken),
        *check_routes(book),
        *check_photos(book, cited),
        *check_prose(book, broken),
    ]
