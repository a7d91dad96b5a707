"""The evidence account: who did which tasks, and what the book has to show for it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.ledger.evidence import TaskEvidence
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import mark, number, say, say_n, translated
from buildbook.records.names import slugify
from buildbook.reference.authorities import UNITED_STATES, Rule, rule_of
from buildbook.reference.shares import COLUMNS, MEANS, Shares, points

TITLE = mark("Evidence")


@dataclass(frozen=True, slots=True)
class RuleView:
    """What an authority asks for."""

    place: str
    words: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SharesView:
    """What some tasks come to, in points: tenths of a task."""

    tasks: int
    columns: tuple[str, ...]
    """A to D."""
    builder: str
    whole: str
    percent: str
    untold: str
    """Points nobody has shared yet; empty where there are none."""


@dataclass(frozen=True, slots=True)
class TaskLine:
    """A task."""

    anchor: str
    number: str
    title: str
    columns: tuple[str, ...]
    """A to D in points; nothing where it is not shared."""
    state: str
    """`does not apply`, `not shared yet`, or empty."""
    why: str
    bare: bool
    """Claimed, and nothing recorded behind it."""
    steps: tuple[Link, ...]
    sessions: tuple[Link, ...]
    first: date | None
    last: date | None
    hours: tuple[tuple[Link, int], ...]
    """Person and minutes."""
    photos: int
    at_work: int
    inspections: int
    notes: Markup


@dataclass(frozen=True, slots=True)
class GroupView:
    """A part of the list."""

    name: str
    anchor: str
    lines: tuple[TaskLine, ...]
    shares: SharesView


@dataclass(frozen=True, slots=True)
class EvidenceView:
    """Template `evidence.html`."""

    authority: str
    """As the book names it; may be empty."""
    rule: RuleView | None
    """That authority's, where it is known here."""
    example: RuleView
    """The worked example: the rule whose form the columns follow."""
    lead: str
    heads: tuple[tuple[str, str], ...]
    """Letter and meaning of each column."""
    whole: SharesView
    bare: tuple[TaskLine, ...]
    """Claimed, and nothing recorded behind it."""
    unshared: tuple[TaskLine, ...]
    groups: tuple[GroupView, ...]
    builder: str
    """Who is meant by the builder in pictures."""
    written: Link | None
    """Where it is shown how soon sessions were written down."""


def evidence_page(context: Context) -> Page:
    """Lay out the account."""
    ledger, aircraft = context.ledger.evidence, context.book.file.aircraft
    rule = rule_of(aircraft.authority)
    groups = tuple(
        GroupView(
            group.name,
            f"group-{slugify(group.name) or n}",
            tuple(_line(context, row) for row in group.rows),
            _shares(group.shares),
        )
        for n, group in enumerate(ledger.groups, 1)
    )
    view = EvidenceView(
        authority=aircraft.authority or "",
        rule=_rule(rule) if rule else None,
        example=_rule(UNITED_STATES),
        lead=_lead(ledger.whole),
        heads=tuple(zip(COLUMNS, map(translated, MEANS), strict=True)),
        whole=_shares(ledger.whole),
        bare=tuple(_line(context, row) for row in ledger.bare),
        unshared=tuple(_line(context, row) for row in ledger.unshared),
        groups=groups,
        builder=context.person_link(context.book.file.builder).text,
        written=Link(say("When each session was written down"), paths.WRITTEN)
        if context.past
        else None,
    )
    entries = [
        SearchEntry(
            say(TITLE), say("Who did which tasks of building the aircraft, and what shows it")
        )
    ]
    entries += [
        SearchEntry(line.title, group.name, line.anchor) for group in groups for line in group.lines
    ]
    return Page(
        paths.EVIDENCE, say(TITLE), "evidence.html", view, entries, frozenset(), listed=True
    )


def _lead(whole: Shares) -> str:
    if not whole.tasks:
        return say("No task of the list applies.")
    tasks = say_n("%(n)s task that applies", "%(n)s tasks that apply", whole.tasks)
    half = number(f"{whole.whole // 2 // 10}.{whole.whole // 2 % 10}")
    beside = say("more than half") if whole.over_half else say("not more than half")
    return say(
        "The builder's own share, assembly and fabrication, is %(builder)s of "
        "%(whole)s points (%(percent)s), counting %(tasks)s. Half is %(half)s: as "
        "arithmetic that is %(beside)s.",
        builder=_points(whole.builder),
        whole=_points(whole.whole),
        percent=number(whole.percent()),
        tasks=tasks,
        half=half,
        beside=beside,
    )


def _rule(rule: Rule) -> RuleView:
    return RuleView(
        translated(rule.place),
        translated(rule.words),
        tuple(translated(source.words) for source in rule.sources),
    )


def _shares(shares: Shares) -> SharesView:
    return SharesView(
        shares.tasks,
        tuple(map(_points, shares.tenths)),
        _points(shares.builder),
        _points(shares.whole),
        number(shares.percent()),
        _points(shares.untold) if shares.untold else "",
    )


def _points(tenths: int) -> str:
    return number(points(tenths))


def _line(context: Context, row: TaskEvidence) -> TaskLine:
    task, sessions = row.task, context.book.sessions
    days: Iterable[date] = [sessions[slug].date for slug in row.sessions]
    state = "" if task.is_shared else mark("not shared yet")
    return TaskLine(
        anchor=f"task-{task.task}",
        number=task.number or "",
        title=task.title,
        columns=tuple(map(_points, task.shares)) if task.is_shared and task.applies else (),
        state=state if task.applies else mark("does not apply"),
        why=task.why or "",
        bare=row.bare,
        steps=tuple(Link(context.step_in_section(s), paths.step(s)) for s in row.steps),
        sessions=tuple(map(context.session_link, row.sessions)),
        first=min(days, default=None),
        last=max(days, default=None),
        hours=tuple((context.person_link(who), minutes) for who, minutes in row.minutes.items()),
        photos=len(row.shots),
        at_work=row.at_work,
        inspections=len(row.signed),
        notes=context.prose.html(task.notes),
    )
