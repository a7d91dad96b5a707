"""Readings wherever they are shown, and the pages that collect a characteristic."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.links import Measured
from buildbook.ledger.readings import Characteristic, Run, Tally
from buildbook.pages import paths
from buildbook.pages.charts import Chart, against_limits
from buildbook.pages.context import Context, once, show_date
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.records.limits import Bounds, Judged, Verdict, bounds_of
from buildbook.records.quantities import Quantity, pint_name, show_number
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
    """How far the instrument may be off, and what its calibration says about that day."""
    squawk: Link | None
    notes: str


@dataclass(frozen=True, slots=True)
class RunView:
    """The readings of a characteristic that share a limit."""

    anchor: str
    heading: str
    sources: tuple[str, ...]
    caution: str
    facts: tuple[tuple[str, str], ...]
    chart: Chart | None
    rows: tuple[ReadingView, ...]


@dataclass(frozen=True, slots=True)
class CharacteristicView:
    """Template `characteristic.html`."""

    title: str
    lead: str
    runs: tuple[RunView, ...]


@dataclass(frozen=True, slots=True)
class CharacteristicLine:
    """A characteristic in the list."""

    link: Link
    limits: tuple[str, ...]
    readings: int
    values: int
    verdict: VerdictView
    latest: date


@dataclass(frozen=True, slots=True)
class ReadingsView:
    """Template `readings.html`."""

    lines: tuple[CharacteristicLine, ...]
    readings: int
    values: int
    outside: int
    near: int


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
_GIVEN_BY = {"reading": "", "step": "the step's limit", "part": "the part's limit"}


def verdict_view(counts: dict[Verdict, int]) -> VerdictView:
    """Say how several values lie, the worst first."""
    several = sum(counts.values()) > 1
    worst = [v for v in (Verdict.OUTSIDE, Verdict.NEAR) if counts.get(v)]
    if not worst:
        all_same = Verdict.INSIDE if counts.get(Verdict.INSIDE) else Verdict.NONE
        return VerdictView(all_same.value, _MARKS.get(all_same, ""), _LOOKS[all_same])
    words = ", ".join(
        f"{counts[v]} of {sum(counts.values())} {v.value}" if several else v.value for v in worst
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
        squawk=Link(f"squawk {squawk}", paths.squawk(squawk)) if squawk else None,
        notes=reading.notes or "",
    )


def _name_link(context: Context, measured: Measured) -> Link:
    slug = context.ledger.readings.of[measured].slug
    return Link(measured.reading.reading, paths.reading(slug))


def source_words(bounds: Bounds) -> str:
    """Say where a limit comes from."""
    return ", ".join(filter(None, (bounds.source, _GIVEN_BY[bounds.given_by])))


def values_words(context: Context, reading: Reading) -> str:
    """Show the values in the book's unit, with what was written where that was another."""
    first = reading.values[0]
    unit = getattr(context.book.file.units, first.dimension, None) or number_and_unit(first)[1]
    shown, elsewhere = [], []
    for value in reading.values:
        number, own = number_and_unit(value)
        if value.unit == pint_name(unit):
            shown.append(number)
        else:
            shown.append(show_number(value.to(unit)))
            elsewhere.append(f"{number} {own}")
    words = f"{', '.join(shown)} {unit}"
    return f"{words} (written {', '.join(elsewhere)})" if elsewhere else words


def _number(value: float, unit: str) -> str:
    return f"{show_number(value)} {unit}"


def _sample_words(context: Context, measured: Measured) -> str:
    values = measured.reading.values
    if len(values) == 1:
        return ""
    readings = context.ledger.readings
    unit = readings.of[measured].unit
    numbers = summarise([v.to(unit) for v in values])
    words = (
        f"{numbers.n} values, {show_number(numbers.smallest)} to "
        f"{_number(numbers.largest, unit)}, mean {show_number(numbers.mean, 5)}"
    )
    if numbers.deviation is None:
        return words
    return f"{words}, spread {show_number(numbers.deviation, 2)}"


def _instrument(context: Context, measured: Measured, uncertainty: Quantity | None) -> str:
    words = []
    if uncertainty:
        words.append(f"\N{PLUS-MINUS SIGN} {context.quantity(uncertainty)}")
    tool = context.book.tools.get(measured.reading.tool or "")
    day = context.book.sessions[measured.session].date
    if tool and tool.past_due(day):
        words.append(f"calibration was due {show_date(tool.due)}")
    elif tool and (first := tool.calibrated_after(day)):
        words.append(f"first calibrated later, {show_date(first)}")
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
            lines.append(LimitLine(limit.reading, words, of, bounds.source, bounds.caution))
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
                source=bounds.source if bounds else "",
                lack=asked.lack.partition(":")[0],
                verdict=verdict_view(counts) if asked.rows else VerdictView("", "", "none"),
            )
        )
    return tuple(views)


def readings_page(context: Context) -> Page:
    """Lay out the list of everything that was measured."""
    lines = tuple(_line(context, c) for c in context.ledger.readings.characteristics)
    characteristics = context.ledger.readings.characteristics
    view = ReadingsView(
        lines,
        readings=sum(line.readings for line in lines),
        values=sum(line.values for line in lines),
        outside=sum(c.count("outside") for c in characteristics),
        near=sum(c.count("near") for c in characteristics),
    )
    names = " ".join(line.link.text for line in lines)
    return Page(
        paths.READINGS,
        "Readings",
        "readings.html",
        view,
        [SearchEntry("Readings", names)],
        frozenset(),
        listed=True,
    )


