"""Pages of lots: what a batch is, until when it was good, and everything made with it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from markupsafe import Markup

from buildbook.ledger.lots import LotTrace, Mixed, Use
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.views import Figure
from buildbook.pages.words import (
    say,
    show_date,
    show_days,
    show_interval,
    show_minutes,
    show_money,
    show_month,
)
from buildbook.records.lot import Lot
from buildbook.records.months import DayOrMonth, Month


@dataclass(frozen=True, slots=True)
class LotLine:
    """A lot in a list."""

    link: Link
    batch: str
    good_until: date | None
    state: str
    """In words: `past its last day`, `used up`, or how soon it is; empty where nothing is."""
    sections: tuple[Link, ...]
    sessions: int


@dataclass(frozen=True, slots=True)
class UseLine:
    """One piece of work that used a lot."""

    session: Link
    date: date
    step: Link | None
    operation: Link | None
    parts: tuple[Link, ...]
    remark: str
    """That it was past its last day, in words; empty where it was good."""


@dataclass(frozen=True, slots=True)
class MixLine:
    """Something that was mixed."""

    lots: tuple[Link, ...]
    session: Link
    date: date
    mixed: str
    """Time of day."""
    pot_life: int
    """Minutes."""
    until: str
    """Time of day it was used to; empty where nothing says it."""
    remark: str
    """Whether that was within the pot life, in words."""
    notes: str


@dataclass(frozen=True, slots=True)
class MadeLine:
    """A part that a lot went into."""

    part: Link
    name: str
    pieces: tuple[Link, ...]
    """Those that the records name."""


@dataclass(frozen=True, slots=True)
class SectionLotLine:
    """A lot inside one assembly."""

    link: Link
    batch: str
    steps: tuple[Link, ...]
    first: date
    last: date
    remark: str


@dataclass(frozen=True, slots=True)
class LotView:
    """Template `lot.html`."""

    title: str
    name: str
    facts: tuple[tuple[str, str], ...]
    state: str
    notes: Markup
    figures: tuple[Figure, ...]
    """Of the label or the certificate."""
    sections: tuple[Link, ...]
    made: tuple[MadeLine, ...]
    unnamed: tuple[Link, ...]
    """Steps that used it in work that names no part."""
    uses: tuple[UseLine, ...]
    mixed: tuple[MixLine, ...]


def lot_page(context: Context, name: str, lot: Lot) -> Page:
    """Lay out the page of one lot: what a recall asks for."""
    trace = context.ledger.lots.traces[name]
    notes = context.prose.html(lot.notes)
    unnamed = (use.step for use in trace.uses if use.step and not use.parts)
    view = LotView(
        title=lot.title,
        name=name,
        facts=tuple(_facts(context, lot, trace)),
        state=_state(context, trace),
        notes=notes,
        figures=_figures(context, name, lot),
        sections=tuple(map(context.section_link, trace.sections)),
        made=tuple(_made(context, trace)),
        unnamed=tuple(
            Link(context.step_in_section(s), paths.step(s)) for s in dict.fromkeys(unnamed)
        ),
        uses=tuple(_use(context, use) for use in trace.uses),
        mixed=tuple(mix_line(context, m) for m in context.ledger.lots.mixed_of_lot.get(name, ())),
    )
    words = [name, lot.maker, lot.supplier, lot.batch, lot.certificate, plain_text(notes)]
    return Page(
        paths.lot(name),
        lot.title,
        "lot.html",
        view,
        [SearchEntry(say("%(title)s (lot)", title=lot.title), " ".join(filter(None, words)))],
        frozenset({lot.place.file}),
        description=say("%(title)s, batch %(batch)s", title=lot.title, batch=lot.batch)
        if lot.batch
        else lot.title,
    )


def lot_line(context: Context, trace: LotTrace) -> LotLine:
    """Make the view of a lot in a list."""
    return LotLine(
        context.lot_link(trace.lot),
        context.book.lots[trace.lot].batch or "",
        trace.usable_until,
        _state(context, trace),
        tuple(map(context.section_link, trace.sections)),
        len(trace.sessions),
    )


def expiring_lots(context: Context) -> tuple[LotLine, ...]:
    """List the lots not yet used up that are past their last day or soon will be."""
    as_of = context.ledger.as_of
    found = context.ledger.lots.expiring(as_of) if as_of else ()
    return tuple(lot_line(context, trace) for trace in found)


def mixed_of_session(context: Context, slug: str) -> tuple[MixLine, ...]:
    """List what was mixed in a session."""
    mixed = context.ledger.lots.mixed_of_session.get(slug, ())
    return tuple(mix_line(context, one) for one in mixed)


def section_lots(context: Context, name: str) -> tuple[SectionLotLine, ...]:
    """List every lot inside a section, in the order they came in."""
    uses: dict[str, list[Use]] = {}
    for use in context.ledger.lots.of_section.get(name, ()):
        uses.setdefault(use.lot, []).append(use)
    lines = []
    for lot, some in uses.items():
        steps = dict.fromkeys(use.step for use in some if use.step)
        past = max(use.past for use in some)
        lines.append(
            SectionLotLine(
                context.lot_link(lot),
                context.book.lots[lot].batch or "",
                tuple(map(context.step_link, steps)),
                min(use.date for use in some),
                max(use.date for use in some),
                say("used %(past)s past its last day", past=show_days(past)) if past else "",
            )
        )
    return tuple(sorted(lines, key=lambda line: (line.first, line.link.text)))


def part_lots(context: Context, number: str) -> tuple[Link, ...]:
    """List the lots that went into a part."""
    uses = context.ledger.lots.of_part.get(number, ())
    return tuple(map(context.lot_link, dict.fromkeys(use.lot for use in uses)))


def _facts(context: Context, lot: Lot, trace: LotTrace) -> Iterable[tuple[str, str]]:
    opened = show_date(trace.opened)
    if trace.opened and not lot.opened:
        opened += say(", its first use")
    paid = lot.cost if context.book.file.show_costs else None
    rows = (
        (say("Maker"), lot.maker),
        (say("Supplier"), lot.supplier),
        (say("Batch"), lot.batch),
        (say("Made"), _label_date(lot.made)),
        (say("Bought"), show_date(lot.bought)),
        (say("Shelf life"), show_interval(lot.shelf_life)),
        (say("Expires"), _label_date(lot.expires)),
        (say("Opened"), opened),
        (say("Life once opened"), show_interval(lot.life_once_opened)),
        (say("Good until"), show_date(trace.usable_until)),
        (say("Used up"), show_date(lot.used_up)),
        (say("Certificate"), lot.certificate),
        (say("Cost"), show_money(paid.amount, paid.currency) if paid else ""),
    )
    return ((name, value) for name, value in rows if value)


def _label_date(when: DayOrMonth | None) -> str:
    if isinstance(when, Month):
        return show_month(str(when))
    return show_date(when)


def _state(context: Context, trace: LotTrace) -> str:
    """Say where a lot stands, as of the last session."""
    used_up, last, as_of = (
        context.ledger.lots.used_up.get(trace.lot),
        trace.usable_until,
        context.ledger.as_of,
    )
    if used_up:
        return say("used up")
    if not last or not as_of:
        return ""
    left = (last - as_of).days
    if left < 0:
        return say("past its last day by %(days)s", days=show_days(-left))
    return (
        say("good for %(days)s more", days=show_days(left))
        if left
        else say("good for this day only")
    )


def _figures(context: Context, name: str, lot: Lot) -> tuple[Figure, ...]:
    """Show the picture of the label; one that no session captions bears the lot's title."""
    if not lot.photo:
        return ()
    if shot := context.ledger.links.shot_of_file.get(lot.photo):
        return context.figures([shot])
    if lot.photo not in context.book.photo_files:
        return ()
    caption = say("Label or certificate: %(title)s", title=lot.title)
    here = Link(lot.title, paths.lot(name))
    return (Figure(lot.photo, Markup.escape(caption), caption, here, None, 1),)


