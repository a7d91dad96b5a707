"""Pages of squawks, and the list of them."""

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.readings import ReadingView, reading_view
from buildbook.pages.storage import corrosion_facts
from buildbook.pages.views import Figure, SquawkLine
from buildbook.pages.words import mark, say, show_date, show_days, translated
from buildbook.records.squawk import Advice, Squawk


@dataclass(frozen=True, slots=True)
class AdviceView:
    """What somebody said about a squawk."""

    who: Link | str
    """A person of the book, or a document; may be empty."""
    date: str
    reference: str
    text: Markup


@dataclass(frozen=True, slots=True)
class SquawkView:
    """Template `squawk.html`."""

    line: SquawkLine
    lead: str
    """State, age and whether it is in the way of anything, in a sentence or two."""
    title: str
    facts: tuple[tuple[str, Link | str], ...]
    pieces: tuple[Link, ...]
    text: Markup
    found_in: Link | None
    decision: str
    decided: str
    decided_by: Link | None
    advice: AdviceView | None
    correspondence: Markup
    """The letters in full; empty in an edition without them."""
    closed: str
    closed_by: Link | None
    closed_in: Link | None
    """Session of that day that names it."""
    closing: Markup
    readings: tuple[ReadingView, ...]
    """Those that cite it, in the order of the sessions."""
    again: tuple[Link, ...]
    """Other squawks of the same cause."""
    figures: tuple[Figure, ...]
    sessions: tuple[Link, ...]
    """Sessions that worked on it."""
    earlier: Link | None
    later: Link | None


@dataclass(frozen=True, slots=True)
class SquawksView:
    """Template `squawks.html`."""

    as_of: date | None
    """Day of the last session, to which ages are counted."""
    sections: tuple[tuple[Link | str, int, int, str], ...]
    """Section, squawks open and decided in it, and the age of the oldest."""
    causes: tuple[tuple[str, tuple[Link, ...]], ...]
    """Causes that came again, and the squawks that name them."""
    groups: tuple[tuple[str, str, tuple[SquawkLine, ...]], ...]
    """State, its heading, and the squawks in it."""


_HEADINGS = (
    ("open", mark("Open: nothing decided yet")),
    ("decided", mark("Decided, not yet closed")),
    ("closed", mark("Closed")),
)


def squawk_page(context: Context, number: int) -> Page:
    """Lay out a squawk's page."""
    earlier, later = context.beside("squawks", number)
    squawk = context.book.squawks[number]
    links = context.ledger.links
    home = links.session_of_squawk.get(number)
    touching = links.of("squawks", number)
    files = (squawk.photo, squawk.closed.photo if squawk.closed else None)
    line = context.squawk_line(number)
    text = context.prose.html(squawk.text)
    facts: list[tuple[str, Link | str]] = [
        (say("Found"), show_date(line.found)),
        (say("Found by"), context.person_link(squawk.by) if squawk.by else ""),
        (
            say("Step"),
            Link(context.step_in_section(squawk.step), paths.step(squawk.step))
            if squawk.step
            else "",
        ),
        (say("Size"), squawk.size or ""),
        (say("Cause"), squawk.cause or ""),
        (
            say("To be closed before"),
            Link(context.step_in_section(squawk.before), paths.step(squawk.before))
            if squawk.before
            else "",
        ),
    ]
    decided, closed = squawk.disposition, squawk.closed
    facts_of = context.ledger.squawks.of[number]
    pieces = context.book.piece_by_label
    view = SquawkView(
        line=line,
        lead=_lead(context, line, squawk),
        title=squawk.title,
        facts=(
            *((name, value) for name, value in facts if value),
            *corrosion_facts(context, squawk),
        ),
        pieces=tuple(
            Link(label, paths.piece(pieces[label].part, label))
            for label in squawk.pieces
            if label in pieces
        ),
        text=text,
        found_in=context.session_link(home) if home else None,
        decision=translated(decided.decision) if decided else "",
        decided=show_date(decided.date) if decided else "",
        decided_by=context.person_link(decided.by) if decided else None,
        advice=_advice(context, decided.advice) if decided and decided.advice else None,
        correspondence=context.prose.html(decided.correspondence if decided else None),
        closed=show_date(closed.date) if closed else "",
        closed_by=context.person_link(closed.by) if closed else None,
        closed_in=context.session_link(facts_of.closed_in) if facts_of.closed_in else None,
        closing=context.prose.html(closed.notes if closed else None),
        readings=tuple(
            reading_view(context, m) for m in context.ledger.readings.about.get(number, ())
        ),
        again=tuple(
            Link(say("squawk %(number)s", number=n), paths.squawk(n))
            for _, numbers in context.ledger.squawks.causes
            if number in numbers
            for n in numbers
            if n != number
        ),
        figures=_figures(context, line, squawk, [f for f in files if f]),
        sessions=tuple(context.session_link(s) for s in touching.sessions if s != home),
        earlier=context.squawk_link(earlier) if earlier else None,
        later=context.squawk_link(later) if later else None,
    )
    title = say("Squawk %(number)s: %(title)s", number=number, title=squawk.title)
    advice = plain_text(view.advice.text) if view.advice else ""
    words = " ".join((plain_text(text), *squawk.parts, *squawk.pieces, advice))
    return Page(
        paths.squawk(number),
        title,
        "squawk.html",
        view,
        [SearchEntry(title, words)],
        frozenset({squawk.place.file}),
        description=plain_text(text)[:160],
    )


