"""Opening pages of the editions: what an inspector and a later owner see first."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.calendar import DAYS, YearView, years
from buildbook.pages.context import Context
from buildbook.pages.home import home_page
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.views import Figure, HoursView
from buildbook.pages.words import inside_a_sentence, mark, say, show_date, translated
from buildbook.records.bookfile import Aircraft
from buildbook.records.photo import Photo

TITLES = {
    "public": mark("Public edition"),
    "inspector": mark("Inspector's edition"),
    "owner": mark("Owner's edition"),
}


@dataclass(frozen=True, slots=True)
class EditionView:
    """Template `edition.html`: stands above every page of an edition."""

    title: str
    partial: str
    """What is left out, in words; empty where nothing is that would be missed."""


@dataclass(frozen=True, slots=True)
class SessionRow:
    """A session in the inspector's list."""

    number: int
    link: Link
    date: date
    span: str
    steps: tuple[Link, ...]
    minutes: int
    who: tuple[Link, ...]
    photos: int
    at_work: tuple[Link, ...]
    """People who are at work in its photos."""


@dataclass(frozen=True, slots=True)
class InspectorView:
    """Template `inspector.html`."""

    title: str
    aircraft: Aircraft
    workshop: str
    disclaimer: Markup
    sessions: int
    clock: int
    person: int
    first: str
    last: str
    days: tuple[int, ...]
    """1 to 31."""
    years: tuple[YearView, ...]
    rows: tuple[SessionRow, ...]
    """The oldest first."""
    people: HoursView
    overview: Link
    evidence: Link | None


@dataclass(frozen=True, slots=True)
class AtWorkView:
    """Template `at_work.html`."""

    groups: tuple[tuple[Link, tuple[Figure, ...]], ...]
    """Photos by who is at work in them."""
    unnamed: int
    """Photos that name nobody."""
    gallery: Link
    """Where photos can be picked by who worked that day."""


@dataclass(frozen=True, slots=True)
class OwnerView:
    """Template `owner.html`."""

    title: str
    aircraft: Aircraft
    workshop: str
    disclaimer: Markup
    as_built: Link | None
    sections: tuple[Link, ...]
    """The assemblies as built."""
    lead: tuple[tuple[Link, str], ...]
    """Where to look for what."""


def edition_view(context: Context) -> EditionView | None:
    """Say which edition this is, and of what it has only some; nothing in the full one."""
    book = context.book
    if book.edition not in TITLES:
        return None
    return EditionView(say(TITLES[book.edition]), ", ".join(map(translated, book.partial)))


def overview_page(context: Context) -> Page:
    """Lay out what the home page says, for an edition that opens with something else."""
    page = home_page(context)
    return replace(page, path=paths.OVERVIEW, title=say("Overview"), search=(), cover=False)


def inspector_page(context: Context) -> Page:
    """Lay out the opening page of the inspector's edition: a calendar, then every session."""
    book, ledger = context.book, context.ledger
    days = [session.date for session in book.sessions.values()]
    view = InspectorView(
        title=book.file.title,
        aircraft=book.file.aircraft,
        workshop=book.file.workshop or "",
        disclaimer=context.prose.html(book.file.disclaimer),
        sessions=len(book.sessions),
        clock=ledger.hours.clock,
        person=ledger.hours.person,
        first=show_date(min(days, default=None)),
        last=show_date(max(days, default=None)),
        days=DAYS,
        years=years(context),
        rows=tuple(_row(context, n, slug) for n, slug in enumerate(book.sessions, 1)),
        people=context.hours(
            say("Hours by person"), say("Person"), ledger.hours.by_person, "people"
        ),
        overview=Link(say("Overview"), paths.OVERVIEW),
        evidence=Link(say("Evidence"), paths.EVIDENCE) if book.tasks else None,
    )
    return _opening(context, "inspector.html", view)


