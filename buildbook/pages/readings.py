"""Readings wherever they are shown, and the limits and readings that steps ask for."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.links import Measured
from buildbook.pages import paths
from buildbook.pages.context import Context, once
from buildbook.pages.page import Link
from buildbook.pages.words import mark, say, separator, show_date, show_number, translated, written
from buildbook.records.limits import Bounds, Judged, Verdict, bounds_of
from buildbook.records.quantities import Quantity, pint_name
from buildbook.records.reading import Reading, number_and_unit
from buildbook.records.section import Step
from buildbook.reference.statistics import summarise


@dataclass(frozen=True, slots=True)
class VerdictView:
    """How values lie to their limit, in words and with a mark."""

    words: str
    mark: str
    """A character that stands out without colour; may be empty."""
    look: str
    """`inside`, `near`, `outside` or `none`, for the style sheet."""


@dataclass(frozen=True, slots=True)
class ReadingView:
    """A reading in a table."""

    what: Link
    values: str
    sample: str
    """What several values come to, in words; empty for one."""
    limit: str
    source: str
    """Where the limit comes from, and whose it is."""
    verdict: VerdictView
    session: Link
    date: date
    part: Link | None
    piece: Link | None
    tool: Link | None
    instrument: str
    """How far the instrument may be off, and when it was calibrated, or was to be, by that day."""
    squawk: Link | None
    notes: str


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A limit on a step's page."""

    what: str
    limit: str
    of: tuple[Link, ...]
    """Parts it is for; all of the step's where there are none."""
    source: str
    caution: str
    """What a published table says beside it."""


@dataclass(frozen=True, slots=True)
class AskedView:
    """A reading a step asks for."""

    what: Link | str
    of: str
    """Piece or part, or empty."""
    count: int
    """How many values are asked for."""
    limit: str
    source: str
    lack: str
    """What is missing, in two or three words; empty where nothing is."""
    verdict: VerdictView


_MARKS = {Verdict.OUTSIDE: "\N{MULTIPLICATION SIGN}", Verdict.NEAR: "!", Verdict.INSIDE: ""}
_LOOKS = {
    Verdict.OUTSIDE: "outside",
    Verdict.NEAR: "near",
    Verdict.INSIDE: "inside",
    Verdict.NONE: "none",
}
_GIVEN_BY = {"reading": "", "step": mark("the step's limit"), "part": mark("the part's limit")}


def verdict_view(counts: dict[Verdict, int]) -> VerdictView:
    """Say how several values lie, the worst first."""
    several = sum(counts.values()) > 1
    worst = [v for v in (Verdict.OUTSIDE, Verdict.NEAR) if counts.get(v)]
    if not worst:
        all_same = Verdict.INSIDE if counts.get(Verdict.INSIDE) else Verdict.NONE
        return VerdictView(translated(all_same), _MARKS.get(all_same, ""), _LOOKS[all_same])
    words = ", ".join(
        say(
            "%(count)s of %(values)s %(verdict)s",
            count=counts[v],
            values=sum(counts.values()),
            verdict=translated(v),
        )
        if several
        else translated(v)
        for v in worst
    )
    return VerdictView(words, _MARKS[worst[0]], _LOOKS[worst[0]])


def _counts(judged: Judged) -> dict[Verdict, int]:
    return {v: judged.count(v) for v in Verdict}


@once
def reading_view(context: Context, measured: Measured) -> ReadingView:
    """Make the view of a reading."""
    reading, book = measured.reading, context.book
    judged = context.ledger.readings.judged[measured]
    bounds = judged.bounds
    piece = book.piece_by_label.get(reading.piece) if reading.piece else None
    squawk = reading.squawk if reading.squawk in book.squawks else None
    return ReadingView(
        what=_name_link(context, measured),
        values=values_words(context, reading),
        sample=_sample_words(context, measured),
        limit=context.limit(bounds.low, bounds.high) if bounds else "",
        source=source_words(bounds) if bounds else "",
        verdict=verdict_view(_counts(judged)),
        session=context.session_link(measured.session),
        date=book.sessions[measured.session].date,
        part=context.part_link(measured.part) if measured.part else None,
        piece=Link(piece.label, paths.piece(piece.part, piece.label)) if piece else None,
        tool=context.tool_link(reading.tool) if reading.tool else None,
        instrument=_instrument(context, measured, judged.uncertainty),
        squawk=Link(say("squawk %(squawk)s", squawk=squawk), paths.squawk(squawk))
        if squawk
        else None,
        notes=reading.notes or "",
    )


