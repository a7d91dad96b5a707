"""What recurs, and equipment: days that are still to come, and days in no order that can be."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.problems import Problem, Severity


def check_recurring(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with the dates of equipment and of what comes round again."""
    for item in book.equipment.values():
        for name, day in (("installed", item.installed), ("removed", item.removed)):
            if day and day > today:
                yield Problem(
                    "future-equipment",
                    f"{day} is still to come",
                    item.place.at(name),
                    advice=f"mend the date, or leave `{name}` out until then",
                )
        if bool(item.weight) != bool(item.arm) and item.installed:
            given, other = ("weight", "arm") if item.weight else ("arm", "weight")
            yield Problem(
                "half-a-mass",
                f"`{given}` is given without `{other}`, so the item counts in no balance",
                item.place.at(given),
                Severity.WARNING,
                advice=f"add `{other}`",
            )
    for one in book.recurring.values():
        for done in one.done:
            if done.date > today:
                yield Problem(
                    "future-recurring",
                    f"{done.date} is still to come",
                    done.place.at("date"),
                    advice="mend the date",
                )
        if not one.done and not one.due:
            yield Problem(
                "never-due",
                "it was never done, and nothing says when it is due first",
                one.place.at("every"),
                Severity.WARNING,
                advice="add `due:`, or `done:` with the day it was last done",
            )
