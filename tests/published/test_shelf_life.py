"""Shelf life against what is printed about it, and months against another library.

- 41 CFR 101-27.205: codes A to E and 1 seen; H and M seen in an agency's answers; the others
  from memory. MIL-STD-129R 5.10.1: type I cannot be extended, type II can.
- Months: python-dateutil's relativedelta.
- A month alone runs to its end, and out-time adds up: from memory.
"""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference.answers import RefusedError
from buildbook.reference.shelflife import (
    CODES_BY_LETTER,
    LONGEST,
    add_months,
    out_time_left,
    shelf_life,
)


@pytest.mark.parametrize(
    ("day", "months", "end"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
    ],
)
def test_ends_of_months(day, months, end):
    assert add_months(day, months) == end
    assert shelf_life(str(day), str(months)).facts[0].words == str(end)


@given(st.dates(date(1900, 1, 1), date(2149, 12, 31)), st.integers(1, LONGEST))
def test_another_library_counts_the_same(day, months):
    assert add_months(day, months) == day + relativedelta(months=months)


SEEN = {"A": 1, "B": 2, "C": 3, "D": 4, "E": 5, "H": 12, "M": 24, "1": 3}


def test_codes():
    for letter, months in SEEN.items():
        code = CODES_BY_LETTER[letter]
        assert (code.months, code.source.verified) == (months, True)
        assert code.extendable is letter.isdigit(), "figures are type II"
    for letter, code in CODES_BY_LETTER.items():
        assert code.source.verified is (letter in SEEN)


def test_codes_recalled_are_shown_as_unverified():
    facts = shelf_life("2026-01-31", "K").facts
    assert facts[1].words == "18 months"
    assert "from memory, unverified" in facts[1].source.words


def test_types():
    assert "never" in shelf_life("2026-01-31", "code C").facts[2].words
    assert "may be extended" in shelf_life("2026-01-31", "code 1").facts[2].words
    assert shelf_life("2026-01-31", "1").facts[0].words == "2026-02-28", "one month, not code 1"


def test_a_month_alone_runs_to_its_end():
    fact = shelf_life("2026-01", "13").facts[0]
    assert fact.words == "2027-02-28"
    assert not fact.source.verified
    assert shelf_life("2026-02", "1").facts[0].words == "2026-03-31"


def test_time_out_of_the_cold_adds_up():
    assert out_time_left(600, [120, 120, 60]) == 300
    assert out_time_left(600, [400, 400]) == -200
    with pytest.raises(RefusedError):
        out_time_left(600, [-60])


@pytest.mark.parametrize(
    ("made", "life"),
    [
        ("2026-02-30", "1"),
        ("2026-13", "1"),
        ("31.1.2026", "1"),
        ("2026-01-31", "0"),
        ("2026-01-31", "-1"),
        ("2026-01-31", "601"),
        ("2026-01-31", "I"),
        ("2026-01-31", "code Z"),
        ("2026-01-31", "soon"),
        ("2199-12-01", "12"),
        ("1026-01-31", "12"),
    ],
)
def test_lives_that_are_none(made, life):
    with pytest.raises(RefusedError):
        shelf_life(made, life)
