"""The edition that a command makes."""

import click

from buildbook.cli.errors import CannotRunError
from buildbook.handover.editions import Cut, cut
from buildbook.records.book import Book
from buildbook.records.problems import Severity
from buildbook.records.read import Reading
from buildbook.records.readers import EDITIONS, FULL

edition_option = click.option(
    "--edition",
    default=FULL,
    show_default=True,
    type=click.Choice(EDITIONS),
    help="Whom it is for.",
)


def edition_of(reading: Reading, name: str) -> Book:
    """Cut an edition of a book that was read. Raises CannotRunError, as `cut_of` does."""
    return cut_of(reading, name).book


def cut_of(reading: Reading, name: str) -> Cut:
    """Cut an edition of a book that was read, and tell what was left out.

    Raises CannotRunError while a record cannot be read as it is written: what is to be left out
    may be in it. The full edition leaves out nothing, and is made all the same.
    """
    wrong = sum(problem.severity is Severity.ERROR for problem in reading.alone)
    if name != FULL and wrong:
        errors = "an error" if wrong == 1 else f"{wrong} errors"
        raise CannotRunError(
            f"the records have {errors}, and what the {name} edition leaves out may be in what "
            "cannot be read; `buildbook check` says what to mend"
        )
    return cut(reading.book, name)
