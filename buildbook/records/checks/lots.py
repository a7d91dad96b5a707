"""Lots: used past their last day, before they were there, or longer than the pot life."""

from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.clock import ClockTime
from buildbook.records.lot import Lot
from buildbook.records.months import first_day, last_day
from buildbook.records.problems import Problem, Severity
from buildbook.records.session import Session
from buildbook.records.uses import LotUse, MixTimes, lot_uses, mix_times


def check_lots(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with lots and with their use; `knowingly` says that a use is meant."""
    unsure = set()
    for name, lot in book.lots.items():
        wrong = [*_to_come(lot, today), *_order(lot)]
        if wrong:
            unsure.add(name)
        yield from wrong
    first_use: dict[str, date] = {}
    for session in book.sessions.values():
        for use in lot_uses(session):
            used = book.lots.get(use.lot)
            first = first_use.setdefault(use.lot, session.date)
            if used and use.lot not in unsure and not use.work.knowingly:
                yield from _use(used, use, session.date, first)
        yield from _mixes(book, session)


def _to_come(lot: Lot, today: date) -> Iterator[Problem]:
    made = first_day(lot.made) if lot.made else None
    days = (("made", made), ("bought", lot.bought), ("opened", lot.opened))
    for name, day in (*days, ("used up", lot.used_up)):
        if day and day > today:
            yield Problem(
                "future-lot",
                f"{day} is still to come",
                lot.place.at(name),
                advice=f"mend the date, or leave `{name}` out until then",
            )


def _order(lot: Lot) -> Iterator[Problem]:
    """Yield which of a lot's dates are in an order that cannot be."""
    mend = "mend one of the two dates"
    if lot.made:
        expires = last_day(lot.expires) if lot.expires else None
        days = (("expires", expires), ("bought", lot.bought), ("opened", lot.opened))
        for name, day in (*days, ("used up", lot.used_up)):
            if day and day < first_day(lot.made):
                said = f"`{name}` is {day}, before it was made, {lot.made}"
                yield Problem("before-made", said, lot.place.at(name), advice=mend)
    elif lot.shelf_life and not lot.expires:
        yield Problem(
            "shelf-life-alone",
            "a shelf life runs from the day of manufacture, and that is not given",
            lot.place.at("shelf life"),
            advice="add `made`, or write `expires`",
        )
    if lot.opened and lot.used_up and lot.used_up < lot.opened:
        said = f"it was used up on {lot.used_up}, before it was opened, {lot.opened}"
        yield Problem("used-up-early", said, lot.place.at("used up"), advice=mend)
    if lot.opened and lot.bought and lot.opened < lot.bought:
        said = f"it was opened on {lot.opened}, before it was bought, {lot.bought}"
        place = lot.place.at("opened")
        yield Problem("opened-before-bought", said, place, Severity.WARNING, advice=mend)
    if lot.expires and lot.shelf_end and last_day(lot.expires) > lot.shelf_end:
        yield Problem(
            "expires-late",
            f"it expires {lot.expires}, and its shelf life of {lot.shelf_life} ends "
            f"on {lot.shelf_end}",
            lot.place.at("expires"),
            Severity.WARNING,
            advice="read the label again; keep only one of the two if the maker extended it",
        )


def _use(lot: Lot, use: LotUse, day: date, first_use: date) -> Iterator[Problem]:
    said = []
    if (last := lot.usable_until(first_use)) and last < day:
        past = (day - last).days
        days = "day" if past == 1 else "days"
        said.append(
            ("lot-expired", f"`{use.lot}` was good until {last}, {past} {days} before this")
        )
    made = first_day(lot.made) if lot.made else None
    for verb, there in (("made", made), ("bought", lot.bought), ("opened", lot.opened)):
        if there and there > day:
            said.append(("lot-not-yet", f"`{use.lot}` was {verb} on {there}, after this"))
            break
    if lot.used_up and lot.used_up < day:
        said.append(("lot-used-up", f"`{use.lot}` was used up on {lot.used_up}, before this"))
    for code, words in said:
        yield Problem(
            code,
            words,
            use.place,
            Severity.ERROR if code == "lot-expired" else Severity.WARNING,
            advice="add `knowingly:` to the work, with the reason or what was done about it"
            if code == "lot-expired"
            else "mend the date, or the name of the lot",
        )


def _mixes(book: Book, session: Session) -> Iterator[Problem]:
    for times in mix_times(session, book.zone):
        field, wrong = times.wrong
        if wrong:
            yield Problem(
                "mixed-outside-work",
                wrong,
                times.mix.place.at(field),
                advice=f"mend `{field}`, or the times of the work",
            )
        elif times.over and not times.work.knowingly:
            yield Problem(
                "pot-life-over",
                _over(book, times),
                times.mix.place.at("pot life"),
                Severity.WARNING,
                advice="write `until` if it was used up earlier; if it was meant, add `knowingly:`",
            )


def _over(book: Book, times: MixTimes) -> str:
    assert times.until is not None
    there = times.until.astimezone(book.zone)
    ended = ClockTime(there.hour, there.minute)
    return (
        f"mixed at {times.mix.at} with {times.mix.pot_life} min to use it, "
        f"and used until {ended}, {times.over} min longer"
    )