def _line(context: Context, characteristic: Characteristic) -> CharacteristicLine:
    limits = (_limit_words(context, run) for run in characteristic.runs if run.bounds)
    return CharacteristicLine(
        link=Link(characteristic.name, paths.reading(characteristic.slug)),
        limits=tuple(limits),
        readings=len(characteristic.rows),
        values=sum(len(run.tally.values) for run in characteristic.runs),
        verdict=verdict_view(_all_counts(characteristic.runs)),
        latest=max(context.book.sessions[m.session].date for m in characteristic.rows),
    )


def _all_counts(runs: tuple[Run, ...]) -> dict[Verdict, int]:
    counts = {
        Verdict.OUTSIDE: sum(r.tally.outside for r in runs),
        Verdict.NEAR: sum(r.tally.near for r in runs),
        Verdict.INSIDE: sum(r.tally.inside for r in runs),
    }
    values = sum(len(r.tally.values) for r in runs)
    return {**counts, Verdict.NONE: values - sum(counts.values())}


def _limit_words(context: Context, run: Run) -> str:
    return context.limit(run.bounds.low, run.bounds.high) if run.bounds else "no limit given"


def characteristic_page(context: Context, characteristic: Characteristic) -> Page:
    """Lay out the page of everything measured under one name."""
    values = sum(len(run.tally.values) for run in characteristic.runs)
    parts = {m.reading.piece or m.part for m in characteristic.rows} - {None}
    said = f"{values} value{_s(values)} in {len(characteristic.rows)} reading"
    said += _s(len(characteristic.rows))
    if len(parts) > 1:
        said += f", on {len(parts)} parts and pieces"
    verdict = verdict_view(_all_counts(characteristic.runs)).words
    title = _capital(characteristic.name)
    view = CharacteristicView(
        title=title,
        lead=f"{said}: {verdict}.",
        runs=tuple(
            _run(context, characteristic, n, run) for n, run in enumerate(characteristic.runs, 1)
        ),
    )
    return Page(
        paths.reading(characteristic.slug),
        title,
        "characteristic.html",
        view,
        [SearchEntry(title, f"Readings: {said}")],
        frozenset(),
        description=f"{title}: {view.lead}",
    )


def _run(context: Context, characteristic: Characteristic, number: int, run: Run) -> RunView:
    limit = _limit_words(context, run)
    judged = context.ledger.readings.judged
    bounds = [b for m in run.rows if (b := judged[m].bounds)]
    return RunView(
        anchor=f"limit-{number}",
        heading=f"Limit: {limit}" if run.bounds else "No limit given",
        sources=tuple(dict.fromkeys(source_words(b) for b in bounds if source_words(b))),
        caution=run.bounds.caution if run.bounds else "",
        facts=_facts(run.tally),
        chart=_chart(context, characteristic, run, limit),
        rows=tuple(reading_view(context, m) for m in run.rows),
    )


def _facts(tally: Tally) -> tuple[tuple[str, str], ...]:
    sample, unit = tally.sample, tally.unit
    rows = [
        ("Values", str(sample.n)),
        ("Smallest", _number(sample.smallest, unit)),
        ("Largest", _number(sample.largest, unit)),
        ("Mean", f"{show_number(sample.mean, 5)} {unit}"),
    ]
    if sample.n == 1:
        rows = [("Values", "1"), ("Value", _number(sample.mean, unit))]
    elif sample.deviation is not None:
        words = f"{show_number(sample.deviation, 2)} {unit} (sample standard deviation)"
        rows.append(("Spread", words))
    if tally.inside + tally.near + tally.outside:
        near = f"{tally.near} of {tally.stated} whose uncertainty is stated"
        if tally.stated == sample.n:
            near = str(tally.near)
        elif not tally.stated:
            near = "not known: no uncertainty is stated"
        rows += [("Outside", str(tally.outside)), ("Near the limit", near)]
    return tuple(rows)


def _chart(context: Context, characteristic: Characteristic, run: Run, limit: str) -> Chart | None:
    judged = context.ledger.readings.judged
    verdicts = [v for m in run.rows for v in judged[m].verdicts]
    groups = [
        (v.value, [i for i, x in enumerate(verdicts) if x is v])
        for v in (Verdict.OUTSIDE, Verdict.NEAR)
    ]
    low = run.bounds.low.to(run.tally.unit) if run.bounds and run.bounds.low else None
    high = run.bounds.high.to(run.tally.unit) if run.bounds and run.bounds.high else None
    sample, unit = run.tally.sample, run.tally.unit
    summary = (
        f"{sample.n} values from {show_number(sample.smallest)} to "
        f"{_number(sample.largest, unit)}; limit {limit}; {run.tally.outside} outside, "
        f"{run.tally.near} near it."
        if run.bounds
        else f"{sample.n} values from {show_number(sample.smallest)} to "
        f"{_number(sample.largest, unit)}; no limit given."
    )
    return against_limits(
        f"{_capital(characteristic.name)}, {unit}",
        summary,
        unit,
        run.tally.values,
        limits=(low, high),
        marked=[(name, some) for name, some in groups if some],
    )


def _capital(name: str) -> str:
    return f"{name[:1].upper()}{name[1:]}"


def _s(count: int) -> str:
    return "" if count == 1 else "s"
