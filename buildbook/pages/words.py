"""The site's own words, said in the language of the book.

English sentences in the source are the keys of the catalogues in `buildbook/languages`, gettext's
files. What the builder wrote is never looked up in one.
"""

import gettext
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from markupsafe import Markup

from buildbook.records import durations, money, quantities
from buildbook.records.intervals import Interval
from buildbook.records.sayings import Saying

ENGLISH = "en"
FOLDER = Path(__file__).resolve().parent.parent / "languages"
"""Where the catalogues are: `de/LC_MESSAGES/buildbook.mo`."""

_in_force = ContextVar("language", default=ENGLISH)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Say everything inside in a language."""
    before = _in_force.set(language)
    try:
        yield
    finally:
        _in_force.reset(before)


def language() -> str:
    """Name the language in force."""
    return _in_force.get()


@cache
def _catalogue(name: str) -> gettext.NullTranslations:
    if name == ENGLISH:
        return gettext.NullTranslations()
    return gettext.translation("buildbook", FOLDER, [name])


def mark(message: str) -> str:
    """Mark a message for the catalogues; it is said later, with `say`."""
    return message


def say(message: str, /, **values: object) -> str:
    """Say a message in the language in force, `%(name)s` in it being a value.

    A per cent sign that is meant is written twice. With a value that is markup the whole is.
    """
    if isinstance(message, Saying):
        return _say_again(message)
    return _filled(_looked_up(message), values)


def say_n(one: str, many: str, n: int, **values: object) -> str:
    """Say one message or another by a number, which `%(n)s` stands for where it is not given."""
    return _filled(_catalogue(language()).ngettext(one, many, n), {"n": n, **values})


def _looked_up(message: str) -> str:
    # gettext keeps the catalogue's own description under nothing.
    return _catalogue(language()).gettext(message) if message else ""


def _filled(text: str, values: dict[str, object]) -> str:
    if any(isinstance(value, Markup) for value in values.values()):
        return Markup(text) % values  # noqa: S704 - our own words; the values are escaped
    return text % values


def _say_again(saying: Saying) -> str:
    values = {name: _value(value) for name, value in saying.values.items()}
    if not saying.many:
        return say(saying.message, **values)
    n = values.pop("n")
    assert isinstance(n, int)
    return say_n(saying.message, saying.many, n, **values)


def _value(value: object) -> object:
    if isinstance(value, Saying):
        return say(value)
    if isinstance(value, date) and language() != ENGLISH:
        return show_date(value)
    return value


def drawn(message: str, /, **values: object) -> Markup:
    """Say a message as HTML, for templates: markup in it stays, values are escaped."""
    return Markup(_looked_up(message)) % values  # noqa: S704 - our own words


def drawn_n(one: str, many: str, n: int, **values: object) -> Markup:
    """Say one message or another by a number as HTML, for templates."""
    found = _catalogue(language()).ngettext(one, many, n)
    return Markup(found) % {"n": n, **values}  # noqa: S704 - our own words


# Numbers and dates, as the Unicode consortium's data on locales have them (through Babel, which is
# loaded only where another language than English is spoken).


@cache
def _locale(name: str) -> Any:
    from babel import Locale  # noqa: PLC0415

    return Locale.parse(name)


_POINT = re.compile(r"\.(?=\d)")


@cache
def _separators(name: str) -> dict[int, str]:
    from babel.numbers import get_decimal_symbol, get_group_symbol  # noqa: PLC0415

    locale = _locale(name)
    return {ord("."): get_decimal_symbol(locale), ord(","): get_group_symbol(locale)}


def number(written: str) -> str:
    """Write a number, given as English writes it, with the separators of the language."""
    return written if language() == ENGLISH else written.translate(_separators(language()))


def written(quantity: str) -> str:
    """Write what a builder wrote with a decimal point, as `0.032 in`, with that of the language."""
    if language() == ENGLISH:
        return quantity
    return _POINT.sub(_separators(language())[ord(".")], quantity)


def separator() -> str:
    """Give what parts numbers in a row: where they have decimal commas, no comma does."""
    comma = language() != ENGLISH and _separators(language())[ord(".")] == ","
    return "; " if comma else ", "


def show_number(value: float, digits: int = 4) -> str:
    """Write a number with at most `digits` significant digits and no needless zeros."""
    return number(quantities.show_number(value, digits))


def show_minutes(minutes: int) -> str:
    """Write minutes as hours and minutes: `2 h 30`, `45 min`, `1,204 h`."""
    return number(durations.show_minutes(minutes))


def show_money(amount: Decimal, currency: str) -> str:
    """Write an amount with the decimals of its currency: `1,250.00 EUR`."""
    return number(money.show_money(amount, currency))


@lru_cache(maxsize=4096)
def _formatted(name: str, day: date, parts: str) -> str:
    """Write a date by one of Babel's patterns, or those parts of it as the language orders them."""
    from babel.dates import format_date, format_skeleton  # noqa: PLC0415

    if parts.startswith("y"):
        return str(format_skeleton(parts, day, locale=_locale(name)))
    return str(format_date(day, parts, locale=_locale(name)))


