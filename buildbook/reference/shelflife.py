"""Shelf life: counting in months, what may be extended, and time out of the cold.

Month arithmetic keeps the day of the month where the month has it, and else takes its last day.
A date that names only a month runs to that month's end (from memory).
"""

import calendar
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from buildbook.records.dates import FIRST_YEAR, LAST_YEAR, parse_date
from buildbook.reference.answers import Answer, Fact, RefusedError
from buildbook.reference.source import Source, Sure

TYPES = Source("MIL-STD-129R", "5.10.1", "", Sure.SEEN)
CODES = Source("41 CFR", "101-27.205", "2 January 2025", Sure.SEEN)
CODES_RECALLED = Source("41 CFR", "101-27.205", "", Sure.MEMORY)
MONTHS = Source("Counting in months", "the same day, or the month's last", "", Sure.COMPUTED)
MONTH_ONLY = Source("common practice", "a month alone runs to its end", "", Sure.MEMORY)
OUT_TIME = Source("common practice", "out-time adds up and never resets", "", Sure.MEMORY)
POT_LIFE = Source("common practice", "pot life runs from mixing", "", Sure.MEMORY)

LONGEST = 600
"""Months: nothing keeps for more than fifty years."""

CAUTIONS = (
    (
        "The date on the can and the maker's storage instructions come first: warmth shortens "
        "the life that is counted here."
    ),
    "A type II life is extended only after the test that its maker or specification asks for.",
)


@dataclass(frozen=True, slots=True)
class Code:
    """A shelf-life code."""

    letter: str
    months: int
    extendable: bool
    """Type II: may be extended after a test. Type I never."""
    source: Source


def _codes() -> dict[str, Code]:
    first = {
        1: "A", 2: "B", 3: "C", 4: "D", 5: "E", 6: "F", 9: "G", 12: "H", 15: "J", 18: "K",
        21: "L", 24: "M", 27: "N", 30: "P", 36: "Q", 48: "R", 60: "S",
    }  # fmt: skip
    second = {3: "1", 6: "2", 9: "3", 12: "4", 18: "5", 24: "6", 36: "7", 48: "8", 60: "9"}
    seen = frozenset("ABCDEHM1")
    return {
        letter: Code(letter, months, extendable, CODES if letter in seen else CODES_RECALLED)
        for codes, extendable in ((first, False), (second, True))
        for months, letter in codes.items()
    }


CODES_BY_LETTER = _codes()
"""Letters are type I, figures type II."""


def add_months(day: date, months: int) -> date:
    """Return the same day so many months later, or the last of that month.

    Raises RefusedError for less than one month, more than LONGEST, or years past the calendar.
    """
    if not 1 <= months <= LONGEST:
        raise RefusedError(f"a shelf life of {months} months", f"write 1 to {LONGEST} months")
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > LAST_YEAR:
        raise RefusedError(f"that is in the year {year}")
    return date(year, month + 1, min(day.day, last_day(year, month + 1)))


def last_day(year: int, month: int) -> int:
    """Return the number of the month's last day."""
    return calendar.monthrange(year, month)[1]


def read_day(text: str) -> tuple[date, bool]:
    """Read a date, or a month as its last day; tell whether only a month was written.

    Raises RefusedError.
    """
    found = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})", text.strip())
    if not found:
        try:
            return parse_date(text), False
        except ValueError as error:
            advice = "write year-month-day, as `2026-01-31`, or a month, as `2026-01`"
            raise RefusedError(str(error), advice) from None
    year, month = int(found[1]), int(found[2])
    if not (FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12):  # noqa: PLR2004
        raise RefusedError(f"`{text.strip()}` is not in the calendar")
    return date(year, month, last_day(year, month)), True


def read_life(text: str) -> tuple[int, Code | None]:
    """Read a number of months, or a shelf-life code. Raises RefusedError."""
    plain = " ".join(text.split())
    coded = re.fullmatch(r"(?:code ?)([A-Za-z0-9])", plain, re.IGNORECASE)
    letter = coded[1].upper() if coded else plain.upper()
    if (coded or letter.isalpha()) and (code := CODES_BY_LETTER.get(letter)):
        return code.months, code
    found = re.fullmatch(r"([0-9]{1,4}) ?(?:months?)?", plain, re.IGNORECASE)
    if coded or not found:
        raise RefusedError(
            f"`{plain}` is no shelf life",
            "write months, as `12`, or a code, as `H` or `code 4`",
        )
    return int(found[1]), None


def shelf_life(made: str, life: str) -> Answer:
    """Look up when something made on a day, or in a month, is too old. Raises RefusedError."""
    day, month_only = read_day(made)
    months, code = read_life(life)
    end = add_months(day, months)
    if month_only:
        end = date(end.year, end.month, last_day(end.year, end.month))
    source = MONTH_ONLY if month_only else MONTHS
    facts = [Fact("Last day of use", None, None, source, end.isoformat())]
    if code:
        facts += code_facts(code)
    return Answer(f"Shelf life of {months} months from {made.strip()}", tuple(facts), CAUTIONS)


def code_facts(code: Code) -> tuple[Fact, Fact]:
    """Say what a code means."""
    kind = "type II, may be extended after a test" if code.extendable else "type I, never extended"
    return (
        Fact(f"Code {code.letter}", None, None, code.source, f"{code.months} months"),
        Fact("May it be extended", None, None, TYPES, kind),
    )


def out_time_left(allowed: int, times: Sequence[int]) -> int:
    """Return the minutes out of the cold that are left; below nothing when it is too late.

    Every time out is added to the ones before: putting it back stops the count and does not set
    it back (from memory). Raises RefusedError for a time below nothing.
    """
    if allowed < 0 or any(minutes < 0 for minutes in times):
        raise RefusedError("a time out of the cold is less than nothing")
    return allowed - sum(times)
