"""Money: what the build cost, by section, month and kind.

Amounts are decimals, never binary fractions. Each is brought into the book's currency and rounded
by itself, so that every total is exactly the sum of the rows shown. What has no rate is in no
total, and is told apart.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from buildbook.records.book import Book
from buildbook.records.money import Money

NOT_SAID = ""
"""Key of the row for what belongs to no one section, or has no date."""
KINDS = ("kit", "lot", "tool", "service", "other")


@dataclass(frozen=True, slots=True)
class Spent:
    """One thing that was paid for."""

    what: str
    kind: str
    """One of KINDS."""
    name: str
    """Identity of the lot or the tool; empty for a cost that stands for itself."""
    date: date | None
    section: str | None
    paid: Money
    amount: Decimal | None
    """In the book's currency; None where the rate is missing."""


@dataclass(frozen=True, slots=True)
class MoneyRow:
    """What one thing cost."""

    key: str
    amount: Decimal
    count: int
    """Things paid for."""


@dataclass(frozen=True, slots=True)
class MoneyTable:
    """Rows of money, and their sum."""

    rows: tuple[MoneyRow, ...]

    @property
    def total(self) -> Decimal:
        """Sum of all rows."""
        return sum((row.amount for row in self.rows), Decimal())


@dataclass(frozen=True, slots=True)
class MoneyLedger:
    """All costs."""

    spent: tuple[Spent, ...]
    """By date; what has none comes last."""
    by_section: MoneyTable
    by_month: MoneyTable
    by_kind: MoneyTable

    @property
    def total(self) -> Decimal:
        """All that could be brought into the book's currency."""
        return self.by_kind.total

    @property
    def unconverted(self) -> tuple[Spent, ...]:
        """What has no rate."""
        return tuple(s for s in self.spent if s.amount is None)


def money(book: Book) -> MoneyLedger:
    """Add up what was paid for lots, tools and everything else."""
    spent = sorted(_spent(book), key=lambda s: (s.date is None, s.date or date.min, s.what))
    return MoneyLedger(
        tuple(spent),
        _table(spent, lambda s: s.section or NOT_SAID, book.sections),
        _table(spent, lambda s: f"{s.date:%Y-%m}" if s.date else NOT_SAID, ()),
        _table(spent, lambda s: s.kind, KINDS),
    )


def _spent(book: Book) -> Iterable[Spent]:
    currency = book.file.currency
    for lot in book.lots.values():
        if paid := lot.cost:
            amount = paid.in_currency(currency)
            yield Spent(lot.title, "lot", lot.lot, lot.bought, lot.section, paid, amount)
    for tool in book.tools.values():
        if paid := tool.cost:
            amount = paid.in_currency(currency)
            yield Spent(tool.title, "tool", tool.tool, tool.bought, None, paid, amount)
    for cost in book.costs:
        amount = cost.cost.in_currency(currency)
        yield Spent(cost.what, cost.kind, "", cost.date, cost.section, cost.cost, amount)


def _table(spent: Iterable[Spent], key: Callable[[Spent], str], order: Iterable[str]) -> MoneyTable:
    """Add up under keys; rows in `order`, then by key, NOT_SAID last."""
    amounts: dict[str, Decimal] = defaultdict(Decimal)
    counts: dict[str, int] = defaultdict(int)
    for one in spent:
        if one.amount is not None:
            amounts[key(one)] += one.amount
            counts[key(one)] += 1
    known = [name for name in order if name in amounts]
    rest = sorted(amounts.keys() - set(known) - {NOT_SAID})
    last = [NOT_SAID] if NOT_SAID in amounts else []
    return MoneyTable(tuple(MoneyRow(k, amounts[k], counts[k]) for k in (*known, *rest, *last)))
