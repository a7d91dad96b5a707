"""How far the build is: steps ahead, begun and finished, estimates against what was spent."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from buildbook.ledger.hours import Hours
from buildbook.records.book import Book


class StepState(StrEnum):
    """Where a step stands."""

    AHEAD = "ahead"
    BEGUN = "begun"
    FINISHED = "finished"


@dataclass(frozen=True, slots=True)
class StepProgress:
    """One step's state and hours."""

    step: str
    state: StepState
    finished: date | None
    estimate: int | None
    """Minutes planned."""
    clock: int
    """Minutes spent, by the clock."""


@dataclass(frozen=True, slots=True)
class Progress:
    """A section's progress, or the book's."""

    key: str
    steps: int
    begun: int
    finished: int
    estimate: int
    """Minutes planned in all steps that have an estimate."""
    estimate_finished: int
    """Minutes that were planned for the steps now finished."""
    clock: int
    """Minutes spent, by the clock."""

    @property
    def share(self) -> float:
        """Finished share, 0 to 1: planned hours of finished steps over all planned hours.

        Hours spent say nothing about how far one is, so they do not count here. Without
        estimates every step counts the same.
        """
        if self.estimate:
            return self.estimate_finished / self.estimate
        return self.finished / self.steps if self.steps else 0.0


@dataclass(frozen=True, slots=True)
class ProgressLedger:
    """Progress of every step and section, and of the whole."""

    steps: dict[str, StepProgress]
    sections: dict[str, Progress]
    whole: Progress


def progress(book: Book, hours: Hours) -> ProgressLedger:
    """Tell how far each step and section is."""
    steps = step_progress(book, {name: row.clock for name, row in hours.of_step.items()})
    by_section: dict[str, list[StepProgress]] = {name: [] for name in book.sections}
    for name, one in steps.items():
        by_section[name.partition("/")[0]].append(one)
    sections = {name: _sum(name, rows) for name, rows in by_section.items()}
    return ProgressLedger(steps, sections, _sum("", list(steps.values())))


def step_progress(book: Book, spent: Mapping[str, int]) -> dict[str, StepProgress]:
    """Tell where every step stands; `spent` gives the clock minutes of those worked on."""
    finished: dict[str, date] = {}
    for session in book.sessions.values():
        for work in session.entries:
            if work.reopened and work.step:
                finished.pop(work.step, None)
            if work.finished and work.step:
                finished[work.step] = session.date
    steps = {}
    for name, step in book.steps.items():
        state = StepState.BEGUN if name in spent else StepState.AHEAD
        if name in finished:
            state = StepState.FINISHED
        steps[name] = StepProgress(
            name, state, finished.get(name), step.estimate, spent.get(name, 0)
        )
    return steps


def _sum(key: str, steps: list[StepProgress]) -> Progress:
    done = [s for s in steps if s.state is StepState.FINISHED]
    return Progress(
        key=key,
        steps=len(steps),
        begun=sum(s.state is StepState.BEGUN for s in steps),
        finished=len(done),
        estimate=sum(s.estimate or 0 for s in steps),
        estimate_finished=sum(s.estimate or 0 for s in done),
        clock=sum(s.clock for s in steps),
    )
