"""Stages: when each step was finished, opened again and finished again, and what was signed."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from buildbook.records.book import Book
from buildbook.records.session import Work
from buildbook.records.signoff import SignOff


@dataclass(frozen=True, slots=True)
class Turn:
    """A step finished, or opened again."""

    finished: bool
    """Or else opened again."""
    date: date
    session: str
    work: Work
    who: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """A step's turns in order, and its sign-offs."""

    turns: tuple[Turn, ...]
    signed: tuple[SignOff, ...]
    """Those that count: dated on the day the step was last opened again, or later."""
    lapsed: tuple[SignOff, ...]
    """Those from before it was opened again."""

    @property
    def finished(self) -> Turn | None:
        """The turn that finished it, where it has not been opened again since."""
        return self.turns[-1] if self.turns and self.turns[-1].finished else None

    @property
    def reopened(self) -> Turn | None:
        """The last time it was opened again."""
        return next((t for t in reversed(self.turns) if not t.finished), None)


def turns(book: Book) -> dict[str, tuple[Turn, ...]]:
    """List the turns of every step that has any, in the order of the sessions."""
    found: dict[str, list[Turn]] = defaultdict(list)
    for slug, session in book.sessions.items():
        for work in session.entries:
            if work.step in book.steps and (work.finished or work.reopened):
                who = book.who(session, work)
                if work.reopened:
                    found[work.step].append(Turn(False, session.date, slug, work, who))
                if work.finished:
                    found[work.step].append(Turn(True, session.date, slug, work, who))
    return {step: tuple(some) for step, some in found.items()}


def stages(book: Book) -> dict[str, Stage]:
    """Tell the stage of every step."""
    of_step = turns(book)
    signed: dict[str, list[SignOff]] = {name: [] for name in book.steps}
    for signoff in book.signoffs:
        if signoff.step in signed:
            signed[signoff.step].append(signoff)
    found = {}
    for name, all_signed in signed.items():
        stage = Stage(of_step.get(name, ()), (), ())
        last = stage.reopened.date if stage.reopened else date.min
        found[name] = Stage(
            stage.turns,
            tuple(s for s in all_signed if s.date >= last),
            tuple(s for s in all_signed if s.date < last),
        )
    return found


def again_between(some: Iterable[Turn], earlier: date, later: date) -> bool:
    """Tell whether a step was opened again after one day and by another."""
    return any(not t.finished and earlier < t.date <= later for t in some)