def _lead(context: Context, line: SquawkLine, squawk: Squawk) -> str:
    """Say the state, the age and what waits for it."""
    if squawk.closed:
        after = say(", after %(age)s", age=line.age) if line.age else ""
        return say("Closed %(date)s%(after)s.", date=show_date(squawk.closed.date), after=after)
    as_of = show_date(context.ledger.as_of)
    aged = (
        say(", %(age)s old on %(as_of)s, the day of the last session", age=line.age, as_of=as_of)
        if line.age
        else ""
    )
    if line.found and line.found == context.ledger.as_of:
        aged = say(", found on %(as_of)s, the day of the last session", as_of=as_of)
    waiting = []
    pieces = [label for label in squawk.pieces if label in context.book.piece_by_label]
    if pieces:
        waiting.append(say("the next operation on %(pieces)s", pieces=", ".join(pieces)))
    steps = dict.fromkeys(s for s in (squawk.step, squawk.before) if s in context.book.steps)
    names = [context.step_in_section(s) for s in steps if s]
    if names:
        waiting.append(say("the closing of %(steps)s", steps=say(" and of ").join(names)))
    held = say(" It holds %(what)s.", what=say(", and ").join(waiting)) if waiting else ""
    return f"{translated(squawk.state).capitalize()}{aged}.{held}"


def _advice(context: Context, advice: Advice) -> AdviceView:
    who: Link | str = advice.who or ""
    if advice.who in context.book.people and advice.who:
        who = context.person_link(advice.who)
    return AdviceView(
        who, show_date(advice.date), advice.reference or "", context.prose.html(advice.text)
    )


def _figures(
    context: Context, line: SquawkLine, squawk: Squawk, files: list[str]
) -> tuple[Figure, ...]:
    """Show the squawk's pictures; one that no session captions bears the squawk's title."""
    figures: list[Figure] = []
    for n, file in enumerate(files, 1):
        if shot := context.ledger.links.shot_of_file.get(file):
            figures += context.figures([shot])
        elif file in context.book.photo_files:
            figures.append(Figure(file, line.title, squawk.title, line.link, line.found, n))
    return tuple(figures)


def squawks_page(context: Context) -> Page:
    """Lay out the list of squawks by state."""
    lines = [context.squawk_line(n) for n in sorted(context.book.squawks)]
    groups = (
        (state, translated(heading), tuple(s for s in lines if s.state == state))
        for state, heading in _HEADINGS
    )
    facts = context.ledger.squawks
    view = SquawksView(
        context.ledger.as_of,
        tuple(
            (
                context.section_link(row.section) if row.section else say("In no section"),
                row.open,
                row.decided,
                show_days(row.oldest),
            )
            for row in facts.by_section
        ),
        tuple((cause, tuple(map(context.squawk_link, numbers))) for cause, numbers in facts.causes),
        tuple(g for g in groups if g[2]),
    )
    return Page(
        paths.SQUAWKS,
        say("Squawks"),
        "squawks.html",
        view,
        [SearchEntry(say("Squawks"), say("Problems found: open, decided, closed"))],
        frozenset(),
        listed=True,
    )
