"""Days that are still to come, in what says that something was done."""

from collections.abc import Iterable, Iterator
from datetime import date

from buildbook.records.problems import Place, Problem


def still_to_come(
    code: str, days: Iterable[tuple[date | None, Place]], today: date, advice: str = "mend the date"
) -> Iterator[Problem]:
    """Yield a problem for each day after today; None is no day."""
    for day, place in days:
        if day and day > today:
            yield Problem(code, f"{day} is still to come", place, advice=advice)
