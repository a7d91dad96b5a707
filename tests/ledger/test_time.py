"""Time: minutes shared out, worked out by hand on small books."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_book import small_book

from buildbook.ledger.hours import NOT_SAID, hours
from buildbook.ledger.time import share, stints

TOTALS = st.integers(0, 100_000)
WEIGHTS = st.lists(st.integers(0, 5_000), min_size=1, max_size=40)


@given(TOTALS, WEIGHTS)
def test_shares_add_up(total: int, weights: list[int]) -> None:
    shares = share(total, weights)
    assert len(shares) == len(weights)
    assert sum(shares) == total
    assert min(shares) >= 0


@given(TOTALS, WEIGHTS.filter(any))
def test_shares_are_within_one_of_their_proportion(total: int, weights: list[int]) -> None:
    whole = sum(weights)
    for got, weight in zip(share(total, weights), weights, strict=True):
        assert abs(got * whole - total * weight) < whole


@given(TOTALS, WEIGHTS)
def test_more_weight_gives_no_less(total: int, weights: list[int]) -> None:
    shares = share(total, weights)
    by_weight = sorted(zip(weights, shares, strict=True))
    if any(weights):
        for (light, less), (heavy, more) in pairwise(by_weight):
            assert light == heavy or less <= more


@given(TOTALS, st.integers(1, 40))
def test_no_weight_at_all_is_the_same_for_all(total: int, count: int) -> None:
    assert share(total, [0] * count) == share(total, [1] * count)


# Largest remainders, by hand: 100 over 1:1:1 leaves one over, which goes to the first; of 10 over
# 6:3:2 the parts are 5.45, 2.73 and 1.82, so that the two left over go to the last two.
@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        (100, [1, 1, 1], [34, 33, 33]),
        (10, [6, 3, 2], [5, 3, 2]),
        (7, [0, 1], [0, 7]),
        (0, [3, 4], [0, 0]),
        (5, [], []),
        (1, [1, 1, 1, 1], [1, 0, 0, 0]),
    ],
)
def test_shares_by_hand(total: int, weights: list[int], shares: list[int]) -> None:
    assert share(total, weights) == shares


STEPS = {"fin/skeleton": 480, "fin/close": None, "rudder/skins": 120}
PARTS = {"FN-01": 1, "FN-02": 6, "FN-03": 3}


def test_two_people() -> None:
    """Two people for two hours and a half: one clock, two persons."""
    book = small_book(
        STEPS,
        [
            {"date": "2025-03-08", "step": "fin/skeleton", "hours": "2h30", "who": "ada, ben"},
            {"date": "2025-03-09", "step": "fin/close", "hours": "1h"},
        ],
    )
    totals = hours(book, stints(book))
    assert (totals.clock, totals.person) == (210, 360)
    assert totals.by_session == {"2025-03-08": (150, 300), "2025-03-09": (60, 60)}
    people = {r.key: r.clock for r in totals.by_person.rows}
    assert people == {
        "ada": 150,
        "ben": 150,
        "someone": 60,
    }
    assert totals.by_person.person == totals.person
    assert [(r.key, r.clock, r.person, r.sessions) for r in totals.by_section.rows] == [
        ("fin", 210, 360, 2)
    ]


def test_work_without_its_own_time_shares_what_is_left() -> None:
    """Three hours, one of the pieces of work took 45 minutes: 135 are left for the other two."""
    work = [
        {"step": "fin/skeleton", "hours": "45 min"},
        {"step": "fin/skeleton", "operation": "drill"},
        {"step": "rudder/skins"},
    ]
    book = small_book(STEPS, [{"date": "2025-03-08", "hours": "3h", "work": work}])
    assert [s.minutes for s in stints(book)] == [45, 68, 67]
    totals = hours(book, stints(book))
    assert totals.clock == 180
    assert {r.key: r.clock for r in totals.by_step.rows} == {
        "fin/skeleton": 113,
        "rudder/skins": 67,
    }
    assert {r.key: r.clock for r in totals.by_operation.rows} == {"drill": 68, NOT_SAID: 112}


def test_work_that_takes_more_than_the_session_leaves_nothing() -> None:
    work = [{"step": "fin/skeleton", "hours": "2h"}, {"step": "rudder/skins"}]
    book = small_book(STEPS, [{"date": "2025-03-08", "hours": "1h", "work": work}])
    assert [s.minutes for s in stints(book)] == [120, 0]


def test_parts_share_by_their_pieces() -> None:
    """90 minutes on 1, 3 and 6 pieces: 9, 27 and 54."""
    book = small_book(
        STEPS,
        [
            {
                "date": "2025-03-08",
                "step": "fin/skeleton",
                "operation": "deburr",
                "hours": "90 min",
                "who": "ada, ben",
                "pieces": {"FN-01": "all", "FN-02": "01 to 03", "FN-03": "all"},
            }
        ],
        {"FN-01": 1, "FN-02": 6, "FN-03": 6},
    )
    (stint,) = stints(book)
    assert dict(zip(stint.parts, stint.part_minutes, strict=True)) == {
        "FN-01": 9,
        "FN-02": 27,
        "FN-03": 54,
    }
    totals = hours(book, (stint,))
    people = {r.key: r.person for r in totals.by_part.rows}
    assert people == {
        "FN-01": 18,
        "FN-02": 54,
        "FN-03": 108,
    }
    assert totals.by_part.person == totals.person == 180


def test_parts_share_equally_where_pieces_are_not_said() -> None:
    book = small_book(
        STEPS,
        [
            {
                "date": "2025-03-08",
                "step": "fin/skeleton",
                "hours": "100 min",
                "parts": "FN-02, FN-03",
            },
            {"date": "2025-03-09", "step": "fin/skeleton", "hours": "1h"},
        ],
        PARTS,
    )
    assert stints(book)[0].part_minutes == (50, 50)
    rows = hours(book, stints(book)).by_part.rows
    assert {r.key: r.clock for r in rows} == {"FN-02": 50, "FN-03": 50, NOT_SAID: 60}
    assert rows[-1].key == NOT_SAID


def test_across_midnight() -> None:
    """From 21:30 to 00:15 with 15 minutes off is two hours and a half, and of the first day."""
    book = small_book(
        STEPS,
        [
            {
                "date": "2025-03-31",
                "step": "fin/skeleton",
                "from": "21:30",
                "to": "00:15",
                "break": "15 min",
            }
        ],
    )
    totals = hours(book, stints(book))
    assert totals.clock == 150
    assert [(r.key, r.clock) for r in totals.by_month.rows] == [("2025-03", 150)]


def test_the_night_the_clocks_change() -> None:
    """In Copenhagen 02:00 became 03:00 on 30 March 2025, and 03:00 became 02:00 on 26 October.

    Source: IANA time zone database, Europe/Copenhagen (EU rules: last Sundays, 01:00 UTC).
    """
    night = {"step": "fin/skeleton", "from": "23:00", "to": "04:00"}
    book = small_book(STEPS, [{"date": day, **night} for day in ("2025-03-29", "2025-10-25")])
    assert [s.minutes for s in stints(book)] == [4 * 60, 6 * 60]


def test_a_session_without_any_time_takes_none() -> None:
    book = small_book(STEPS, [{"date": "2025-03-08", "step": "fin/skeleton"}])
    totals = hours(book, stints(book))
    assert (totals.clock, totals.person) == (0, 0)
    assert totals.by_step.row("fin/skeleton").sessions == 1


@given(
    st.lists(
        st.tuples(
            st.sampled_from(sorted(STEPS)),
            st.integers(1, 600),
            st.lists(st.sampled_from(["ada", "ben", "cy"]), min_size=1, max_size=3, unique=True),
            st.lists(st.sampled_from(sorted(PARTS)), max_size=3, unique=True),
        ),
        min_size=1,
        max_size=20,
    )
)
def test_however_it_is_cut_it_is_the_same_time(
    rows: list[tuple[str, int, list[str], list[str]]],
) -> None:
    book = small_book(
        STEPS,
        [
            {
                "date": f"2025-{n % 12 + 1:02}-{n % 28 + 1:02}",
                "title": f"Number {n}",
                "step": step,
                "hours": f"{minutes} min",
                "who": who,
                "parts": parts,
            }
            for n, (step, minutes, who, parts) in enumerate(rows)
        ],
        PARTS,
    )
    totals = hours(book, stints(book))
    clock = sum(minutes for _, minutes, _, _ in rows)
    person = sum(minutes * len(who) for _, minutes, who, _ in rows)
    for table in (
        totals.by_section,
        totals.by_step,
        totals.by_operation,
        totals.by_part,
        totals.by_month,
    ):
        assert (table.clock, table.person) == (clock, person)
    assert totals.by_person.person == person
    assert sum(c for c, _ in totals.by_session.values()) == clock
