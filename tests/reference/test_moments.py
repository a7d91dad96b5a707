"""Moments, centres of gravity and limits: what must hold whatever the figures."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference.balance import Corner, Envelope, Mass, at, total

weights = st.fractions(min_value=Fraction(1, 10), max_value=10_000, max_denominator=1000)
arms = st.fractions(min_value=-10_000, max_value=10_000, max_denominator=1000)
loads = st.lists(st.tuples(weights, arms), min_size=1, max_size=8)


@given(loads, arms)
def test_moving_the_datum_moves_the_centre_of_gravity_by_the_same(loads, by) -> None:
    before = total(at(w, a) for w, a in loads).arm
    after = total(at(w, a - by) for w, a in loads).arm
    assert before is not None
    assert after == before - by


@given(loads, weights)
def test_what_is_added_at_the_centre_of_gravity_leaves_it(loads, more) -> None:
    loaded = total(at(w, a) for w, a in loads)
    assert loaded.arm is not None
    assert (loaded + at(more, loaded.arm)).arm == loaded.arm


@given(loads, weights, arms)
def test_what_is_put_in_and_taken_out_again_changes_nothing(loads, weight, arm) -> None:
    loaded = total(at(w, a) for w, a in loads)
    assert loaded + at(weight, arm) + -at(weight, arm) == loaded


@given(loads)
def test_the_centre_of_gravity_is_between_the_foremost_and_the_rearmost(loads) -> None:
    arm = total(at(w, a) for w, a in loads).arm
    assert arm is not None
    assert min(a for _, a in loads) <= arm <= max(a for _, a in loads)


def test_nothing_has_no_centre_of_gravity() -> None:
    assert total(()).arm is None
    assert Mass(Fraction(0), Fraction(5)).arm is None


def envelope(*corners: tuple[int, int]) -> Envelope:
    return Envelope(tuple(Corner(Fraction(w), Fraction(a)) for w, a in corners))


def point(weight: float, arm: float) -> Corner:
    return Corner(Fraction(weight), Fraction(arm))


CUT = envelope((380, 60), (520, 60), (600, 64), (600, 70), (380, 70))
NOTCHED = envelope((0, 0), (10, 0), (10, 2), (5, 5), (10, 8), (10, 10), (0, 10))
"""A bite is taken out of the heavy side, between arms 2 and 8."""


@pytest.mark.parametrize(
    ("weight", "arm", "inside"),
    [
        (500, 65, True),
        (380, 60, True),  # a corner
        (600, 67, True),  # on a side
        (560, 62, True),  # on the slanting side
        (560, 61.9, False),
        (600.5, 67, False),
        (379.5, 65, False),
        (500, 59.9, False),
        (500, 70.1, False),
    ],
)
def test_inside_and_outside(weight: float, arm: float, inside: bool) -> None:
    assert CUT.holds(point(weight, arm)) is inside


@given(
    st.fractions(min_value=300, max_value=700, max_denominator=50),
    st.fractions(min_value=55, max_value=75, max_denominator=50),
)
def test_limits_without_a_bite_hold_what_is_between_their_ends(weight, arm) -> None:
    ends = CUT.at(weight)
    between = ends is not None and ends[0] <= arm <= ends[1]
    assert CUT.holds(Corner(weight, arm)) is between


def test_a_bite_is_outside() -> None:
    assert NOTCHED.fault() == ""
    assert NOTCHED.at(Fraction(9)) == (0, 10)
    assert not NOTCHED.holds(point(9, 5))
    assert NOTCHED.holds(point(9, 1))
    assert NOTCHED.holds(point(9, 9))
    assert NOTCHED.holds(point(4, 5))


@given(st.permutations(range(5)))
def test_corners_in_any_other_order_than_round_are_told(order) -> None:
    corners = CUT.corners
    shuffled = Envelope(tuple(corners[i] for i in order))
    steps = {(b - a) % 5 for a, b in zip(order, [*order[1:], order[0]], strict=True)}
    assert bool(shuffled.fault()) is (steps not in ({1}, {4}))


@pytest.mark.parametrize("corners", [(), ((1, 1),), ((1, 1), (2, 2)), ((1, 1), (2, 2), (1, 1))])
def test_less_than_three_corners_are_no_limits(corners) -> None:
    assert "three" in envelope(*corners).fault()


def test_a_line_is_no_area() -> None:
    assert envelope((100, 10), (200, 20), (300, 30)).fault()


def test_limits_without_end_are_refused_at_once() -> None:
    assert "more than 100" in envelope(*((i, i * i) for i in range(20_000))).fault()
