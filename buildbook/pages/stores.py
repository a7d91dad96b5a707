"""The stores page: lots and tools, what will expire, and what metal lies bare."""

from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.lots import LotLine, lot_line
from buildbook.pages.page import Page, SearchEntry
from buildbook.pages.storage import BareLine, bare_lines, rule_words
from buildbook.pages.tools import COST, ToolLine, tool_lines
from buildbook.pages.words import say, show_date


@dataclass(frozen=True, slots=True)
class StoresView:
    """Template `stores.html`."""

    as_of: str
    """Day of the last session, to which states and days are counted; empty where there is none."""
    lots: tuple[LotLine, ...]
    bare: tuple[BareLine, ...]
    rule: str
    """How often bare parts are looked at, in a sentence, or empty."""
    tools: tuple[ToolLine, ...]


def stores_page(context: Context) -> Page:
    """Lay out the page of lots, bare parts and tools. No search finds what they cost."""
    tools = tool_lines(context)
    view = StoresView(
        show_date(context.ledger.as_of),
        tuple(lot_line(context, trace) for trace in context.ledger.lots.traces.values()),
        bare_lines(context),
        rule_words(context),
        tools,
    )
    entries = [SearchEntry(say("Stores"), say("Lots, bare parts and tools"))]
    for tool in tools:
        words = " ".join(value for name, value in tool.facts if name != COST)
        entries.append(SearchEntry(tool.title, words, tool.anchor))
    return Page(
        paths.STORES,
        say("Stores"),
        "stores.html",
        view,
        entries,
        frozenset(),
        listed=True,
    )