MONTHS = (
    "January February March April May June July August September October November December"
).split()
_DAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()


def show_date(day: date | None) -> str:
    """Show a date as `8 March 2025`; nothing where there is none."""
    if not day:
        return ""
    if language() == ENGLISH:
        return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
    return _formatted(language(), day, "long")


def show_month(key: str) -> str:
    """Show `2025-03` as `March 2025`."""
    year, month = map(int, key.split("-"))
    if language() == ENGLISH:
        return f"{MONTHS[month - 1]} {year}"
    return _formatted(language(), date(year, month, 1), "yMMMM")


def short_month(key: str) -> str:
    """Show `2025-03` as `Mar 2025`."""
    year, month = map(int, key.split("-"))
    if language() == ENGLISH:
        return f"{MONTHS[month - 1][:3]} {year}"
    return _formatted(language(), date(year, month, 1), "yMMM")


def short_date(day: date) -> str:
    """Show a date as `8 Mar 2025`."""
    if language() == ENGLISH:
        return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"
    return _formatted(language(), day, "yMMMd")


def month_name(month: int) -> str:
    """Name a month, 1 to 12."""
    if language() == ENGLISH:
        return MONTHS[month - 1]
    return _formatted(language(), date(2000, month, 1), "LLLL")


def weekday(day: date) -> str:
    """Name the day of the week."""
    if language() == ENGLISH:
        return _DAYS[day.weekday()]
    return _formatted(language(), day, "EEEE")


def show_days(days: int | None) -> str:
    """Show a number of days as `1 day`, `97 days`; nothing where there is none."""
    if days is None:
        return ""
    return say_n("1 day", "%(days)s days", days, days=number(f"{days:,}"))


def show_interval(interval: Interval | None) -> str:
    """Write how long something keeps or how often it comes: `90 days`; nothing for nothing."""
    if interval is None:
        return ""
    match interval.unit:
        case "day":
            return say_n("%(n)s day", "%(n)s days", interval.count)
        case "week":
            return say_n("%(n)s week", "%(n)s weeks", interval.count)
        case "month":
            return say_n("%(n)s month", "%(n)s months", interval.count)
    return say_n("%(n)s year", "%(n)s years", interval.count)


def compact_date(day: date) -> str:
    """Show a date in few letters, for a cell of a sheet: `2025-03-08`."""
    if language() == ENGLISH:
        return day.isoformat()
    return _formatted(language(), day, "medium")


def inside_a_sentence(title: str) -> str:
    """Write a title as it stands inside a sentence: English begins it small."""
    return f"{title[:1].lower()}{title[1:]}" if language() == ENGLISH else title


def translated(text: str) -> str:
    """Say a whole text that has no values in it, as a state or a caution out of a table."""
    return say(text) if isinstance(text, Saying) else _looked_up(text)
