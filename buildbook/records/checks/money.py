"""Money: amounts in another currency without a rate, and costs of days to come."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.money import Money
from buildbook.records.problems import Place, Problem, Severity


def check_money(book: Book, today: date, broken: frozenset[str]) -> Iterator[Problem]:
    """Yield what keeps costs from being added up."""
    for cost in book.costs:
        if cost.date > today:
            yield Problem(
                "future-cost",
                f"{cost.date} is still to come",
                cost.place.at("date"),
                advice="mend the date; the book counts what was paid",
            )
    if "book" in broken:  # then its currency is not known
        return
    paid = [(lot.cost, lot.place) for lot in book.lots.values()]
    paid += [(tool.cost, tool.place) for tool in book.tools.values()]
    paid += [(cost.cost, cost.place) for cost in book.costs]
    for money, place in paid:
        if money:
            yield from _rate(money, place.at("cost"), book.file.currency)


def _rate(paid: Money, place: Place, currency: str) -> Iterator[Problem]:
    if paid.currency != currency and paid.rate is None:
        yield Problem(
            "cost-without-rate",
            f"`{paid.written}` has no rate, and the book counts in {currency}",
            place,
            advice=f"add what one {paid.currency} cost you, as "
            f"`{paid.amount:f} {paid.currency} at 0.92`",
        )
    elif paid.currency == currency and paid.rate is not None:
        yield Problem(
            "needless-rate",
            f"`{paid.written}` has a rate, and is in the book's own currency",
            place,
            Severity.WARNING,
            advice="leave the rate out, or mend the currency",
        )