def _name_link(context: Context, measured: Measured) -> Link:
    slug = context.ledger.readings.of[measured].slug
    return Link(measured.reading.reading, paths.reading(slug))


def source_words(bounds: Bounds) -> str:
    """Say where a limit comes from."""
    return ", ".join(
        filter(None, (translated(bounds.source), translated(_GIVEN_BY[bounds.given_by])))
    )


def values_words(context: Context, reading: Reading) -> str:
    """Show the values in the book's unit, with what was written where that was another."""
    first = reading.values[0]
    unit = getattr(context.book.file.units, first.dimension, None) or number_and_unit(first)[1]
    shown, elsewhere = [], []
    for value in reading.values:
        number, own = number_and_unit(value)
        if value.unit == pint_name(unit):
            shown.append(written(number))
        else:
            shown.append(show_number(value.to(unit)))
            elsewhere.append(written(f"{number} {own}"))
    words = f"{separator().join(shown)} {unit}"
    return (
        say("%(words)s (written %(elsewhere)s)", words=words, elsewhere=separator().join(elsewhere))
        if elsewhere
        else words
    )


def number_words(value: float, unit: str) -> str:
    """Show a number with its unit."""
    return f"{show_number(value)} {unit}"


def _sample_words(context: Context, measured: Measured) -> str:
    values = measured.reading.values
    if len(values) == 1:
        return ""
    readings = context.ledger.readings
    unit = readings.of[measured].unit
    numbers = summarise([v.to(unit) for v in values])
    words = say(
        "%(number)s values, %(smallest)s to %(largest)s, mean %(mean)s",
        number=numbers.n,
        smallest=show_number(numbers.smallest),
        largest=number_words(numbers.largest, unit),
        mean=show_number(numbers.mean, 5),
    )
    if numbers.deviation is None:
        return words
    return say(
        "%(words)s, spread %(deviation)s", words=words, deviation=show_number(numbers.deviation, 2)
    )


def _instrument(context: Context, measured: Measured, uncertainty: Quantity | None) -> str:
    words = []
    if uncertainty:
        words.append(f"\N{PLUS-MINUS SIGN} {context.quantity(uncertainty)}")
    tool = context.book.tools.get(measured.reading.tool or "")
    day = context.book.sessions[measured.session].date
    if tool and tool.past_due(day):
        words.append(say("calibration was due %(day)s", day=show_date(tool.due_on(day))))
    elif tool and (first := tool.calibrated_after(day)):
        words.append(say("first calibrated later, %(first)s", first=show_date(first)))
    elif tool and (last := tool.calibrated_by(day)):
        words.append(say("calibrated %(last)s", last=show_date(last)))
    return ", ".join(words)


def limit_lines(context: Context, step: Step) -> tuple[LimitLine, ...]:
    """Make the views of the limits that hold in a step: its own, and those of its parts."""
    parts = context.book.parts
    own = [(limit, limit.parts) for limit in (*step.required_readings, *step.limits)]
    of_parts = [(limit, (n,)) for n in step.parts if n in parts for limit in parts[n].limits]
    lines = []
    for limit, numbers in (*own, *of_parts):
        if bounds := bounds_of(limit, "step"):
            words = context.limit(bounds.low, bounds.high)
            of = tuple(map(context.part_link, numbers))
            lines.append(
                LimitLine(
                    limit.reading, words, of, translated(bounds.source), translated(bounds.caution)
                )
            )
    return tuple(lines)


def asked_views(context: Context, step: str) -> tuple[AskedView, ...]:
    """Make the views of the readings a step asks for."""
    readings = context.ledger.readings
    views = []
    for asked in readings.asked.get(step, ()):
        counts = {v: sum(readings.judged[m].count(v) for m in asked.rows) for v in Verdict}
        what = asked.required.reading
        bounds = asked.bounds
        views.append(
            AskedView(
                what=_name_link(context, asked.rows[-1]) if asked.rows else what,
                of=asked.of,
                count=asked.required.count,
                limit=context.limit(bounds.low, bounds.high) if bounds else "",
                source=translated(bounds.source) if bounds else "",
                lack=translated(asked.lack).partition(":")[0],
                verdict=verdict_view(counts) if asked.rows else VerdictView("", "", "none"),
            )
        )
    return tuple(views)
