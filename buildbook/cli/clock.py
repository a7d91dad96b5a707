"""`buildbook clock`: time kept while the work goes on, and the session written when it ends."""

import sys
from collections.abc import Collection
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from textwrap import wrap
from zoneinfo import ZoneInfo

import click

from buildbook.cli.asking import Question, ask, at_terminal
from buildbook.cli.book import content_option, read_book
from buildbook.cli.dialogue import Kept
from buildbook.cli.errors import CannotRunError
from buildbook.cli.names import names
from buildbook.cli.saving import keep, make_draft, save_draft, show
from buildbook.cli.words import there_is_no
from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.durations import show_minutes
from buildbook.records.read import Reading
from buildbook.reference.hazards import FIRST, hazards_of
from buildbook.writing.draft import private_folder, prose
from buildbook.writing.timecard import (
    ClockError,
    TimeCard,
    TimeCards,
    digest,
    is_forgotten,
    last_moment,
    moment,
    session_fields,
    was_saved,
)
from buildbook.writing.yamltext import CannotWriteError, Plain

_who = click.option(
    "--who",
    metavar="PEOPLE",
    shell_complete=names("people"),
    help="Who is at work, with commas between several; the builder when left out.",
)
_at = click.option("--at", metavar="TIME", help="At what time, as `19:30`; now when left out.")


class _Clock(click.Group):
    """A group whose commands say in a sentence what a clock cannot do."""

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except ClockError as error:
            raise CannotRunError(str(error)) from None


@click.group(cls=_Clock)
def clock() -> None:
    """Keep the time while you work, and write the session.

    Clocks that run are kept in `.buildbook/clock.json` beside the records. Two people may have a
    clock each.
    """


@clock.command("in")
@click.argument("step", required=False, shell_complete=names("steps"))
@click.option(
    "--operation", metavar="OPERATION", shell_complete=names("operations"), help="Kind of work."
)
@_who
@_at
@content_option
def clock_in(
    step: str | None, operation: str | None, who: str | None, at: str | None, content: Path
) -> None:
    """Begin work on STEP (as fin/skeleton). Without STEP, go on after a pause."""
    book = read_book(content).book
    if step is None:
        _resume(book, who, at)
        return
    _must_be_known(step, book.steps, "step")
    if operation is not None:
        _must_be_known(operation, book.operations, "operation")
    people = _people(book, who)
    now = _now()
    card = TimeCard(people, step, last_moment(at, book.zone, now) if at else now, operation)
    with _cards(book).changing() as cards:
        _settle(cards, book)
        for other in cards:
            if both := [p for p in people if p in other.who]:
                raise CannotRunError(
                    f"{_names(tuple(both))} already at work on {other.step}, since "
                    f"{_shown(other.began, book.zone)}; `buildbook clock out` ends that first"
                )
        cards.append(card)
    click.echo(f"{_names(people)} at work on {step} since {_shown(card.began, book.zone)}")
    said = cautions(book, step, operation)
    for caution in [*said, FIRST] if said else []:
        plain = printable(caution)
        click.echo("\n".join(wrap(plain, 80, initial_indent="  ", subsequent_indent="    ")))


def cautions(book: Book, step: str, operation: str | None) -> list[str]:
    """List what to watch out for in a step: its own cautions, those of the operation, its hazards.

    Without an operation those of all its operations are listed.
    """
    names = (operation,) if operation else book.operations_of(book.steps[step])
    operations = [book.operations[name] for name in names if name in book.operations]
    found = list(book.steps[step].cautions)
    found += [f"{o.title}: {caution}" for o in operations for caution in o.cautions]
    hazards = hazards_of(hazard for o in operations for hazard in o.hazards)
    found += [f"{hazard.title}: {' '.join(hazard.sentences)}" for hazard in hazards]
    return list(dict.fromkeys(found))


