"""Pages of squawks, and the list of them."""

from dataclasses import dataclass

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.context import Context, Figure, SquawkLine, show_date
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.records.squawk import Squawk


@dataclass(frozen=True, slots=True)
class SquawkView:
    """Template `squawk.html`."""

    line: SquawkLine
    title: str
    facts: tuple[tuple[str, Link | str], ...]
    pieces: tuple[Link, ...]
    text: Markup
    found_in: Link | None
    decision: str
    decided: str
    decided_by: Link | None
    advice: Markup
    closed: str
    closed_by: Link | None
    closing: Markup
    figures: tuple[Figure, ...]
    sessions: tuple[Link, ...]
    """Sessions that worked on it."""
    earlier: Link | None
    later: Link | None


@dataclass(frozen=True, slots=True)
class SquawksView:
    """Template `squawks.html`."""

    groups: tuple[tuple[str, str, tuple[SquawkLine, ...]], ...]
    """State, its heading, and the squawks in it."""


_HEADINGS = (
    ("open", "Open: nothing decided yet"),
    ("decided", "Decided, not yet closed"),
    ("closed", "Closed"),
)


def squawk_pages(context: Context) -> list[Page]:
    """Lay out a page for every squawk, by number."""
    numbers = sorted(context.book.squawks)
    return [
        _page(context, number, earlier, later)
        for earlier, number, later in zip(
            (None, *numbers), numbers, (*numbers[1:], None), strict=False
        )
    ]


def _page(context: Context, number: int, earlier: int | None, later: int | None) -> Page:
    squawk = context.book.squawks[number]
    links = context.ledger.links
    home = links.session_of_squawk.get(number)
    touching = links.of("squawks", number)
    files = (squawk.photo, squawk.closed.photo if squawk.closed else None)
    line = context.squawk_line(number)
    text = context.prose.html(squawk.text)
    facts: list[tuple[str, Link | str]] = [
        ("Found", show_date(line.found)),
        ("Found by", context.person_link(squawk.by) if squawk.by else ""),
        (
            "Step",
            Link(context.step_in_section(squawk.step), paths.step(squawk.step))
            if squawk.step
            else "",
        ),
        ("Size", squawk.size or ""),
        ("Cause", squawk.cause or ""),
        (
            "To be closed before",
            Link(context.step_in_section(squawk.before), paths.step(squawk.before))
            if squawk.before
            else "",
        ),
    ]
    decided, closed = squawk.disposition, squawk.closed
    pieces = context.book.piece_by_label
    view = SquawkView(
        line=line,
        title=squawk.title,
        facts=tuple((name, value) for name, value in facts if value),
        pieces=tuple(
            Link(label, paths.piece(pieces[label].part, label))
            for label in squawk.pieces
            if label in pieces
        ),
        text=text,
        found_in=context.session_link(home) if home else None,
        decision=decided.decision if decided else "",
        decided=show_date(decided.date) if decided else "",
        decided_by=context.person_link(decided.by) if decided else None,
        advice=context.prose.html(decided.advice if decided else None),
        closed=show_date(closed.date) if closed else "",
        closed_by=context.person_link(closed.by) if closed else None,
        closing=context.prose.html(closed.notes if closed else None),
        figures=_figures(context, line, squawk, [f for f in files if f]),
        sessions=tuple(context.session_link(s) for s in touching.sessions if s != home),
        earlier=context.squawk_link(earlier) if earlier else None,
        later=context.squawk_link(later) if later else None,
    )
    title = f"Squawk {number}: {squawk.title}"
    words = " ".join((plain_text(text), *squawk.parts, *squawk.pieces, plain_text(view.advice)))
    return Page(
        paths.squawk(number),
        title,
        "squawk.html",
        view,
        [SearchEntry(title, words)],
        frozenset({squawk.place.file}),
        description=plain_text(text)[:160],
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
        (state, heading, tuple(s for s in lines if s.state == state))
        for state, heading in _HEADINGS
    )
    view = SquawksView(tuple(g for g in groups if g[2]))
    return Page(
        paths.SQUAWKS,
        "Squawks",
        "squawks.html",
        view,
        [SearchEntry("Squawks", "Problems found: open, decided, closed")],
        frozenset(),
        listed=True,
    )
