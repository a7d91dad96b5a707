"""The Ledger: everything computed from a Book, in one place for the pages to read."""

from datetime import date
from functools import cached_property

from buildbook.ledger.air import AirLedger, air
from buildbook.ledger.asbuilt import Assembly, as_built
from buildbook.ledger.balance import BalanceLedger, balance
from buildbook.ledger.evidence import Evidence, evidence
from buildbook.ledger.forecast import Forecast, by_week, forecast
from buildbook.ledger.hours import Hours, hours
from buildbook.ledger.left import left
from buildbook.ledger.lessons import lessons_for_steps
from buildbook.ledger.links import Links, links
from buildbook.ledger.lots import LotLedger, lots
from buildbook.ledger.money import MoneyLedger, money
from buildbook.ledger.notices import NoticeLedger, notices
from buildbook.ledger.pace import PaceLedger, pace
from buildbook.ledger.progress import ProgressLedger, progress
from buildbook.ledger.readings import Readings, readings
from buildbook.ledger.recurring import Due, recurring
from buildbook.ledger.routes import Routes, routes
from buildbook.ledger.squawks import Squawks, squawks
from buildbook.ledger.storage import StorageLedger, storage
from buildbook.ledger.time import Stint, stints
from buildbook.records.book import Book
from buildbook.records.stages import Stage, stages


class Ledger:
    """What a book adds up to. Each answer is computed when it is first asked for."""

    def __init__(self, book: Book) -> None:
        self.book = book

    @cached_property
    def stints(self) -> tuple[Stint, ...]:
        """All pieces of work, in order."""
        return stints(self.book)

    @cached_property
    def stints_of_step(self) -> dict[str, tuple[Stint, ...]]:
        """The pieces of work of every step."""
        of_step: dict[str, list[Stint]] = {name: [] for name in self.book.steps}
        for stint in self.stints:
            if stint.step:
                of_step[stint.step].append(stint)
        return {name: tuple(some) for name, some in of_step.items()}

    @cached_property
    def stints_of_session(self) -> dict[str, tuple[Stint, ...]]:
        """The pieces of work of every session."""
        of_session: dict[str, list[Stint]] = {slug: [] for slug in self.book.sessions}
        for stint in self.stints:
            of_session[stint.session].append(stint)
        return {slug: tuple(some) for slug, some in of_session.items()}

    @cached_property
    def hours(self) -> Hours:
        """Time by section, step, operation, part, person and month."""
        return hours(self.book, self.stints)

    @cached_property
    def progress(self) -> ProgressLedger:
        """How far steps and sections are."""
        return progress(self.book, self.hours)

    @cached_property
    def routes(self) -> Routes:
        """Where every piece is on its part's route."""
        return routes(self.book, self.stints, self.progress)

    @cached_property
    def pace(self) -> PaceLedger:
        """Minutes a piece, and their trend."""
        set_up = {name: op.set_up for name, op in self.book.operations.items() if op.set_up}
        return pace(self.stints, set_up)

    @cached_property
    def forecast(self) -> Forecast:
        """Hours left and when they may be done."""
        remaining = left(self.progress.steps, self.pace, self.routes.remaining)
        return forecast(by_week(self.stints), remaining)

    @cached_property
    def links(self) -> Links:
        """What touches what."""
        return links(self.book)

    @cached_property
    def lessons_of_step(self) -> dict[str, tuple[int, ...]]:
        """Lessons that apply to each step."""
        return lessons_for_steps(self.book)

    @cached_property
    def readings(self) -> Readings:
        """Everything measured, against its limits."""
        return readings(self.book, self.links)

    @cached_property
    def squawks(self) -> Squawks:
        """Problems found: how old, where, how often."""
        return squawks(self.book, self.as_of)

    @cached_property
    def stages(self) -> dict[str, Stage]:
        """When each step was finished, opened again and signed off."""
        return stages(self.book)

    @cached_property
    def air(self) -> AirLedger:
        """The air of sessions, and whether the work allowed it."""
        return air(self.book)

    @cached_property
    def storage(self) -> StorageLedger:
        """Bare parts and their inspections."""
        return storage(self.book, self.stints, self.progress, self.air, self.as_of)

    @cached_property
    def lots(self) -> LotLedger:
        """What was made with which lot."""
        return lots(self.book, self.stints)

    @cached_property
    def notices(self) -> NoticeLedger:
        """Bulletins: open, due, done."""
        return notices(self.book)

    @cached_property
    def money(self) -> MoneyLedger:
        """Costs by section and month."""
        return money(self.book)

    @cached_property
    def evidence(self) -> Evidence:
        """Who did which tasks, and what shows it."""
        return evidence(self.book, self.stints_of_step, self.links)

    @cached_property
    def balance(self) -> BalanceLedger:
        """Weight and balance."""
        return balance(self.book)

    @cached_property
    def recurring(self) -> tuple[Due, ...]:
        """What is to be done again, and when."""
        return recurring(self.book, self.notices)

    @cached_property
    def as_built(self) -> dict[str, Assembly]:
        """Every section as it was built."""
        return as_built(self.book, self.links, self.notices, self.stages, self.lessons_of_step)

    @cached_property
    def as_of(self) -> date | None:
        """Day of the last session: pages tell what is due as of then, so a book makes one site."""
        return max((session.date for session in self.book.sessions.values()), default=None)


def derive(book: Book) -> Ledger:
    """Compute everything that is shown from the records, each part of it when it is needed."""
    return Ledger(book)
