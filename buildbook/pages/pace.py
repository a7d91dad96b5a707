"""The pace page: minutes per piece by operation, and whether they fall as pieces are made."""

import math
from dataclasses import dataclass
from datetime import date

from buildbook.ledger.pace import MIN_PIECES, MIN_SESSIONS, Pace
from buildbook.pages import paths
from buildbook.pages.charts import Chart, scatter
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import number, say, show_minutes, translated
from buildbook.reference.learning import Curve, exponent, lot_midpoint

_CURVE_POINTS = 40
_LONG = 120
_SHORT = 10


@dataclass(frozen=True, slots=True)
class SessionPace:
    """One session's work on the pieces of one operation."""

    session: Link
    date: date
    pieces: int
    minutes: int
    per_piece: str
    again: int
    again_minutes: int


@dataclass(frozen=True, slots=True)
class PartPace:
    """The pace of an operation on one part."""

    part: Link
    sessions: int
    pieces: int
    minutes: int
    per_piece: str
    range: str
    slope: str
    """In per cent, where a curve is fitted."""


@dataclass(frozen=True, slots=True)
class OperationPace:
    """The pace of an operation on all parts."""

    name: str
    operation: Link
    sessions: int
    pieces: int
    minutes: int
    again_minutes: int
    per_piece: str
    range: str
    trend: str
    """The curve in words, or why there is none."""
    slope: str
    chart: Chart | None
    rows: tuple[SessionPace, ...]
    parts: tuple[PartPace, ...]
    """Parts done in more than one session."""
    untold: int
    """Clock minutes of this operation in work that does not name its pieces."""


@dataclass(frozen=True, slots=True)
class PacePageView:
    """Template `pace.html`."""

    operations: tuple[OperationPace, ...]
    untold: tuple[tuple[Link, int], ...]
    """Operations none of whose work names its pieces, with their clock minutes."""
    min_sessions: int
    min_pieces: int


def pace_page(context: Context) -> Page:
    """Lay out the pace page."""
    paces = context.ledger.pace
    known = [op for op in context.book.operations if op in paces.by_operation]
    operations = tuple(_operation(context, op) for op in known)
    untold = tuple(
        (context.operation_link(op), paces.untold[op])
        for op in context.book.operations
        if op in paces.untold and op not in paces.by_operation
    )
    return Page(
        paths.PACE,
        say("Pace"),
        "pace.html",
        PacePageView(operations, untold, MIN_SESSIONS, MIN_PIECES),
        [
            SearchEntry(say("Pace"), say("Minutes per piece by operation, and the learning curve")),
            *(
                SearchEntry(
                    say("Pace: %(text)s", text=one.operation.text),
                    say("%(per_piece)s a piece", per_piece=one.per_piece),
                    one.name,
                )
                for one in operations
            ),
        ],
        frozenset(),
        listed=True,
        description=say(
            "Minutes per piece by operation, and whether they fall as pieces are made."
        ),
    )


def _operation(context: Context, name: str) -> OperationPace:
    paces = context.ledger.pace
    pace = paces.by_operation[name]
    link = context.operation_link(name)
    return OperationPace(
        name,
        link,
        pace.sessions,
        pace.pieces,
        pace.minutes,
        pace.again_minutes,
        per_piece_words(pace.per_piece) if pace.pieces else "",
        _range(pace),
        _trend(pace),
        _slope(pace),
        _chart(say("%(text)s: minutes per piece", text=link.text), pace),
        tuple(
            SessionPace(
                context.session_link(row.session),
                row.date,
                row.pieces,
                row.minutes,
                per_piece_words(row.per_piece) if row.per_piece is not None else "",
                row.again,
                row.again_minutes,
            )
            for row in pace.rows
        ),
        tuple(
            PartPace(
                context.part_link(one.part),
                one.sessions,
                one.pieces,
                one.minutes,
                per_piece_words(one.per_piece),
                _range(one),
                _slope(one),
            )
            for one in paces.parts_of(name)
            if one.sessions > 1
        ),
        paces.untold.get(name, 0),
    )


def per_piece_words(minutes: float) -> str:
    """Say minutes per piece no more exactly than they are known: `6.2 min`, `45 min`, `2 h 30`."""
    if minutes >= _LONG:
        return show_minutes(round(minutes))
    return number(f"{minutes:.0f} min" if minutes >= _SHORT else f"{minutes:.1f} min")


def _range(pace: Pace) -> str:
    low, high = pace.range
    if pace.sessions < 2:  # noqa: PLR2004 - one session is no range
        return ""
    return say("%(low)s to %(high)s", low=per_piece_words(low), high=per_piece_words(high))


def _slope(pace: Pace) -> str:
    return f"{pace.curve.slope * 100:.0f} %" if pace.curve else ""


def _trend(pace: Pace) -> str:
    if pace.curve is None:
        return say("no curve: %(why)s", why=translated(pace.why)) if pace.why else ""
    curve = pace.curve
    return say(
        "each doubling of the pieces done brings a piece to %(share)s of its time; "
        "first piece about %(first)s, piece %(pieces)s about %(latest)s, sessions "
        "usually within a factor of %(spread)s",
        share=_slope(pace),
        first=per_piece_words(curve.first),
        pieces=pace.pieces,
        latest=per_piece_words(curve.unit(pace.pieces)),
        spread=number(f"{math.exp(curve.spread):.1f}"),
    )


def _chart(caption: str, pace: Pace) -> Chart | None:
    """Draw each session's minutes a piece over the pieces done, with the curve if there is one."""
    if pace.sessions < MIN_SESSIONS:
        return None
    b = exponent(pace.curve.slope) if pace.curve else 0.0
    points, made = [], 0
    for row in pace.rows:
        if row.pieces:
            middle = lot_midpoint(b, made + 1, made + row.pieces)
            points.append((middle, row.minutes / row.pieces))
            made += row.pieces
    low, high = pace.range
    summary = say(
        "%(points)s sessions, %(made)s pieces; from %(low)s to %(high)s a piece, "
        "%(per_piece)s over all.",
        points=len(points),
        made=made,
        low=per_piece_words(low),
        high=per_piece_words(high),
        per_piece=per_piece_words(pace.per_piece),
    )
    curve = _line(pace.curve, made) if pace.curve else []
    return scatter(caption, summary, say("pieces done"), points, curve)


def _line(curve: Curve, made: int) -> list[tuple[float, float]]:
    """Return points of the curve, closer together where it is steep."""
    places = (made ** (n / _CURVE_POINTS) for n in range(_CURVE_POINTS + 1))
    return [(x, curve.unit(x)) for x in places]
