"""The home page: what is being built, how far it is, where to go."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from buildbook.ledger.progress import Progress
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.forecast import finish_words
from buildbook.pages.lots import LotLine, expiring_lots
from buildbook.pages.notices import NoticeLine, open_notices
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.sessions import SessionLine, session_line
from buildbook.pages.storage import BareLine, due_lines
from buildbook.pages.views import Figure, SquawkLine
from buildbook.pages.words import say, show_date
from buildbook.records.bookfile import Aircraft


@dataclass(frozen=True, slots=True)
class Way:
    """A way into the book for one kind of reader."""

    title: str
    words: str
    """What is found there, in a few words."""
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class HomeView:
    """Template `home.html`."""

    title: str
    aircraft: Aircraft
    workshop: str
    about: Markup
    disclaimer: Markup
    whole: Progress
    sections: tuple[tuple[Link, Progress], ...]
    clock: int
    person: int
    sessions: int
    pieces: int
    latest: tuple[SessionLine, ...]
    cover: Figure | None
    """The picture that opens the book."""
    ways: tuple[Way, ...]
    figures: tuple[Figure, ...]
    """The latest photos."""
    squawks: tuple[SquawkLine, ...]
    """Not closed."""
    as_of: str
    """Day of the last session, to which what follows is told; empty where there is none."""
    notices: tuple[NoticeLine, ...]
    """To be decided or done."""
    bare: tuple[BareLine, ...]
    """Bare parts that are to be looked at."""
    expiring: tuple[LotLine, ...]
    """Lots past their last day, or soon."""
    forecast: str
    """The range of finish dates in a sentence, or empty."""
    forecast_link: Link


_LATEST = 6
_PHOTOS = 3


def home_page(context: Context) -> Page:
    """Lay out the home page."""
    book, ledger = context.book, context.ledger
    about = context.prose.html(book.file.about)
    latest = context.figures(ledger.links.shots[: -_PHOTOS - 2 : -1])
    cover = _cover(context) or next(iter(latest), None)
    view = HomeView(
        title=book.file.title,
        aircraft=book.file.aircraft,
        workshop=book.file.workshop or "",
        about=about,
        disclaimer=context.prose.html(book.file.disclaimer),
        whole=ledger.progress.whole,
        sections=tuple(
            (context.section_link(name), ledger.progress.sections[name]) for name in book.sections
        ),
        clock=ledger.hours.clock,
        person=ledger.hours.person,
        sessions=len(book.sessions),
        pieces=sum(p.quantity for p in book.parts.values() if not p.hardware),
        latest=tuple(
            session_line(context, slug) for slug in list(book.sessions)[: -_LATEST - 1 : -1]
        ),
        cover=cover,
        ways=tuple(_ways(context)),
        figures=tuple(f for f in latest if not cover or f.file != cover.file)[:_PHOTOS],
        squawks=tuple(
            context.squawk_line(n) for n, s in sorted(book.squawks.items()) if not s.closed
        ),
        as_of=show_date(ledger.as_of),
        notices=open_notices(context),
        bare=due_lines(context),
        expiring=expiring_lots(context),
        forecast=finish_words(ledger.forecast),
        forecast_link=Link(say("An honest guess, not a promise"), paths.FORECAST),
    )
    return Page(
        paths.HOME,
        book.file.title,
        "home.html",
        view,
        [SearchEntry(book.file.title, f"{book.file.aircraft.model} {plain_text(about)}")],
        frozenset(),
        listed=True,
        cover=True,
        description=plain_text(about)[:160],
    )


def _cover(context: Context) -> Figure | None:
    shot = context.ledger.links.shot_of_file.get(context.book.file.cover or "")
    return next(iter(context.figures([shot] if shot else [])), None)


def _ways(context: Context) -> Iterator[Way]:
    """Yield the ways into the book: to follow the build, to judge the work, to find a part."""
    book, ledger = context.book, context.ledger
    sections = tuple(context.section_link(name) for name in book.sections)
    yield Way(say("Follow the build"), say("section by section, or session by session"), (
        *sections, Link(say("All sessions"), paths.SESSIONS), Link(say("Gallery"), paths.GALLERY)
    ))  # fmt: skip
    judged = [Link(say("Readings"), paths.READINGS), Link(say("Squawks"), paths.SQUAWKS)]
    if book.notices:
        judged.append(Link(say("Notices"), paths.NOTICES))
    if book.tasks:
        judged.append(Link(say("Evidence"), paths.EVIDENCE))
    yield Way(say("Judge the work"), say("what was measured, found and signed"), tuple(judged))
    parts = [Link(say("Parts"), paths.PARTS), Link(say("Operations"), paths.OPERATIONS)]
    if book.sections:
        parts.append(Link(say("As built"), paths.AS_BUILT))
    yield Way(
        say("Find a part"),
        say("by its number, a word or a photo; the search knows all"),
        tuple(parts),
    )
    begun = tuple(
        Link(context.step_in_section(name), paths.step(name))
        for name, step in ledger.progress.steps.items()
        if step.state == "begun"
    )
    if begun:
        yield Way(say("Carry on"), say("steps that are begun"), begun)
