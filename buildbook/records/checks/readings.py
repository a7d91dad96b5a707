"""Readings: outside their limit with no squawk, limits that fit nothing, tools past their date."""

from collections.abc import Iterable, Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.future import still_to_come
from buildbook.records.limits import (
    Verdict,
    bounds_of,
    judge,
    limits_of_step,
    part_of,
    same_name,
    wrong_with_rule,
)
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.quantities import an
from buildbook.records.reading import Limited, Reading, RequiredReading, fits, number_and_unit


def check_readings(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with what was measured, and with what it is held against."""
    yield from _limits(book)
    for tool in book.tools.values():
        days = [(day, tool.place.at("calibrated", i)) for i, day in enumerate(tool.calibrated)]
        mend = "mend the date; when it is to be calibrated again is `due`"
        yield from still_to_come("future-calibration", days, today, mend)
    dimensions: dict[str, tuple[str, str]] = {}
    for session in book.sessions.values():
        told: set[str] = set()
        for work in session.entries:
            for i, name in enumerate(work.tools):
                yield from _calibration(book, name, session.date, work.place.at("tools", i), told)
            for reading in work.readings:
                if reading.tool:
                    place = reading.place.at("tool")
                    yield from _calibration(book, reading.tool, session.date, place, told)
                yield from _reading(book, reading, reading.step or work.step)
                yield from _one_dimension(reading, dimensions)
        if session.work:
            for i, name in enumerate(session.tools):
                place = session.place.at("tools", i)
                yield from _calibration(book, name, session.date, place, told)


def _limits(book: Book) -> Iterator[Problem]:
    for name, step in book.steps.items():
        yield from _rules((*step.required_readings, *step.limits))
        for required in step.required_readings:
            yield from _asked_of(book, name, required)
    for part in book.parts.values():
        yield from _rules(part.limits)


def _rules(limits: Iterable[Limited]) -> Iterator[Problem]:
    for limit in limits:
        if limit.rule and (wrong := wrong_with_rule(limit.rule)):
            said, advice = wrong
            yield Problem("unknown-rule", said, limit.place.at("rule"), advice=advice)


def _asked_of(book: Book, name: str, required: RequiredReading) -> Iterator[Problem]:
    of_step = book.steps[name].parts
    pieces = [book.piece_by_label[x] for x in required.pieces if x in book.piece_by_label]
    cited = [("parts", i, p, p) for i, p in enumerate(required.parts)]
    cited += [("pieces", i, p.label, p.part) for i, p in enumerate(pieces)]
    for field, i, shown, part in cited:
        if part in book.parts and part not in of_step:
            yield Problem(
                "not-of-the-step",
                f"step `{name}` does not work on `{shown}`",
                required.place.at(field, i),
                Severity.WARNING,
                advice="add the part to the step's `parts`, or ask for the reading elsewhere",
                find=shown,
            )


def _reading(book: Book, reading: Reading, step: str | None) -> Iterator[Problem]:
    yield from _rules((reading,))
    piece = book.piece_by_label.get(reading.piece) if reading.piece else None
    if piece and reading.part and reading.part in book.parts and piece.part != reading.part:
        yield Problem(
            "piece-of-another-part",
            f"`{piece.label}` is a piece of {piece.part}, not of {reading.part}",
            reading.place.at("piece"),
            advice="leave `part` out, or mend one of the two",
        )
    tool = book.tools.get(reading.tool or "")
    if (
        tool
        and tool.uncertainty
        and not reading.uncertainty
        and not fits(tool.uncertainty, reading.values[0])
    ):
        yield Problem(
            "uncertainty-differs",
            f"the uncertainty of `{tool.tool}` is {an(tool.uncertainty.dimension)}, and "
            f"what was measured is {an(reading.values[0].dimension)}",
            reading.place.at("tool"),
            Severity.WARNING,
            advice="give the reading its own `uncertainty`, or name the tool it was measured with",
        )
    yield from _against_limit(book, reading, step)


def _against_limit(book: Book, reading: Reading, step: str | None) -> Iterator[Problem]:
    judged = judge(book, reading, step)
    if judged.worst is Verdict.OUTSIDE and not reading.squawk:
        outside = [i for i, v in enumerate(judged.verdicts) if v is Verdict.OUTSIDE]
        assert judged.bounds
        first = " ".join(reading.values[outside[0]].written.split())
        more = len(outside) - 1
        also = f" and {more} more value{'' if more == 1 else 's'} are" if more else " is"
        source = f" ({judged.bounds.source})" if judged.bounds.source else ""
        number = max(book.squawks, default=0) + 1
        yield Problem(
            "outside-limit",
            f"{first}{also} outside the limit, {judged.bounds.words}{source}",
            reading.place.at("values", outside[0]),
            advice="write a squawk about it in this session, and cite it with the reading, "
            f"as `squawk: {number}`",
            find=number_and_unit(reading.values[outside[0]])[0],
        )
    if judged.bounds is None:
        yield from _limit_in_another_unit(book, reading, step)


def _limit_in_another_unit(book: Book, reading: Reading, step: str | None) -> Iterator[Problem]:
    """Tell of a limit that is given for the characteristic and cannot be compared with it."""
    part = part_of(book, reading)
    of_step = [("step", x) for x in limits_of_step(book, step) if not x.parts or part in x.parts]
    known = book.parts.get(part or "")
    of_part = [("part", x) for x in known.limits] if known else []
    for whose, limit in (*of_step, *of_part):
        bounds = bounds_of(limit, whose)
        if bounds and same_name(limit.reading) == same_name(reading.reading):
            yield Problem(
                "limits-differ",
                f"this is {an(reading.values[0].dimension)}, and its limit in the {whose}, "
                f"{bounds.words}, is {an(bounds.dimension)}",
                reading.place.at("values"),
                advice="mend the unit of one of them",
            )
            return


def _one_dimension(reading: Reading, dimensions: dict[str, tuple[str, str]]) -> Iterator[Problem]:
    """Warn where one name stands for two things that cannot be laid side by side."""
    dimension, file = dimensions.setdefault(
        same_name(reading.reading), (reading.values[0].dimension, reading.place.file)
    )
    if dimension != reading.values[0].dimension:
        yield Problem(
            "two-dimensions",
            f"`{reading.reading}` is {an(dimension)} in {file}, and here "
            f"{an(reading.values[0].dimension)}",
            reading.place.at("values"),
            Severity.WARNING,
            advice="mend the unit, or give one of the two another name",
        )


def _calibration(
    book: Book, name: str, day: date, place: Place, told: set[str]
) -> Iterator[Problem]:
    """Warn, once in a session, of a tool whose calibration does not cover the day."""
    tool = book.tools.get(name)
    if tool is None or name in told:
        return
    if tool.past_due(day):
        told.add(name)
        yield Problem(
            "calibration-past-due",
            f"the calibration of `{name}` was due on {tool.due_on(day)}, before this session",
            place,
            Severity.WARNING,
            advice="have it calibrated and measure again; if it was calibrated by then, add that "
            "date",
            find=name,
        )
    elif first := tool.calibrated_after(day):
        told.add(name)
        yield Problem(
            "calibrated-after-use",
            f"`{name}` was first calibrated on {first}, after this session",
            place,
            Severity.WARNING,
            advice="add earlier dates to `calibrated` of the tool, or say in the notes what the "
            "calibration found",
            find=name,
        )
