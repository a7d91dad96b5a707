"""Progress, worked out by hand."""

from datetime import date

from small_book import small_book

from buildbook.ledger.hours import hours
from buildbook.ledger.progress import ProgressLedger, StepState, progress
from buildbook.ledger.time import stints
from buildbook.records.book import Book

STEPS = {"fin/inventory": 120, "fin/skeleton": 480, "fin/close": 600, "rudder/skins": None}


def of(book: Book) -> ProgressLedger:
    return progress(book, hours(book, stints(book)))


def test_ahead_begun_finished() -> None:
    book = small_book(
        STEPS,
        [
            {"date": "2025-03-01", "step": "fin/inventory", "hours": "3h", "finished": "yes"},
            {"date": "2025-03-08", "step": "fin/skeleton", "hours": "2h"},
        ],
    )
    ledger = of(book)
    assert {n: s.state for n, s in ledger.steps.items()} == {
        "fin/inventory": StepState.FINISHED,
        "fin/skeleton": StepState.BEGUN,
        "fin/close": StepState.AHEAD,
        "rudder/skins": StepState.AHEAD,
    }
    assert ledger.steps["fin/inventory"].finished == date(2025, 3, 1)
    fin = ledger.sections["fin"]
    assert (fin.steps, fin.begun, fin.finished) == (3, 1, 1)
    assert (fin.estimate, fin.estimate_finished, fin.clock) == (1200, 120, 300)
    assert fin.share == 0.1  # 120 of 1200 planned minutes, whatever they took
    assert ledger.whole.steps == 4


def test_the_last_word_on_a_step_counts() -> None:
    """A step that is worked on after it was called finished is finished at the later date."""
    book = small_book(
        STEPS,
        [
            {"date": "2025-03-01", "step": "fin/skeleton", "hours": "3h", "finished": "yes"},
            {"date": "2025-04-01", "step": "fin/skeleton", "hours": "1h", "finished": "yes"},
        ],
    )
    assert of(book).steps["fin/skeleton"].finished == date(2025, 4, 1)


def test_without_estimates_every_step_counts_the_same() -> None:
    book = small_book(
        dict.fromkeys(("fin/a", "fin/b", "fin/c", "fin/d")),
        [{"date": "2025-03-01", "step": "fin/b", "hours": "3h", "finished": "yes"}],
    )
    assert of(book).sections["fin"].share == 0.25


def test_nothing_planned_is_nothing_done() -> None:
    whole = of(small_book()).whole
    assert (whole.steps, whole.share) == (0, 0)


def test_steps_of_one_session() -> None:
    work = [
        {"step": "fin/inventory", "hours": "1h", "finished": "yes"},
        {"step": "fin/skeleton", "hours": "1h"},
    ]
    ledger = of(small_book(STEPS, [{"date": "2025-03-01", "work": work}]))
    assert ledger.steps["fin/inventory"].state is StepState.FINISHED
    assert ledger.steps["fin/skeleton"].state is StepState.BEGUN
    assert ledger.steps["fin/skeleton"].clock == 60
