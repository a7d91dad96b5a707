"""Slips in records of workmanship: each is told once, where it is, with advice, and only it is.

Whatever the numbers, dates and names are. The same slips in the other direction, a date that is
just in time or limits that just fit, are told by nobody.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.records.problems import Finding
from buildbook.records.read import read

BASE = Path(__file__).parent / "base"
TODAY = date(2026, 1, 1)
DAY = date(2025, 6, 15)
"""Of the session that is added."""

EXAMPLES = settings(max_examples=40)


def findings(files: dict[str, str]) -> list[Finding]:
    """Say what `check` tells of the good book with these files in it."""
    raw = {name: text.encode() for name, text in files.items()}
    return read(BASE, TODAY, instead=raw).findings()


def told(files: dict[str, str], code: str, file: str, words: str) -> None:
    """Check that one thing is told: by its code, with its place and with advice."""
    [finding] = findings(files)
    assert (finding.code, finding.file) == (code, file)
    assert finding.text[finding.column - 1 :].startswith(words), finding
    assert finding.text == files[file].split("\n")[finding.line - 1]
    assert finding.message
    assert finding.advice


def session(*fields: str, day: date = DAY) -> dict[str, str]:
    """Lay out a file with a session; it lies where the good book has none."""
    lines = (f"date: {day}", "title: New", "step: fin/close", "hours: 1h", *fields)
    return {"sessions/new.yml": "\n".join((*lines, ""))}


def reading(fields: str, tool: str = "") -> dict[str, str]:
    return session("readings:", f"  - {{reading: gap, {fields}{tool}}}")


# Thousandths of an inch, written with their unit.
INCHES = st.integers(1, 5_000).map(lambda n: f"{n / 1000:.3f} in")
OTHERS = st.tuples(
    st.integers(1, 90), st.sampled_from(["deg", "in-lb", "kg", "milliohm", "°C", "%", "N", "min"])
).map(lambda pair: f"{pair[0]} {pair[1]}")
DAYS = st.dates(date(2024, 1, 1), date(2025, 12, 31))
WORDS = st.text("abcdefghijklmnopqrstuvwxyz", min_size=3, max_size=12)


@EXAMPLES
@given(INCHES, OTHERS, st.sampled_from(["min", "max"]))
def test_a_limit_in_another_unit(value: str, other: str, limit: str) -> None:
    told(reading(f"values: {value}, {limit}: {other}"), "limits-differ", "sessions/new.yml", other)


@EXAMPLES
@given(INCHES, OTHERS)
def test_values_in_two_kinds_of_unit(value: str, other: str) -> None:
    told(reading(f'values: "{value}, {other}"'), "values-differ", "sessions/new.yml", f'"{value}')


@EXAMPLES
@given(st.integers(1, 4_999), st.integers(1, 200), st.booleans())
def test_limits_that_are_reversed(low: int, more: int, millimetres: bool) -> None:
    smallest = f"{low / 1000:.3f} in"
    largest = f"{(low + more) / 1000:.3f} in"
    if millimetres:
        largest = f"{(low + more) * 254 / 10_000:.4f} mm"
    inside = f"values: {smallest}"
    assert findings(reading(f"{inside}, min: {smallest}, max: {largest}")) == []
    wrong = reading(f"{inside}, min: {largest}, max: {smallest}")
    told(wrong, "limits-reversed", "sessions/new.yml", largest)


@EXAMPLES
@given(st.integers(0, 99), st.from_regex(r"[0-9]{1,4}", fullmatch=True), st.integers(0, 2))
def test_a_decimal_comma(whole: int, part: str, place: int) -> None:
    """In a value, a limit and an uncertainty."""
    comma = f"{whole},{part} in"
    fields = (
        f'values: "{comma}"',
        f'values: 0.2 in, max: "{comma}"',
        f'values: 0.2 in, uncertainty: "{comma}"',
    )
    told(reading(fields[place]), "quantity", "sessions/new.yml", comma)


@EXAMPLES
@given(st.integers(8, 99), st.sampled_from(["FN-01", "FN-02-L", "FN-03"]))
def test_a_piece_that_does_not_exist(number: int, part: str) -> None:
    label = f"{part}-{number:02}"
    told(reading(f"values: 0.2 in, piece: {label}"), "unknown-piece", "sessions/new.yml", label)


@EXAMPLES
@given(st.integers(1, 999), st.sampled_from(["in", "mm", "%"]), st.booleans())
def test_an_uncertainty_below_zero(off: int, unit: str, of_tool: bool) -> None:
    said = f"-{off / 1000:.3f} {unit}"
    if of_tool:
        files = {"tools/new.yml": f"- tool: gauge\n  title: Gauge\n  uncertainty: {said}\n"}
        told(files, "negative-uncertainty", "tools/new.yml", said)
    else:
        files = reading(f"values: 0.2 in, uncertainty: {said}")
        told(files, "negative-uncertainty", "sessions/new.yml", said)


@EXAMPLES
@given(st.lists(DAYS, min_size=1, max_size=4, unique=True), st.booleans())
def test_a_calibration_after_the_use(days: list[date], of_reading: bool) -> None:
    tools = f"- tool: gauge\n  title: Gauge\n  calibrated: [{', '.join(map(str, days))}]\n"
    used = reading("values: 0.2 in", ", tool: gauge") if of_reading else session("tools: gauge")
    files = {**used, "tools/new.yml": tools}
    if min(days) <= DAY:
        assert findings(files) == []
    else:
        told(files, "calibrated-after-use", "sessions/new.yml", "gauge")


@EXAMPLES
@given(st.integers(-400, 190), st.booleans())
def test_a_calibration_that_had_run_out(days: int, of_reading: bool) -> None:
    due = DAY + timedelta(days=days)
    used = reading("values: 0.2 in", ", tool: gauge") if of_reading else session("tools: gauge")
    files = {**used, "tools/new.yml": f"- tool: gauge\n  title: Gauge\n  due: {due}\n"}
    if due >= DAY:
        assert findings(files) == []
    else:
        told(files, "calibration-past-due", "sessions/new.yml", "gauge")


@EXAMPLES
@given(st.integers(-10, 40), st.integers(1, 400))
def test_a_gap_between_two_calibrations(after: int, longer: int) -> None:
    """Due on one day, calibrated again some days later: only those in between are told."""
    first, due = DAY - timedelta(days=500), DAY - timedelta(days=10)
    again = due + timedelta(days=after) if after > 0 else due
    next_due = again + timedelta(days=longer)
    files = {
        **session("tools: gauge"),
        "tools/new.yml": f"- tool: gauge\n  title: Gauge\n  calibrated: [{first}, {again}]\n"
        f"  due: [{due}, {next_due}]\n",
    }
    if again > DAY or next_due < DAY:
        told(files, "calibration-past-due", "sessions/new.yml", "gauge")
    else:
        assert findings(files) == []


@EXAMPLES
@given(DAYS, DAYS, st.booleans(), st.booleans())
def test_an_expiry_before_the_manufacture(
    made: date, expires: date, month_made: bool, month_expires: bool
) -> None:
    """A month's name alone means its first day when made, and its last when it expires."""
    from_day = f"{made:%Y-%m}" if month_made else f"{made}"
    to_day = f"{expires:%Y-%m}" if month_expires else f"{expires}"
    files = {"lots/new.yml": f"- {{lot: tin, title: Tin, made: {from_day}, expires: {to_day}}}\n"}
    first = made.replace(day=1) if month_made else made
    next_month = (expires.replace(day=1) + timedelta(days=31)).replace(day=1)
    last = next_month - timedelta(days=1) if month_expires else expires
    if last < first:
        told(files, "before-made", "lots/new.yml", to_day)
    else:
        assert findings(files) == []