def _made(context: Context, trace: LotTrace) -> Iterable[MadeLine]:
    pieces = context.book.piece_by_label
    labels = sorted(trace.pieces, key=lambda label: pieces[label].part)
    of_part = {
        part: tuple(some) for part, some in groupby(labels, key=lambda label: pieces[label].part)
    }
    for part in trace.parts:
        yield MadeLine(
            context.part_link(part),
            context.book.parts[part].name,
            tuple(
                Link(pieces[label].mark, paths.piece(part, label))
                for label in of_part.get(part, ())
            ),
        )


def _use(context: Context, use: Use) -> UseLine:
    remark = ""
    if use.past:
        remark = say("%(past)s past its last day", past=show_days(use.past))
        remark += f": {use.knowingly}" if use.knowingly else ""
    return UseLine(
        context.session_link(use.session),
        use.date,
        Link(context.step_in_section(use.step), paths.step(use.step)) if use.step else None,
        context.operation_link(use.operation) if use.operation else None,
        tuple(map(context.part_link, use.parts)),
        remark,
    )


def mix_line(context: Context, mixed: Mixed) -> MixLine:
    """Make the view of something that was mixed."""
    mix = mixed.mix
    notes = [say("mixed %(ratio)s", ratio=mix.ratio) if mix.ratio else "", mix.notes or ""]
    return MixLine(
        tuple(map(context.lot_link, mix.lots)),
        context.session_link(mixed.session),
        context.book.sessions[mixed.session].date,
        str(mix.at),
        mix.pot_life,
        _clock(context, mixed.until),
        _within(mixed),
        "; ".join(filter(None, notes)),
    )


def _clock(context: Context, moment: datetime | None) -> str:
    return f"{moment.astimezone(context.book.zone):%H:%M}" if moment else ""


def _within(mixed: Mixed) -> str:
    if mixed.minutes is None:
        return say("not known")
    if mixed.over:
        return say("%(over)s over its pot life", over=show_minutes(mixed.over))
    return say("within its pot life")
