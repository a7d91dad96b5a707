"""Weight and balance: loads at places that are not there, limits that enclose nothing, dates."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from buildbook.records.balance import Balance, Case, Station
from buildbook.records.book import Book
from buildbook.records.problems import Problem, Severity, did_you_mean
from buildbook.records.weighing import Weighing
from buildbook.reference.exact import exact


def check_balance(book: Book, today: date, broken: frozenset[str]) -> Iterator[Problem]:
    """Yield what keeps weighings and loading cases from being worked out."""
    for weighing in book.weighings:
        yield from _weighing(book, weighing, today)
    file = book.balance
    if not file:
        return
    yield from _stations(file)
    yield from _limits(file)
    stations = {s.station: s for s in file.stations}
    for case in file.cases:
        yield from _case(case, stations)
    whole = [w for w in book.weighings if w.of is None]
    if file.cases and not whole and not file.estimate and "weighings" not in broken:
        yield Problem(
            "no-empty-weight",
            "there are loading cases, and no empty weight",
            file.place.at("cases"),
            Severity.WARNING,
            advice="weigh the aircraft (weighings.yml), or write an `estimate` until then",
        )
    yield from _changes(file, today, max((w.date for w in whole), default=None))


def _weighing(book: Book, weighing: Weighing, today: date) -> Iterator[Problem]:
    if weighing.date > today:
        said = f"{weighing.date} is still to come"
        yield Problem("future-weighing", said, weighing.place.at("date"), advice="mend the date")
    net = sum((exact(s.reading, "kg") for s in weighing.scales), Fraction(0))
    net -= sum((exact(s.tare, "kg") for s in weighing.scales if s.tare), Fraction(0))
    left = net - sum((exact(x.weight, "kg") for x in weighing.deduct), Fraction(0))
    if net <= 0:
        yield Problem(
            "nothing-weighed",
            "all scales together show nothing but their tare",
            weighing.place.at("scales"),
            advice="mend the readings",
        )
    elif left <= 0:
        yield Problem(
            "nothing-weighed",
            "what is deducted weighs as much as everything on the scales, or more",
            weighing.place.at("deduct"),
            advice="mend the weights",
        )
    tool = book.tools.get(weighing.tool or "")
    if tool and tool.past_due(weighing.date):
        yield Problem(
            "tool-past-due",
            f"the calibration of `{tool.tool}` was due on {tool.due_on(weighing.date)}, before "
            "this weighing",
            weighing.place.at("tool"),
            Severity.WARNING,
            advice="weigh again when it has been calibrated, or mend the date",
        )
    file = book.balance
    if file and weighing.of is None and not _alike(file.datum, weighing.datum):
        yield Problem(
            "datum-differs",
            f"the datum is called `{weighing.datum}` here, and `{file.datum}` in {file.place.file}",
            weighing.place.at("datum"),
            Severity.WARNING,
            advice="arms from two datums cannot be added: name it in the same words if it is one",
        )


def _alike(one: str, other: str) -> bool:
    return one.casefold().strip(" .") == other.casefold().strip(" .")


def _stations(file: Balance) -> Iterator[Problem]:
    seen: set[str] = set()
    for station in file.stations:
        if station.station in seen:
            said = f"station `{station.station}` is there already"
            place = station.place.at("station")
            yield Problem("repeated-identity", said, place, advice="give it another name")
        seen.add(station.station)


def _limits(file: Balance) -> Iterator[Problem]:
    if not file.envelope:
        return
    limits = file.limits
    if limits is None:
        yield Problem(
            "no-chord",
            "limits in % need the mean aerodynamic chord, and it is not given",
            file.place.at("envelope"),
            advice="add `lemac` and `mac`",
        )
    elif fault := limits.fault():
        count = len(limits.corners)
        yield Problem(
            "envelope",
            f"{fault}, and there {'is' if count == 1 else 'are'} {count}"
            if count < 3  # noqa: PLR2004
            else fault,
            file.place.at("envelope"),
            advice="write each corner once, in order round the area the designer allows",
        )


def _case(case: Case, stations: dict[str, Station]) -> Iterator[Problem]:
    for name, load in case.load.items():
        place = case.place.at("load", name)
        station = stations.get(name)
        if station is None:
            yield Problem(
                "unknown-station",
                f"there is no station `{name}`",
                place,
                advice=did_you_mean(name, stations, name="stations"),
                of_key=True,
            )
            continue
        weight = station.weight_of(load)
        if weight is None:
            yield Problem(
                "no-density",
                f"{load.written} is a volume, and station `{name}` has no density",
                place,
                advice="add a `density` to the station, as `0.72 kg/l`, or write the weight",
            )
            continue
        most = station.weight_of(station.most) if station.most else None
        if most is not None and weight > most and station.most:
            yield Problem(
                "over-station",
                f"{load.written} is more than station `{name}` may hold, {station.most.written}",
                place,
                Severity.WARNING,
                advice="mend the load, or the station's `most`",
            )


def _changes(file: Balance, today: date, weighed: date | None) -> Iterator[Problem]:
    for change in file.changes:
        place = change.place.at("date")
        if change.date > today:
            said = f"{change.date} is still to come"
            yield Problem("future-change", said, place, advice="mend the date")
        elif weighed and change.date == weighed:
            yield Problem(
                "change-on-weighing-day",
                "the aircraft was weighed on this day, so the change is taken to be in it",
                place,
                Severity.WARNING,
                advice="if it was made after the weighing, date it a day later",
            )