@EXAMPLES
@given(DAYS)
def test_a_lot_past_its_day_of_expiry(expires: date) -> None:
    files = {
        **session("lots: tin"),
        "lots/new.yml": f"- {{lot: tin, title: Tin, expires: {expires}}}\n",
    }
    if expires >= DAY:
        assert findings(files) == []
    else:
        told(files, "lot-expired", "sessions/new.yml", "tin")


@EXAMPLES
@given(st.lists(DAYS, min_size=2, max_size=2, unique=True).map(sorted), st.booleans())
def test_a_step_closed_twice(days: list[date], reopened: bool) -> None:
    """The later one is told, whichever file is read first."""
    text = "date: {}\ntitle: Done\nstep: rudder/inventory\nhours: 1h\nfinished: yes\n"
    again = "reopened: A rivet was loose\n" if reopened else ""
    files = {
        "sessions/b.yml": text.format(days[0]),
        "sessions/a.yml": text.format(days[1]) + again,
    }
    if reopened:
        assert findings(files) == []
    else:
        told(files, "finished-twice", "sessions/a.yml", "yes")


@EXAMPLES
@given(DAYS, DAYS, st.booleans())
def test_a_squawk_closed_before_it_was_found(found: date, closed: date, in_session: bool) -> None:
    squawk = f"squawk: 90, title: Bent, closed: {{date: {closed}, by: ada}}"
    if in_session:
        files, file = session(f"squawks: [{{{squawk}}}]", day=found), "sessions/new.yml"
    else:
        file = "squawks/new.yml"
        files = {file: f"- {{{squawk}, found: {found}}}\n"}
    if closed >= found:
        assert findings(files) == []
    else:
        told(files, "closed-before-found", file, f"{closed}")


def signoff(by: str, day: date = DAY) -> dict[str, str]:
    text = f"- {{step: fin/skeleton, inspection: Twist of the skeleton, date: {day}, by: {by}}}\n"
    return {"signoffs.yml": text}


@EXAMPLES
@given(WORDS)
def test_a_sign_off_by_somebody_unknown(name: str) -> None:
    if name in ("ada", "ben", "ines"):
        assert findings(signoff(name)) == []
    else:
        told(signoff(name), "unknown-person", "signoffs.yml", name)


@EXAMPLES
@given(st.dates(date(2025, 3, 1), date(2027, 12, 31)))
def test_a_sign_off_of_a_day_to_come(day: date) -> None:
    if day <= TODAY:
        assert findings(signoff("ines", day)) == []
    else:
        told(signoff("ines", day), "future-signoff", "signoffs.yml", f"{day}")


@EXAMPLES
@given(st.lists(DAYS, min_size=3, max_size=3, unique=True).map(sorted), st.permutations(range(3)))
def test_a_step_closed_over_a_notice(days: list[date], order: Iterable[int]) -> None:
    issued, done, closed = (days[i] for i in order)
    files = {
        "notices/new.yml": f"- {{notice: N-1, title: Look, issued: {issued}, applies: yes, "
        "before: rudder/inventory}\n",
        "sessions/a.yml": f"date: {done}\ntitle: A\nstep: fin/skeleton\nhours: 1h\nnotices: N-1\n",
        "sessions/b.yml": f"date: {closed}\ntitle: B\nstep: rudder/inventory\nhours: 1h\n"
        "finished: yes\n",
    }
    codes = {finding.code for finding in findings(files)}
    assert codes == {
        *(["done-before-issued"] if done < issued else []),
        *(["closed-over-notice"] if issued < closed < done else []),
    }


def test_the_good_book_has_none() -> None:
    assert findings({}) == []
    assert findings(session()) == []
