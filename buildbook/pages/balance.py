"""The page of weight and balance."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from markupsafe import Markup

from buildbook.ledger.balance import Line, Loaded, Weighed
from buildbook.pages import paths
from buildbook.pages.charts import Chart
from buildbook.pages.context import Context
from buildbook.pages.envelope import Spot, envelope_chart
from buildbook.pages.measures import Measures, percent
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.words import mark, say, say_n, show_date, translated
from buildbook.records.weighing import Weighing
from buildbook.reference.balance import CAUTIONS, Corner, Envelope, Mass, share_of_chord
from buildbook.reference.exact import exact

TITLE = mark("Weight and balance")
_HIDDEN = mark(
    "No empty weight and no loading case stands here: something that changes "
    "them is left out of this edition. The full edition has them."
)


@dataclass(frozen=True, slots=True)
class MassLine:
    """A row of a sum, in the book's units."""

    what: str
    written: str
    """What the scale showed less its tare, or another remark."""
    weight: str
    arm: str
    moment: str
    day: date | None = None


@dataclass(frozen=True, slots=True)
class SumView:
    """Weights and moments that add up."""

    lines: tuple[MassLine, ...]
    total: MassLine
    chord: str
    """Centre of gravity as a share of the mean chord; empty where that is not known."""


@dataclass(frozen=True, slots=True)
class WeighingView:
    """A weighing."""

    anchor: str
    title: str
    facts: tuple[tuple[str, str], ...]
    by: tuple[Link, ...]
    tool: Link | None
    sum: SumView
    beside: str
    """How it compares with what the designer says; empty where that is not known."""
    notes: Markup


@dataclass(frozen=True, slots=True)
class StateView:
    """The aircraft loaded in one way, with its fuel or without."""

    weight: str
    arm: str
    chord: str
    verdict: str
    """In words; empty where there are no limits."""
    inside: bool | None


@dataclass(frozen=True, slots=True)
class CaseView:
    """A loading case."""

    number: int
    title: str
    notes: str
    sum: SumView
    full: StateView
    dry: StateView | None


@dataclass(frozen=True, slots=True)
class BalanceView:
    """Template `balance.html`."""

    lead: str
    estimated: str
    """Whose estimate stands in for a weighing; empty where the aircraft was weighed."""
    cautions: tuple[str, ...]
    units: tuple[str, str, str]
    """Of weights, arms and moments."""
    datum: str
    empty: SumView | None
    """As weighed or estimated, with what changed since."""
    unknown: tuple[str, ...]
    """Equipment that came or went since, and of which no weight is known."""
    limits: tuple[tuple[str, str, str], ...]
    """Corners: weight, arm, share of the chord."""
    source: str
    cases: tuple[CaseView, ...]
    unclear: tuple[str, ...]
    """Cases of which a load cannot be worked out."""
    chart: Chart | None
    weighings: tuple[WeighingView, ...]
    notes: Markup


def has_balance(context: Context) -> bool:
    """Tell whether there is anything to show."""
    return bool(context.book.weighings or context.book.balance)


def balance_page(context: Context) -> Page:
    """Lay out weight and balance."""
    book, ledger = context.book, context.ledger.balance
    show = _Show(context)
    file, empty = book.balance, ledger.empty
    cases = tuple(show.case(n, loaded) for n, loaded in enumerate(ledger.cases, 1))
    estimate = file.estimate if file and empty and not empty.weighed else None
    view = BalanceView(
        lead=_lead(context, show),
        estimated=(estimate.source or say("a source the book does not name")) if estimate else "",
        cautions=tuple(map(translated, CAUTIONS)),
        units=(show.measures.mass, show.measures.length, show.measures.moment_unit),
        datum=file.datum if file else book.weighings[-1].datum,
        empty=show.empty(),
        unknown=tuple(book.equipment[name].title for name in empty.unknown) if empty else (),
        limits=tuple(map(show.corner, ledger.envelope.corners)) if ledger.envelope else (),
        source=(file.source or "") if file else "",
        cases=cases,
        unclear=ledger.unclear,
        chart=show.chart(cases),
        weighings=tuple(map(show.weighing, reversed(ledger.weighed))),
        notes=context.prose.html(file.notes if file else None),
    )
    titles = " ".join(loaded.case.case for loaded in ledger.cases)
    return Page(
        paths.BALANCE,
        say(TITLE),
        "balance.html",
        view,
        [
            SearchEntry(
                say(TITLE),
                say("Empty weight, centre of gravity, loading cases. %(titles)s", titles=titles),
            )
        ],
        frozenset(),
        listed=True,
    )


