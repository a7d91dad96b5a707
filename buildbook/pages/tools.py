"""Tools: whose they are, how far they can be trusted, and which steps need them."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.pages.words import mark, say, show_date, show_money
from buildbook.records.tool import Tool

COST = mark("Cost")
"""Heading of what a tool cost, shown where the book says `show costs`."""


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool on the page of stores."""

    anchor: str
    title: str
    facts: tuple[tuple[str, str], ...]
    warning: str
    """What is wrong with its calibration as of the last session; empty where nothing is."""
    caution: str
    notes: Markup
    steps: tuple[Link, ...]
    """Steps that need it."""
    sessions: tuple[Link, ...]
    """Sessions that used it."""


@dataclass(frozen=True, slots=True)
class NeededTool:
    """A tool that a step needs."""

    link: Link
    owner: str
    remark: str
    """What its calibration asks for; empty where nothing."""


def tool_lines(context: Context) -> tuple[ToolLine, ...]:
    """Make the views of all tools."""
    return tuple(_line(context, name, tool) for name, tool in context.book.tools.items())


def _line(context: Context, name: str, tool: Tool) -> ToolLine:
    touching = context.ledger.links.of("tools", name)
    taken = context.ledger.readings.with_tool.get(name, 0)
    uncertainty = tool.uncertainty
    paid = tool.cost if context.book.file.show_costs else None
    rows = (
        (say("Owner"), tool.owner or ""),
        (say("Bought"), show_date(tool.bought)),
        (COST, show_money(paid.amount, paid.currency) if paid else ""),
        (say("Calibrated"), ", ".join(map(show_date, sorted(tool.calibrated)))),
        (say("Calibration due"), show_date(tool.next_due)),
        (
            say("May be off by"),
            f"\N{PLUS-MINUS SIGN} {context.quantity(uncertainty)}" if uncertainty else "",
        ),
        (say("Readings taken"), str(taken) if taken else ""),
    )
    return ToolLine(
        anchor=f"tool-{name}",
        title=tool.title,
        facts=tuple((heading, value) for heading, value in rows if value),
        warning=_past_due(context, tool),
        caution=tool.cautions or "",
        notes=context.prose.html(tool.notes),
        steps=tuple(Link(context.step_in_section(s), paths.step(s)) for s in touching.steps),
        sessions=tuple(map(context.session_link, touching.sessions)),
    )


def _past_due(context: Context, tool: Tool) -> str:
    as_of = context.ledger.as_of
    if as_of and tool.past_due(as_of):
        return say(
            "Calibration was due on %(day)s, before the last session.",
            day=show_date(tool.due_on(as_of)),
        )
    return ""


def needed_tools(context: Context, step: str) -> tuple[NeededTool, ...]:
    """Make the views of the tools a step needs; a step that is finished needs no remark."""
    finished = context.ledger.progress.steps[step].finished
    views = []
    for name in context.book.steps[step].tools:
        tool = context.book.tools.get(name)
        remark = ""
        if tool and not finished:
            due = say("calibration due %(day)s", day=show_date(tool.next_due)) if tool.due else ""
            remark = say("calibration past due") if _past_due(context, tool) else due
        owner = (tool.owner or "") if tool else ""
        views.append(NeededTool(context.tool_link(name), owner, remark))
    return tuple(views)
