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
from buildbook.pages.words import say, say_n, show_number, translated
from buildbook.records.limits import Verdict


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
        say("Readings"),
        "readings.html",
        view,
        [SearchEntry(say("Readings"), names)],
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
    return context.limit(run.bounds.low, run.bounds.high) if run.bounds else say("no limit given")


def characteristic_page(context: Context, characteristic: Characteristic) -> Page:
    """Lay out the page of everything measured under one name."""
    values = sum(len(run.tally.values) for run in characteristic.runs)
    parts = {m.reading.piece or m.part for m in characteristic.rows} - {None}
    rows = len(characteristic.rows)
    counted = say_n("%(n)s value", "%(n)s values", values)
    said = say_n(
        "%(values)s in %(n)s reading", "%(values)s in %(n)s readings", rows, values=counted
    )
    if len(parts) > 1:
        said += say(", on %(parts)s parts and pieces", parts=len(parts))
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
        [SearchEntry(title, say("Readings: %(said)s", said=said))],
        frozenset(),
        description=f"{title}: {view.lead}",
    )


def _run(context: Context, characteristic: Characteristic, number: int, run: Run) -> RunView:
    limit = _limit_words(context, run)
    judged = context.ledger.readings.judged
    bounds = [b for m in run.rows if (b := judged[m].bounds)]
    return RunView(
        anchor=f"limit-{number}",
        heading=say("Limit: %(limit)s", limit=limit) if run.bounds else say("No limit given"),
        sources=tuple(dict.fromkeys(source_words(b) for b in bounds if source_words(b))),
        caution=translated(run.bounds.caution) if run.bounds else "",
        facts=_facts(run.tally),
        chart=_chart(context, characteristic, run, limit),
        rows=tuple(reading_view(context, m) for m in run.rows),
    )


def _facts(tally: Tally) -> tuple[tuple[str, str], ...]:
    sample, unit = tally.sample, tally.unit
    rows = [
        (say("Values"), str(sample.n)),
        (say("Smallest"), number_words(sample.smallest, unit)),
        (say("Largest"), number_words(sample.largest, unit)),
        (say("Mean"), f"{show_number(sample.mean, 5)} {unit}"),
    ]
    if sample.n == 1:
        rows = [(say("Values"), "1"), (say("Value"), number_words(sample.mean, unit))]
    elif sample.deviation is not None:
        words = say(
            "%(deviation)s %(unit)s (sample standard deviation)",
            deviation=show_number(sample.deviation, 2),
            unit=unit,
        )
        rows.append((say("Spread"), words))
    if tally.inside + tally.near + tally.outside:
        near = say(
            "%(near)s of %(stated)s whose uncertainty is stated",
            near=tally.near,
            stated=tally.stated,
        )
        if tally.stated == sample.n:
            near = str(tally.near)
        elif not tally.stated:
            near = say("not known: no uncertainty is stated")
        rows += [(say("Outside"), str(tally.outside)), (say("Near the limit"), near)]
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
        say(
            "%(number)s values from %(smallest)s to %(largest)s; limit %(limit)s; "
            "%(outside)s outside, %(near)s near it.",
            number=sample.n,
            smallest=show_number(sample.smallest),
            largest=number_words(sample.largest, unit),
            limit=limit,
            outside=run.tally.outside,
            near=run.tally.near,
        )
        if run.bounds
        else say(
            "%(number)s values from %(smallest)s to %(largest)s; no limit given.",
            number=sample.n,
            smallest=show_number(sample.smallest),
            largest=number_words(sample.largest, unit),
        )
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
