"""The pages that collect a characteristic over all pieces, and the list of them."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.readings import Characteristic, Run, Tally
from buildbook.pages import paths
from buildbook.pages.charts import Chart, against_limits
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.readings import (
    ReadingView,
    VerdictView,
    number_words,
    reading_view,
    source_words,
    verdict_view,
)
from buildbook.records.limits import Verdict
from buildbook.records.quantities import show_number


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
        ("Smallest", number_words(sample.smallest, unit)),
        ("Largest", number_words(sample.largest, unit)),
        ("Mean", f"{show_number(sample.mean, 5)} {unit}"),
    ]
    if sample.n == 1:
        rows = [("Values", "1"), ("Value", number_words(sample.mean, unit))]
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
        f"{number_words(sample.largest, unit)}; limit {limit}; {run.tally.outside} outside, "
        f"{run.tally.near} near it."
        if run.bounds
        else f"{sample.n} values from {show_number(sample.smallest)} to "
        f"{number_words(sample.largest, unit)}; no limit given."
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
