"""Closing: steps finished twice, signed twice, or closed over a squawk that was to be settled."""

from collections.abc import Iterator, Mapping
from datetime import date

from buildbook.records.book import Book
from buildbook.records.checks.future import still_to_come
from buildbook.records.problems import Problem, Severity
from buildbook.records.signoff import SignOff
from buildbook.records.stages import Turn, again_between, turns


def check_signoffs(book: Book, today: date) -> Iterator[Problem]:
    """Yield what is wrong with the way steps are finished, opened again and signed off."""
    days = [(signoff.date, signoff.place.at("date")) for signoff in book.signoffs]
    yield from still_to_come("future-signoff", days, today, "sign off what has been inspected")
    of_step = turns(book)
    for name, some in of_step.items():
        yield from _turns(name, some)
    yield from _worked_on_when_closed(book, of_step)
    yield from _over_squawks(book, of_step)
    yield from _signed(book, of_step)


def _turns(name: str, some: tuple[Turn, ...]) -> Iterator[Problem]:
    before: Turn | None = None
    for turn in some:
        if turn.finished and before and before.finished:
            yield Problem(
                "finished-twice",
                f"step `{name}` was finished on {before.date} already, in {before.work.place.file}",
                turn.work.place.at("finished"),
                advice="take one of the two away; if it was opened again in between, say why with "
                "`reopened:`",
            )
        elif not turn.finished and not (before and before.finished):
            yield Problem(
                "not-finished-before",
                f"step `{name}` is opened again, and no earlier session says that it was finished",
                turn.work.place.at("reopened"),
                Severity.WARNING,
                advice="add `finished: yes` to the session that finished it, or take this away",
            )
        before = turn


def _worked_on_when_closed(
    book: Book, of_step: Mapping[str, tuple[Turn, ...]]
) -> Iterator[Problem]:
    """Warn of work on a step that closes the structure, after it was finished."""
    closing = {name for name in of_step if book.steps[name].closes}
    closed: dict[str, Turn] = {}
    if not closing:
        return
    for slug, session in book.sessions.items():
        for work in session.entries:
            name = work.step or ""
            if name not in closing:
                continue
            if work.reopened:
                closed.pop(name, None)
            if (turn := closed.get(name)) and turn.session != slug and not work.finished:
                yield Problem(
                    "work-after-closing",
                    f"step `{name}` was closed on {turn.date}",
                    work.place.at("step"),
                    Severity.WARNING,
                    advice="say with `reopened:` why it was opened again, or name another step",
                )
            if work.finished:
                closed[name] = next(t for t in of_step[name] if t.finished and t.work is work)


def _over_squawks(book: Book, of_step: Mapping[str, tuple[Turn, ...]]) -> Iterator[Problem]:
    for number, squawk in book.squawks.items():
        some = of_step.get(squawk.before or "", ())
        last = some[-1] if some and some[-1].finished else None
        found = book.found_on(number)
        if last is None or (found and found > last.date):
            continue
        if not squawk.closed or squawk.closed.date > last.date:
            then = f"was closed on {squawk.closed.date}" if squawk.closed else "is not closed"
            yield Problem(
                "closed-over-squawk",
                f"squawk {number} was to be closed before this step, and {then}",
                last.work.place.at("finished"),
                Severity.WARNING,
                advice=f"close the squawk, mend its `before`, or take `finished` away until then "
                f"({squawk.place.file})",
            )


def _signed(book: Book, of_step: Mapping[str, tuple[Turn, ...]]) -> Iterator[Problem]:
    first: dict[tuple[str, str], SignOff] = {}
    for signoff in sorted(book.signoffs, key=lambda s: s.date):
        key = signoff.step, signoff.inspection
        before = first.get(key)
        if before and not again_between(of_step.get(signoff.step, ()), before.date, signoff.date):
            yield Problem(
                "signed-twice",
                f"this inspection of `{signoff.step}` was signed off on {before.date} by "
                f"`{before.by}` already",
                signoff.place.at("inspection"),
                advice="take one of the two away; if the step was opened again in between, say so "
                "in the session with `reopened:`",
            )
        first[key] = signoff