def _lead(context: Context, show: "_Show") -> str:
    empty = context.ledger.balance.empty
    if context.book.weight_hidden:
        return say(_HIDDEN)
    if not empty:
        return say("The aircraft has not been weighed as a whole yet.")
    arm = empty.now.arm
    said = say(
        "%(weight)s empty, centre of gravity %(arm)s aft of the datum%(chord)s",
        weight=show.measures.weight(empty.now.weight),
        arm=show.measures.arm(arm),
        chord=show.chord_in_words(arm),
    )
    if not empty.weighed:
        return say("Expected: %(said)s. The aircraft has not been weighed.", said=said)
    weighed = show_date(empty.weighed.weighing.date)
    changes = len(empty.changes)
    since = (
        say_n(", with %(n)s change since", ", with %(n)s changes since", changes) if changes else ""
    )
    return say(
        "%(said)s, as weighed on %(weighed)s%(since)s.", said=said, weighed=weighed, since=since
    )


class _Show:
    """Shows what the ledger says, in the book's units."""

    def __init__(self, context: Context, decimals: int = 1) -> None:
        self.context = context
        self.ledger = context.ledger.balance
        self.measures = Measures(context.book.file.units, decimals)

    def chord(self, arm: Fraction | None) -> str:
        if arm is None or not self.ledger.chord:
            return ""
        return percent(share_of_chord(arm, *self.ledger.chord))

    def chord_in_words(self, arm: Fraction | None) -> str:
        shown = self.chord(arm)
        return say(" (%(shown)s of the mean aerodynamic chord)", shown=shown) if shown else ""

    def line(self, what: str, mass: Mass, *, written: str = "", on: date | None = None) -> MassLine:
        measures = self.measures
        return MassLine(
            what,
            written,
            measures.weight(mass.weight, unit=False),
            measures.arm(mass.arm, unit=False),
            measures.moment(mass.moment),
            on,
        )

    def sum(self, lines: Iterable[MassLine], what: str, total: Mass) -> SumView:
        return SumView(tuple(lines), self.line(what, total), self.chord(total.arm))

    def empty(self) -> SumView | None:
        empty = self.ledger.empty
        if not empty:
            return None
        if not empty.weighed:
            return self.sum((), say("Empty aircraft, expected"), empty.now)
        day = empty.weighed.weighing.date
        lines = [self.line(say("As weighed"), empty.start, on=day)]
        lines += [self.line(*_signed(change), on=change.day) for change in empty.changes]
        return self.sum(lines if empty.changes else (), say("Empty aircraft"), empty.now)

    def weighing(self, weighed: Weighed) -> WeighingView:
        weighing = weighed.weighing
        # A part of it is light, and has no place on the wing's chord.
        show = self if weighed.is_whole else _Show(self.context, decimals=2)
        lines = [
            show.line(line.what, line.mass, written=_scale_words(weighing, i))
            for i, line in enumerate(weighed.scales)
        ]
        lines += [show.line(*_signed(line)) for line in weighed.adjusted]
        summed = show.sum(
            lines, say("Empty aircraft") if weighed.is_whole else say("Altogether"), weighed.total
        )
        day = show_date(weighing.date)
        facts = (
            (say("Datum"), weighing.datum),
            (say("Levelled"), weighing.levelled or ""),
            (say("On board"), weighing.on_board or ""),
            (say("Paper"), weighing.reference or ""),
        )
        return WeighingView(
            anchor=f"weighed-{weighing.date}",
            title=f"{weighing.of}, {day}" if weighing.of else say("Weighed on %(day)s", day=day),
            facts=tuple((name, value) for name, value in facts if value),
            by=tuple(map(self.context.person_link, weighing.by)),
            tool=self.context.tool_link(weighing.tool) if weighing.tool else None,
            sum=summed if weighed.is_whole else replace(summed, chord=""),
            beside=self._beside(weighed),
            notes=self.context.prose.html(weighing.notes),
        )

    def _beside(self, weighed: Weighed) -> str:
        expected = weighed.weighing.expected
        if not expected:
            return ""
        more = weighed.total.weight - exact(expected, "kg")
        shown = self.context.quantity(expected)
        if not more:
            return say("The designer says %(shown)s, and so much it is.", shown=shown)
        apart = self.measures.mass_apart(more)
        if more > 0:
            return say(
                "The designer says %(shown)s: this is %(apart)s more.", shown=shown, apart=apart
            )
        return say("The designer says %(shown)s: this is %(apart)s less.", shown=shown, apart=apart)

    def case(self, number: int, loaded: Loaded) -> CaseView:
        empty = self.ledger.empty
        assert empty
        lines = [self.line(say("Empty aircraft"), empty.now)]
        lines += [self.line(row.what, row.mass) for row in loaded.rows]
        return CaseView(
            number,
            loaded.case.case,
            loaded.case.notes or "",
            self.sum(lines, say("Loaded"), loaded.full),
            self.state(loaded.full),
            self.state(loaded.dry) if loaded.dry else None,
        )

    def state(self, mass: Mass) -> StateView:
        verdict, inside = "", None
        if self.ledger.envelope and mass.arm is not None:
            point = Corner(mass.weight, mass.arm)
            inside = self.ledger.envelope.holds(point)
            verdict = verdict_words(self.ledger.envelope, point, self.measures)
        measures = self.measures
        return StateView(
            measures.weight(mass.weight, unit=False),
            measures.arm(mass.arm, unit=False),
            self.chord(mass.arm),
            verdict,
            inside,
        )

    def corner(self, corner: Corner) -> tuple[str, str, str]:
        measures = self.measures
        return (
            measures.weight(corner.weight, unit=False),
            measures.arm(corner.arm, unit=False),
            self.chord(corner.arm),
        )

    def chart(self, cases: tuple[CaseView, ...]) -> Chart | None:
        if not cases:
            return None
        spots = []
        for view, loaded in zip(cases, self.ledger.cases, strict=True):
            for mass, state, dry in ((loaded.full, view.full, False), (loaded.dry, view.dry, True)):
                if mass and state and mass.arm is not None:
                    weight, arm = self.measures.numbers(mass.weight, mass.arm)
                    spots.append(
                        Spot(str(view.number), weight, arm, state.inside is not False, dry)
                    )
        envelope = self.ledger.envelope
        corners = envelope.corners if envelope else ()
        units = (self.measures.mass, self.measures.length)
        return envelope_chart(
            say("Loading cases and the designer's limits") if corners else say("Loading cases"),
            _summary(cases, limited=bool(corners)),
            units,
            [self.measures.numbers(c.weight, c.arm) for c in corners],
            spots,
        )