def _opening(context: Context, template: str, view: InspectorView | OwnerView) -> Page:
    title = context.book.file.title
    edition = inside_a_sentence(say(TITLES[context.book.edition]))
    words = f"{context.book.file.aircraft.model}, {edition}"
    return Page(
        paths.HOME,
        title,
        template,
        view,
        [SearchEntry(title, words)],
        frozenset(),
        listed=True,
        description=words,
    )


def _row(context: Context, number: int, slug: str) -> SessionRow:
    book, ledger = context.book, context.ledger
    session = book.sessions[slug]
    stints = ledger.stints_of_session[slug]
    shots = [s for s in ledger.links.shots_of_session.get(slug, ()) if _is_there(context, s.photo)]
    steps = dict.fromkeys(s.step for s in stints if s.step)
    return SessionRow(
        number=number,
        link=context.session_link(slug),
        date=session.date,
        span=say("%(start)s to %(end)s", start=session.start, end=session.end)
        if session.start and session.end
        else "",
        steps=tuple(Link(context.step_in_section(s), paths.step(s)) for s in steps),
        minutes=ledger.hours.by_session[slug][0],
        who=tuple(map(context.person_link, dict.fromkeys(w for s in stints for w in s.who))),
        photos=len(shots),
        at_work=tuple(
            map(context.person_link, dict.fromkeys(w for s in shots for w in s.photo.who))
        ),
    )


def _is_there(context: Context, photo: Photo) -> bool:
    return photo.file in context.book.photo_files


def at_work_page(context: Context) -> Page:
    """Lay out the photos by who is at work in them."""
    shots = [s for s in context.ledger.links.shots if _is_there(context, s.photo)]
    counts = Counter(name for shot in shots for name in shot.photo.who)
    groups = tuple(
        (context.person_link(name), context.figures(s for s in shots if name in s.photo.who))
        for name in context.book.people
        if counts[name]
    )
    unnamed = sum(not shot.photo.who for shot in shots)
    view = AtWorkView(groups, unnamed, Link(say("gallery"), paths.GALLERY))
    entries = [SearchEntry(say("At work"), say("Photos by who is at work in them"))]
    return Page(
        paths.AT_WORK, say("At work"), "at_work.html", view, entries, frozenset(), listed=True
    )


def owner_page(context: Context) -> Page:
    """Lay out the opening page of the owner's edition: it leads to the aircraft as built."""
    book = context.book
    where = [
        (
            Link(say("Parts"), paths.PARTS),
            say("by their numbers, with what was done to each piece"),
        ),
        (
            Link(say("Readings"), paths.READINGS),
            say("torques and other things measured, with their limits"),
        ),
        (
            Link(say("Stores"), paths.STORES),
            say("batches of primer, sealant and hardware, and tools"),
        ),
        (Link(say("Squawks"), paths.SQUAWKS), say("problems, repairs, and what is still open")),
        (
            Link(say("Gallery"), paths.GALLERY),
            say("pictures, those from before structure was closed too"),
        ),
        (Link(say("Sessions"), paths.SESSIONS), say("the work day by day")),
        (Link(say("Overview"), paths.OVERVIEW), say("the build as a whole")),
    ]
    if book.notices:
        where.insert(
            0, (Link(say("Notices"), paths.NOTICES), say("bulletins, and what was done on them"))
        )
    if book.weighings or book.balance:
        where.insert(
            0, (Link(say("Weight and balance"), paths.BALANCE), say("as weighed and as changed"))
        )
    as_built = Link(say("The aircraft as built"), paths.AS_BUILT) if book.sections else None
    view = OwnerView(
        title=book.file.title,
        aircraft=book.file.aircraft,
        workshop=book.file.workshop or "",
        disclaimer=context.prose.html(book.file.disclaimer),
        as_built=as_built,
        sections=tuple(
            Link(section.title, paths.as_built(name)) for name, section in book.sections.items()
        ),
        lead=tuple(where),
    )
    return _opening(context, "owner.html", view)
