"""Tasks: said not to apply without a reason, or shared out on steps that show otherwise."""

from collections.abc import Iterator

from buildbook.records.book import Book
from buildbook.records.problems import Problem, Severity


def check_tasks(book: Book) -> Iterator[Problem]:
    """Yield what a reader of the account would ask about."""
    numbers: dict[str, str] = {}
    for name, task in book.tasks.items():
        if not task.applies and not task.why:
            yield Problem(
                "no-reason",
                "the task is said not to apply, without a reason",
                task.place.at("applies"),
                Severity.WARNING,
                advice="add `why:`, an inspector will ask",
            )
        number = task.number or ""
        if number and (other := numbers.setdefault(number.casefold(), name)) != name:
            yield Problem(
                "number-twice",
                f"number `{number}` is that of task `{other}` already",
                task.place.at("number"),
                Severity.WARNING,
                advice="mend one of the two: a task that is there twice counts twice",
            )