@clock.command()
@_who
@_at
@content_option
def pause(who: str | None, at: str | None, content: Path) -> None:
    """Stop the clock for a while."""
    book = read_book(content).book
    with _cards(book).changing() as cards:
        _settle(cards, book)
        i = _chosen(cards, book, who)
        when = _moment(at, book, cards[i])
        cards[i] = cards[i].pause(when)
    worked = show_minutes(int(cards[i].worked(when).total_seconds()) // 60)
    click.echo(f"paused at {_shown(when, book.zone)}, after {worked} of work")


@clock.command()
@_who
@_at
@content_option
def resume(who: str | None, at: str | None, content: Path) -> None:
    """Go on after a pause."""
    _resume(read_book(content).book, who, at)


def _resume(book: Book, who: str | None, at: str | None) -> None:
    with _cards(book).changing() as cards:
        _settle(cards, book)
        if not cards:
            raise CannotRunError("no clock runs; say on what: `buildbook clock in fin/skeleton`")
        i = _chosen(cards, book, who)
        when = _moment(at, book, cards[i])
        begun = cards[i].paused_at
        if begun and begun.astimezone(book.zone).date() != when.astimezone(book.zone).date():
            raise CannotRunError(
                f"the clock is paused since {_shown(begun, book.zone)}, another day: "
                "`buildbook clock out` writes that session, ended then; after it, clock in anew"
            )
        cards[i] = cards[i].resume(when)
    click.echo(f"at work again since {_shown(when, book.zone)}")


@clock.command()
@click.option("--notes", metavar="TEXT", help="What was done.")
@click.option("--parts", metavar="PARTS", shell_complete=names("parts"), help="Parts worked on.")
@click.option("--pieces", metavar="PIECES", help="Pieces finished: `all`, `01 to 04`.")
@click.option("--finished", is_flag=True, help="This finished the step.")
@_who
@click.option("--at", metavar="TIME", help="When work ended, as `21:40`; now when left out.")
@content_option
def out(
    notes: str | None,
    parts: str | None,
    pieces: str | None,
    finished: bool,
    who: str | None,
    at: str | None,
    content: Path,
) -> None:
    """End the work, and write its session.

    A clock that is paused ended when the pause began. One that ran past midnight, or longer than
    ten hours, asks when work ended.

    Exit status: 0 when the session is saved, 1 when it is kept as a draft, 2 when it cannot run.
    """
    reading = read_book(content)
    book = reading.book
    with _cards(book).changing() as cards:
        _settle(cards, book)
        card = cards[_chosen(cards, book, who)]
    ended = _end(card, book, at)
    fields = session_fields(card, ended, book.zone, book.file.builder)
    given = {"parts": parts, "pieces": pieces, "finished": "yes" if finished else None}
    fields |= {name: text for name, text in given.items() if text}
    kept = Kept.beside(book.folder, "clock.json")
    if text := _notes(notes, kept):
        fields["notes"] = text
    saved = _save(reading, fields, card)
    if saved:
        kept.forget()
    sys.exit(0 if saved else 1)


def _save(reading: Reading, fields: dict[str, Plain], card: TimeCard) -> bool:
    """Save the session and take the clock away, so that a crash in between doubles nothing."""
    content = reading.book.folder
    trial = make_draft(reading, fields)
    show(trial, content)
    if trial.errors:
        click.echo("something in it must be mended first; the clock goes on")
        keep(trial, content)
        return False
    sheet = _cards(reading.book)
    with sheet.changing() as cards:
        if card not in cards:
            raise CannotRunError(
                "the clock was changed meanwhile; look with `buildbook clock status`"
            )
        i = cards.index(card)
        cards[i] = replace(card, saved_as=trial.file, digest=digest(trial.raw))
        sheet.store_now(cards)
        save_draft(trial, content)
        del cards[i]
    return True


@clock.command()
@content_option
def status(content: Path) -> None:
    """Show the clocks that run."""
    book = read_book(content).book
    with _cards(book).changing() as cards:
        _settle(cards, book)
    now = _now()
    for card in cards:
        worked = show_minutes(int(card.worked(card.paused_at or now).total_seconds()) // 60)
        state = f"paused since {_shown(card.paused_at, book.zone)}" if card.paused_at else "running"
        doing = f" ({card.operation})" if card.operation else ""
        since = _shown(card.began, book.zone)
        click.echo(f"{_names(card.who)}: {card.step}{doing} since {since}, {worked}, {state}")
        if is_forgotten(card, now, book.zone):
            click.echo("  was it forgotten? `buildbook clock out --at 21:40` says when work ended")
    if not cards:
        click.echo("no clock runs")


@clock.command()
@_who
@content_option
def drop(who: str | None, content: Path) -> None:
    """Forget a clock without writing a session."""
    book = read_book(content).book
    with _cards(book).changing() as cards:
        _settle(cards, book)
        card = cards.pop(_chosen(cards, book, who))
    since = _shown(card.began, book.zone)
    click.echo(f"forgotten: {_names(card.who)} on {card.step} since {since}")


def _cards(book: Book) -> TimeCards:
    return TimeCards(private_folder(book.folder))


def _now() -> datetime:
    return datetime.now(UTC)


def _settle(cards: list[TimeCard], book: Book) -> None:
    """Take away clocks whose session was written just before the program was stopped."""
    for card in [c for c in cards if was_saved(c, book.folder)]:
        cards.remove(card)
        click.echo(f"the session of {_names(card.who)} was saved as {card.saved_as} already")


def _must_be_known(name: str, known: Collection[str], noun: str) -> None:
    if name not in known:
        several = {"person": "people"}.get(noun, f"{noun}s")
        raise CannotRunError(there_is_no(noun, name, known, several))


def _people(book: Book, who: str | None) -> tuple[str, ...]:
    if who is None:
        return (book.file.builder,)
    people = tuple(dict.fromkeys(p.strip() for p in who.replace("&", ",").split(",") if p.strip()))
    for person in people:
        _must_be_known(person, book.people, "person")
    if not people:
        raise CannotRunError("`--who` names nobody")
    return people


def _chosen(cards: list[TimeCard], book: Book, who: str | None) -> int:
    """Find the clock that is meant. Which one is never guessed."""
    if not cards:
        raise CannotRunError("no clock runs; `buildbook clock in fin/skeleton` starts one")
    if who is None:
        if len(cards) == 1:
            return 0
        running = "; ".join(f"{_names(c.who)} on {c.step}" for c in cards)
        raise CannotRunError(f"several clocks run: {running}; say whose with --who")
    people = _people(book, who)
    found = [i for i, card in enumerate(cards) if set(people) <= set(card.who)]
    if not found:
        raise CannotRunError(f"no clock runs for {_names(people)}")
    return found[0]


def _moment(at: str | None, book: Book, card: TimeCard) -> datetime:
    now = _now()
    if not at:
        return now
    after = max((card.began, *(m for p in card.pauses for m in (p.begin, p.end) if m)))
    return moment(at, book.zone, after=after, now=now)


def _end(card: TimeCard, book: Book, at: str | None) -> datetime:
    """Tell when work ended; ask, or refuse with words, when the clock was forgotten."""
    now = _now()
    if at and card.paused_at:
        raise CannotRunError(
            f"the clock is paused since {_shown(card.paused_at, book.zone)}, and ends then; "
            "resume it first if work went on: `buildbook clock resume --at ...`"
        )
    if at or not is_forgotten(card, now, book.zone):
        return card.end(_moment(at, book, card))
    since = _shown(card.began, book.zone)
    said = f"the clock of {_names(card.who)} runs since {since} and was perhaps forgotten"
    if not at_terminal():
        raise CannotRunError(f"{said}; say when work ended: `buildbook clock out --at 21:40`")
    click.echo(said)
    question = Question(
        "end", "When did work end (as 21:40, or now):", partial(_wrong_end, card, book)
    )
    answer = ask(question)
    return card.end(_moment("" if answer.casefold() == "now" else answer, book, card))


def _wrong_end(card: TimeCard, book: Book, answer: str) -> str:
    if not answer:
        return "write a time, as 21:40, or now"
    try:
        card.end(_moment("" if answer.casefold() == "now" else answer, book, card))
    except ClockError as error:
        return str(error)
    return ""


def _notes(notes: str | None, kept: Kept) -> str:
    if notes is None and at_terminal():
        question = Question("notes", "What was done (an empty line ends it):\n", long=True)
        typed = partial(kept.put, "notes", durable=False)
        notes = ask(question, kept.answers.get("notes", ""), typed)
        kept.put("notes", notes)
    try:
        return prose(notes or "")
    except CannotWriteError as error:
        raise CannotRunError(str(error)) from None


def _names(people: tuple[str, ...]) -> str:
    return " and ".join(people)


def _shown(when: datetime, zone: ZoneInfo) -> str:
    local = when.astimezone(zone)
    other_day = local.date() != _now().astimezone(zone).date()
    return f"{local:%Y-%m-%d %H:%M}" if other_day else f"{local:%H:%M}"
