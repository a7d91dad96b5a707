"""The stores page: lots and tools, and where each was used."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.context import Context, show_date
from buildbook.pages.page import Link, Page, SearchEntry


@dataclass(frozen=True, slots=True)
class StoreLine:
    """A lot or a tool."""

    anchor: str
    title: str
    facts: tuple[tuple[str, str], ...]
    notes: Markup
    caution: str
    sessions: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class StoresView:
    """Template `stores.html`."""

    lots: tuple[StoreLine, ...]
    tools: tuple[StoreLine, ...]


def stores_page(context: Context) -> Page:
    """Lay out the page of lots and tools. What lots cost is not on it."""
    book = context.book
    lots = tuple(
        StoreLine(
            f"lot-{name}",
            lot.title,
            _facts(
                ("Maker", lot.maker),
                ("Batch", lot.batch),
                ("Made", show_date(lot.made)),
                ("Bought", show_date(lot.bought)),
                ("Opened", show_date(lot.opened)),
                ("Use before", show_date(lot.expires)),
            ),
            context.prose.html(lot.notes),
            "",
            _sessions(context, "lots", name),
        )
        for name, lot in book.lots.items()
    )
    tools = tuple(
        StoreLine(
            f"tool-{name}",
            tool.title,
            _facts(
                ("Owner", tool.owner),
                ("Calibrated", show_date(tool.calibrated)),
                ("Calibration due", show_date(tool.due)),
            ),
            context.prose.html(tool.notes),
            tool.cautions or "",
            _sessions(context, "tools", name),
        )
        for name, tool in book.tools.items()
    )
    entries = [SearchEntry("Stores", "Lots and tools")]
    entries += [
        SearchEntry(x.title, " ".join(value for _, value in x.facts), x.anchor)
        for x in (*lots, *tools)
    ]
    return Page(
        paths.STORES,
        "Stores",
        "stores.html",
        StoresView(lots, tools),
        entries,
        frozenset(),
        listed=True,
    )


def _facts(*rows: tuple[str, str | None]) -> tuple[tuple[str, str], ...]:
    return tuple((name, value) for name, value in rows if value)


def _sessions(context: Context, kind: str, name: str) -> tuple[Link, ...]:
    return tuple(map(context.session_link, context.ledger.links.of(kind, name).sessions))
