"""Last days of lots, against dates worked out by the calendar.

2026-01-31 and one month, 2026-08-31 and six, 2028-02-29 and twelve: the same day, or the month's
last. A date that names only a month runs to that month's end (from memory). MIL-STD-129R, 5.10.1:
a shelf life of type I cannot be extended; that is why a life once opened never prolongs one.
"""

from datetime import date

import pytest

from buildbook.records.lot import Lot


def lot(**fields: str) -> Lot:
    named = {name.replace("_", " "): value for name, value in fields.items()}
    return Lot.model_validate({"lot": "a", "title": "A", **named})


@pytest.mark.parametrize(
    ("made", "life", "last"),
    [
        ("2026-01-31", "1 month", date(2026, 2, 28)),
        ("2026-08-31", "6 months", date(2027, 2, 28)),
        ("2028-02-29", "12 months", date(2029, 2, 28)),
        ("2028-02-29", "1 year", date(2029, 2, 28)),
        ("2026-01-31", "30 days", date(2026, 3, 2)),
        ("2024-06", "12 months", date(2025, 6, 30)),
        ("2024-02", "12 months", date(2025, 2, 28)),
        ("2025-02", "36 months", date(2028, 2, 29)),
        ("2024-06", "10 days", date(2024, 7, 10)),
    ],
)
def test_shelf_life(made: str, life: str, last: date) -> None:
    assert lot(made=made, shelf_life=life).expiry == last


def test_a_month_is_meant_to_its_end() -> None:
    assert lot(expires="2024-02").expiry == date(2024, 2, 29)


def test_what_is_stated_comes_before_the_shelf_life() -> None:
    stated = lot(made="2024-01-01", shelf_life="12 months", expires="2024-11-30")
    assert stated.expiry == date(2024, 11, 30)


def test_the_earlier_of_the_two_lives_counts() -> None:
    opened = lot(expires="2025-12-31", opened="2025-08-31", life_once_opened="6 months")
    assert opened.usable_until(None) == date(2025, 12, 31)
    opened = lot(expires="2026-12-31", opened="2025-08-31", life_once_opened="6 months")
    assert opened.usable_until(None) == date(2026, 2, 28)


def test_the_first_use_opens_it_unless_a_day_is_given() -> None:
    sealed = lot(life_once_opened="1 month")
    assert sealed.usable_until(None) is None
    assert sealed.usable_until(date(2026, 1, 31)) == date(2026, 2, 28)
    opened = lot(life_once_opened="1 month", opened="2026-01-01")
    assert opened.usable_until(date(2026, 1, 31)) == date(2026, 2, 1)
