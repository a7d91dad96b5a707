"""Air: work that needs the right air, done in air that was wrong or not written down."""

from collections.abc import Iterator

from buildbook.records.book import Book
from buildbook.records.problems import Problem, Severity


def check_air(book: Book) -> Iterator[Problem]:
    """Yield what of the air is outside an operation's conditions; `knowingly` says it is meant."""
    unit = book.file.units.temperature
    for session in book.sessions.values():
        told_missing = False
        for work in session.entries:
            operation = book.operations.get(work.operation or "")
            if not operation or not operation.conditions or work.knowingly:
                continue
            air = work.air or session.air
            if air is None:
                if not told_missing:
                    yield Problem(
                        "no-air",
                        f"`{operation.operation}` depends on the air, and it is not written down",
                        work.place.at("operation"),
                        Severity.WARNING,
                        advice="add `air: 17 °C, 55 %`; if it was not measured, say so with "
                        "`knowingly:`",
                    )
                told_missing = True
            else:
                for fault in operation.conditions.faults(air, unit):
                    yield Problem(
                        "air-outside",
                        f"for `{operation.operation}` {fault}",
                        air.place,
                        Severity.WARNING,
                        advice="if nothing was coated, or it was meant, add `knowingly:` "
                        "with the reason",
                    )