def _signed(line: Line) -> tuple[str, Mass]:
    sign = say("Less: ") if line.mass.weight < 0 else say("Plus: ")
    return f"{sign}{translated(line.what)}", line.mass


def _scale_words(weighing: Weighing, index: int) -> str:
    scale = weighing.scales[index]
    if not scale.tare:
        return scale.reading.written
    return say("%(shown)s less %(tare)s", shown=scale.reading.written, tare=scale.tare.written)


def verdict_words(  # noqa: PLR0911 - a line a verdict
    envelope: Envelope, point: Corner, measures: Measures
) -> str:
    """Say where a loaded aircraft is against the limits. Inside is no more than arithmetic."""
    if point.weight > envelope.heaviest:
        apart = measures.mass_apart(point.weight - envelope.heaviest)
        return say("outside: %(apart)s too heavy", apart=apart)
    if point.weight < envelope.lightest:
        apart = measures.mass_apart(envelope.lightest - point.weight)
        return say("outside: %(apart)s lighter than the limits speak of", apart=apart)
    ends = envelope.at(point.weight)
    assert ends
    fore, aft = ends
    if point.arm < fore:
        return say(
            "outside: %(fore)s ahead of the forward limit", fore=measures.distance(fore - point.arm)
        )
    if point.arm > aft:
        return say("outside: %(arm)s behind the aft limit", arm=measures.distance(point.arm - aft))
    if not envelope.holds(point):
        return say("outside: in a part that the limits leave out")
    if point.arm in (fore, aft):
        return say("on the forward limit") if point.arm == fore else say("on the aft limit")
    return say(
        "inside: %(arm)s behind the forward limit, %(aft)s ahead of the aft limit",
        arm=measures.distance(point.arm - fore),
        aft=measures.distance(aft - point.arm),
    )


def _summary(cases: tuple[CaseView, ...], *, limited: bool) -> str:
    said = say("A filled mark is a case with its fuel, a hollow one the same without.")
    if not limited:
        return said
    out = [
        f"{case.number}{'' if state is case.full else say(' without fuel')}"
        for case in cases
        for state in (case.full, case.dry)
        if state and state.inside is False
    ]
    words = (
        say("Outside, and square: %(out)s.", out=", ".join(out)) if out else say("All are inside.")
    )
    return f"{said} {words}"
