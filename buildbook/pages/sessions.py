"""Pages of sessions, and the list of them."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.air import AirView, session_air
from buildbook.pages.amendments import AmendmentView, amendments
from buildbook.pages.clips import ClipView, clip_entries, clip_views
from buildbook.pages.context import Context, once
from buildbook.pages.hazards import hazard_link, hazards_in
from buildbook.pages.lots import MixLine, mixed_of_session
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.readings import ReadingView, reading_view
from buildbook.pages.views import Figure, LessonView, SquawkLine, WorkView
from buildbook.pages.words import say, show_date, show_month, weekday
from buildbook.pages.written import WritingLine, session_written
from buildbook.records.session import Session


@dataclass(frozen=True, slots=True)
class SessionView:
    """Template `session.html`."""

    title: str
    date: date
    weekday: str
    clock: int
    person: int
    who: tuple[Link, ...]
    span: str
    work: tuple[WorkView, ...]
    hazards: tuple[Link, ...]
    """Of the operations that were done."""
    notes: Markup
    """The session's own notes, where it is written as several pieces of work."""
    figures: tuple[Figure, ...]
    clips: tuple[ClipView, ...]
    lessons: tuple[LessonView, ...]
    """Learned here."""
    recalled: tuple[Link, ...]
    """Earlier lessons that helped."""
    squawks: tuple[SquawkLine, ...]
    readings: tuple[ReadingView, ...]
    lots: tuple[Link, ...]
    air: tuple[AirView, ...]
    mixed: tuple[MixLine, ...]
    unwrapped: tuple[Link, ...]
    """Parts whose film or wrapping came off."""
    notices: tuple[Link, ...]
    """Those that were carried out."""
    next: Markup
    amendments: tuple[AmendmentView, ...]
    """What the record said before it was corrected."""
    written: WritingLine | None
    """When its record came into the version history, where there is one."""
    earlier: Link | None
    later: Link | None


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session in a list."""

    link: Link
    date: date
    minutes: int
    steps: tuple[Link, ...]
    photos: int
    who: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SessionsView:
    """Template `sessions.html`."""

    months: tuple[tuple[str, int, tuple[SessionLine, ...]], ...]
    """Month, minutes, sessions; the latest first."""
    count: int
    clock: int
    person: int


def session_page(context: Context, slug: str) -> Page:
    """Lay out a session's page."""
    earlier, later = context.beside("sessions", slug)
    stints = context.ledger.stints_of_session[slug]
    book, ledger = context.book, context.ledger
    session = book.sessions[slug]
    clock, person = ledger.hours.by_session[slug]
    numbers = [x if isinstance(x, int) else x.lesson for x in session.lessons]
    here = [n for n in numbers if ledger.links.session_of_lesson.get(n) == slug]
    squawks = [x if isinstance(x, int) else x.squawk for x in session.squawks]
    work = tuple(map(context.work, stints))
    measured = ledger.links.readings_of_session.get(slug, ())
    view = SessionView(
        title=context.session_title(session),
        date=session.date,
        weekday=weekday(session.date),
        clock=clock,
        person=person,
        who=tuple(map(context.person_link, dict.fromkeys(w for s in stints for w in s.who))),
        span=say("%(start)s to %(end)s", start=session.start, end=session.end)
        if session.start and session.end
        else "",
        work=work,
        hazards=tuple(map(hazard_link, hazards_in(book, (w.operation for w in session.entries)))),
        notes=context.prose.html(session.notes) if session.work else Markup(),
        figures=context.figures(ledger.links.shots_of_session.get(slug, ())),
        clips=clip_views(context, ledger.links.takes_of_session.get(slug, ())),
        lessons=tuple(context.lesson(n) for n in here if n in book.lessons),
        recalled=tuple(
            context.lesson_link(n) for n in numbers if n not in here and n in book.lessons
        ),
        squawks=tuple(context.squawk_line(n) for n in squawks if n in book.squawks),
        readings=tuple(reading_view(context, m) for m in measured),
        lots=tuple(map(context.lot_link, session.lots)) if session.work else (),
        air=session_air(context, slug),
        mixed=mixed_of_session(context, slug),
        unwrapped=_unwrapped(context, session),
        notices=tuple(map(context.notice_link, ledger.notices.of_session.get(slug, ()))),
        next=context.prose.html(session.next),
        amendments=amendments(context, session),
        written=session_written(context, slug),
        earlier=_dated_link(context, earlier) if earlier else None,
        later=_dated_link(context, later) if later else None,
    )
    return Page(
        paths.session(slug),
        view.title,
        "session.html",
        view,
        _search(view),
        frozenset({session.place.file}),
        description=plain_text(view.notes or (work[0].notes if work else ""))[:160],
    )


def _dated_link(context: Context, slug: str) -> Link:
    day = show_date(context.book.sessions[slug].date)
    return Link(f"{day}: {context.session_link(slug).text}", paths.session(slug))


def _search(view: SessionView) -> list[SearchEntry]:
    texts = [show_date(view.date), view.date.isoformat(), plain_text(view.notes)]
    for work in view.work:
        texts.append(plain_text(work.notes))
        texts += [link.text for link in work.parts]
    texts += [plain_text(view.next)]
    entries = [SearchEntry(view.title, " ".join(filter(None, texts)))]
    entries += [
        SearchEntry(
            figure.alt,
            say("Photo of %(date)s", date=show_date(view.date)),
            f"photo-{figure.number}",
        )
        for figure in view.figures
    ]
    return entries + clip_entries(view.clips)


def _unwrapped(context: Context, session: Session) -> tuple[Link, ...]:
    parts = dict.fromkeys(p for work in (session, *session.work) for p in work.unwrapped)
    return tuple(context.part_link(p) for p in parts if p in context.book.parts)


@once
def session_line(context: Context, slug: str) -> SessionLine:
    """Make the view of a session in a list."""
    session = context.book.sessions[slug]
    steps = dict.fromkeys(w.step for w in session.entries if w.step in context.book.steps)
    people = dict.fromkeys(w for e in session.entries for w in context.book.who(session, e))
    return SessionLine(
        context.session_link(slug),
        session.date,
        context.ledger.hours.by_session[slug][0],
        tuple(Link(context.step_in_section(s), paths.step(s)) for s in steps if s),
        len(session.photos),
        tuple(context.person_link(w).text for w in people),
    )


def sessions_page(context: Context) -> Page:
    """Lay out the list of all sessions, the latest month first."""
    lines = [session_line(context, slug) for slug in list(context.book.sessions)[::-1]]
    months = []
    for month, some in groupby(lines, key=lambda s: f"{s.date:%Y-%m}"):
        rows = tuple(some)
        months.append((show_month(month), sum(s.minutes for s in rows), rows))
    hours = context.ledger.hours
    view = SessionsView(tuple(months), len(lines), hours.clock, hours.person)
    return Page(
        paths.SESSIONS,
        say("Sessions"),
        "sessions.html",
        view,
        [SearchEntry(say("Sessions"), say("All sessions by month"))],
        frozenset(),
        listed=True,
    )
