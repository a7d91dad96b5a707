"""Checks across records: what no single record can know about itself. A module a subject."""

from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.air import check_air
from buildbook.records.checks.amendments import check_amendments
from buildbook.records.checks.balance import check_balance
from buildbook.records.checks.citations import check_citations, top_records
from buildbook.records.checks.clips import check_clips
from buildbook.records.checks.editions import check_editions
from buildbook.records.checks.hours import check_hours
from buildbook.records.checks.lots import check_lots
from buildbook.records.checks.money import check_money
from buildbook.records.checks.notices import check_notices
from buildbook.records.checks.photos import check_photos
from buildbook.records.checks.plan import check_plan
from buildbook.records.checks.prose import check_prose
from buildbook.records.checks.readings import check_readings
from buildbook.records.checks.recurring import check_recurring
from buildbook.records.checks.routes import check_routes
from buildbook.records.checks.signoffs import check_signoffs
from buildbook.records.checks.squawks import check_squawks
from buildbook.records.checks.storage import check_storage
from buildbook.records.checks.tasks import check_tasks
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
        *check_amendments(book, today),
        *check_plan(book, broken),
        *check_routes(book),
        *check_readings(book, today),
        *check_squawks(book, today),
        *check_signoffs(book, today),
        *check_air(book),
        *check_lots(book, today),
        *check_storage(book, today),
        *check_notices(book, today),
        *check_money(book, today, broken),
        *check_balance(book, today, broken),
        *check_tasks(book),
        *check_recurring(book, today),
        *check_photos(book, cited),
        *check_clips(book, cited),
        *check_prose(book, broken),
        *check_editions(book),
    ]
