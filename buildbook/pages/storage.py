"""Bare parts on the pages, and corrosion that was found."""

from dataclasses import dataclass
from datetime import date

from buildbook.ledger.storage import Bare
from buildbook.pages.context import Context
from buildbook.pages.page import Link
from buildbook.pages.words import (
    ENGLISH,
    language,
    say,
    say_n,
    show_date,
    show_days,
    show_interval,
    show_number,
    translated,
)
from buildbook.records.squawk import Squawk
from buildbook.reference.answers import RefusedError
from buildbook.reference.sheetmetal import BLEND_CAUTIONS, blend_length


@dataclass(frozen=True, slots=True)
class BareLine:
    """Pieces of a part that were stored bare."""

    part: Link
    name: str
    pieces: str
    """How many, and which."""
    unwrapped: date
    days: str
    """How many, up to the day it ended, else to the last session."""
    until: str
    """What ended it and when, or that it goes on."""
    humidity: str
    """The mean of the readings, and how many there were."""
    looked: tuple[Link, ...]
    """Sessions that looked for corrosion."""
    due: date | None
    """Next inspection."""
    overdue: bool
    """As of the last session."""


def bare_lines(context: Context) -> tuple[BareLine, ...]:
    """List all pieces that were stored bare: those that are due first, those that are over last."""
    rows = sorted(
        context.ledger.storage.rows,
        key=lambda row: (row.ended is not None, row.due or date.max, row.unwrapped, row.part),
    )
    return tuple(_line(context, row) for row in rows)


def due_lines(context: Context) -> tuple[BareLine, ...]:
    """List what is to be looked at, as of the last session."""
    as_of = context.ledger.as_of
    return tuple(_line(context, row) for row in context.ledger.storage.due(as_of)) if as_of else ()


def rule_words(context: Context) -> str:
    """Say the book's rule in a sentence, or nothing where it has none."""
    rule = context.ledger.storage.rule
    if not rule:
        return ""
    titles = [_small(context.operation_link(name).text) for name in rule.inspected_by]
    return say(
        "Bare parts are looked at every %(every)s (%(titles)s), "
        "until they are primed, scrapped or built in.",
        every=show_interval(rule.inspect_bare_parts_every),
        titles=", ".join(titles),
    )


def _small(title: str) -> str:
    """Write a title inside a sentence: English writes it small."""
    return title.lower() if language() == ENGLISH else title


def _line(context: Context, row: Bare) -> BareLine:
    as_of = context.ledger.as_of or row.unwrapped
    part = context.book.parts[row.part]
    marks = [context.book.piece_by_label[label].mark for label in row.pieces]
    some = say_n("%(n)s piece", "%(n)s pieces", len(marks))
    all_of_them = len(marks) == len([p for p in context.book.pieces[row.part] if p.fitted])
    return BareLine(
        context.part_link(row.part),
        part.name,
        some if all_of_them else f"{some}: {', '.join(marks)}",
        row.unwrapped,
        show_days(row.days(as_of)),
        _until(context, row),
        _humidity(row),
        tuple(context.session_link(x.session) for x in row.looked),
        row.due,
        row.due is not None and row.due < as_of,
    )


def _until(context: Context, row: Bare) -> str:
    if row.ended is None:
        return say("still bare")
    known = context.book.operations.get(row.end)
    return f"{_small(known.title) if known else row.end} {show_date(row.ended)}"


def _humidity(row: Bare) -> str:
    if not row.humidity:
        return say("not measured")
    count = row.humidity.readings
    return say_n(
        "%(mean)s %%, mean of %(n)s reading",
        "%(mean)s %%, mean of %(n)s readings",
        count,
        mean=f"{row.humidity.mean:.0f}",
    )


def corrosion_facts(context: Context, squawk: Squawk) -> tuple[tuple[str, str], ...]:
    """Say how deep corrosion went, what was taken off and how it is blended; else nothing."""
    found = squawk.corrosion
    if not found:
        return ()
    rows = [(say("Corrosion"), say("%(depth)s deep", depth=context.quantity(found.depth)))]
    if found.area:
        rows.append((say("Area"), found.area))
    if found.removed:
        rows.append(
            (say("Taken off"), f"{context.quantity(found.removed)}{_left(context, squawk)}")
        )
    try:
        blend = blend_length(found.removed or found.depth)
    except RefusedError:  # deeper than any sheet; told by the check
        return tuple(rows)
    if blend.low:
        length = context.quantity(blend.low)
        rows.append(
            (
                say("Blend"),
                say(
                    "at least %(length)s long, 20 to 1, by %(document)s",
                    length=length,
                    document=blend.source.document,
                ),
            )
        )
    rows.append((say("Limit"), translated(BLEND_CAUTIONS[0])))
    return tuple(rows)


def _left(context: Context, squawk: Squawk) -> str:
    """Say what is left of the sheet, where it is one of a known thickness."""
    numbers = context.book.parts_of(squawk)
    thickness = context.book.parts[numbers[0]].thickness if len(numbers) == 1 else None
    removed = squawk.corrosion.removed if squawk.corrosion else None
    if not thickness or not removed:
        return ""
    unit = context.book.file.units.length
    whole, gone = thickness.to(unit), removed.to(unit)
    if gone >= whole:
        return ""
    return say(
        "; %(whole)s %(unit)s of %(thickness)s is left",
        whole=show_number(whole - gone),
        unit=unit,
        thickness=context.quantity(thickness),
    )
