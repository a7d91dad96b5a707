"""The page of costs. It is made only where the book says `show costs: yes`."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from buildbook.ledger.money import NOT_SAID, MoneyTable, Spent
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import mark, number, say, show_money, show_month, translated


@dataclass(frozen=True, slots=True)
class CostRow:
    """One row of a table of sums."""

    label: Link | str
    count: int
    amount: str


@dataclass(frozen=True, slots=True)
class CostTable:
    """A table of sums whose last line is the sum of the others."""

    caption: str
    head: str
    rows: tuple[CostRow, ...]
    count: int
    total: str


@dataclass(frozen=True, slots=True)
class SpentLine:
    """One thing that was paid for."""

    what: Link | str
    kind: str
    date: date | None
    section: Link | None
    paid: str
    """In the currency it was paid in, with the rate; empty where that is the book's."""
    amount: str
    """In the book's currency; empty where the rate is missing."""


@dataclass(frozen=True, slots=True)
class CostsView:
    """Template `costs.html`."""

    currency: str
    total: str
    tables: tuple[CostTable, ...]
    spent: tuple[SpentLine, ...]
    unconverted: int
    """Things in another currency without a rate: they are in no sum."""


_KINDS = {
    "kit": mark("Kits"),
    "lot": mark("Lots"),
    "tool": mark("Tools"),
    "service": mark("Services"),
    "other": mark("Other things"),
}


def costs_page(context: Context) -> Page:
    """Lay out the page of costs."""
    ledger, currency = context.ledger.money, context.book.file.currency
    view = CostsView(
        currency,
        show_money(ledger.total, currency),
        tuple(
            _table(context, caption, head, table)
            for caption, head, table in (
                (say("Costs by section"), mark("Section"), ledger.by_section),
                (say("Costs by kind"), mark("Kind"), ledger.by_kind),
                (say("Costs by month"), mark("Month"), ledger.by_month),
            )
            if table.rows
        ),
        tuple(_spent(context, one) for one in ledger.spent),
        len(ledger.unconverted),
    )
    return Page(
        paths.COSTS,
        say("Costs"),
        "costs.html",
        view,
        [SearchEntry(say("Costs"), say("What the build cost, by section, month and kind"))],
        frozenset(),
        listed=True,
    )


def _table(context: Context, caption: str, head: str, table: MoneyTable) -> CostTable:
    currency = context.book.file.currency
    return CostTable(
        caption,
        say(head),
        tuple(
            CostRow(_label(context, head, row.key), row.count, show_money(row.amount, currency))
            for row in table.rows
        ),
        sum(row.count for row in table.rows),
        show_money(table.total, currency),
    )


def _label(context: Context, head: str, key: str) -> Link | str:
    if key == NOT_SAID:
        return say("of no one section") if head == "Section" else say("without a date")
    if head == "Section":
        return context.section_link(key) if key in context.book.sections else key
    return say(_KINDS[key]) if head == "Kind" else show_month(key)


def _spent(context: Context, one: Spent) -> SpentLine:
    currency, book = context.book.file.currency, context.book
    what: Link | str = one.what
    if one.name:
        make = context.lot_link if one.kind == "lot" else context.tool_link
        what = make(one.name)
    paid = ""
    if one.paid.currency != currency:
        paid = show_money(one.paid.amount, one.paid.currency)
        paid += (
            say(" at %(rate)s", rate=_plain(one.paid.rate))
            if one.paid.rate
            else say(", no rate given")
        )
    return SpentLine(
        what,
        translated(one.kind),
        one.date,
        context.section_link(one.section) if one.section in book.sections and one.section else None,
        paid,
        show_money(one.amount, currency) if one.amount is not None else "",
    )


def _plain(rate: Decimal) -> str:
    return number(f"{rate:f}")
