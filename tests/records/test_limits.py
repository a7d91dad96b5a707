"""Limits: on which side of them a value lies, whatever the numbers and the units.

Conversions: 1 in is 25.4 mm exactly (NIST SP 811, B.8). That a difference of 1 degree Celsius is
1.8 degrees Fahrenheit: the same, B.8.5. Near means that the limit lies within the uncertainty, and
what is beyond the limit is outside however small the step: the book's own rule, on the safe side.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from buildbook.records.limits import Bounds, Verdict, half_width, verdict
from buildbook.records.quantities import parse_quantity
from buildbook.records.reading import Limit, Reading
from buildbook.records.tool import Tool

WEIGHT = {Verdict.INSIDE: 0, Verdict.NEAR: 1, Verdict.OUTSIDE: 2}
THOUSANDTHS = st.integers(-5_000, 5_000)


def inches(n: int) -> str:
    """Write thousandths of an inch."""
    return f"{n / 1000:.3f} in"


def bounds(low: int | None, high: int | None) -> Bounds:
    def read(n: int | None) -> Any:
        return None if n is None else parse_quantity(inches(n))

    return Bounds(read(low), read(high), "", "reading")


def judged(value: int, low: int | None, high: int | None, off: int | None = None) -> Verdict:
    uncertainty = None if off is None else parse_quantity(inches(off))
    return verdict(parse_quantity(inches(value)), bounds(low, high), uncertainty)


def by_hand(value: int, low: int | None, high: int | None, off: int | None) -> Verdict:
    """The rule in whole thousandths, without any rounding."""
    room = [
        r
        for r in (None if low is None else value - low, None if high is None else high - value)
        if r is not None
    ]
    if min(room) < 0:
        return Verdict.OUTSIDE
    return Verdict.NEAR if off and min(room) <= off else Verdict.INSIDE


LIMITS = st.tuples(THOUSANDTHS, THOUSANDTHS).map(sorted) | st.one_of(
    st.tuples(THOUSANDTHS, st.none()), st.tuples(st.none(), THOUSANDTHS)
)
OFF = st.none() | st.integers(0, 300)


@given(THOUSANDTHS, LIMITS, OFF)
def test_the_verdict_is_that_of_whole_numbers(value: int, limits: Any, off: int | None) -> None:
    assert judged(value, *limits, off) is by_hand(value, *limits, off)


@given(st.lists(THOUSANDTHS, min_size=2, max_size=8), THOUSANDTHS, OFF)
def test_further_out_is_never_better(values: list[int], limit: int, off: int | None) -> None:
    upwards = [WEIGHT[judged(v, None, limit, off)] for v in sorted(values)]
    downwards = [WEIGHT[judged(v, limit, None, off)] for v in sorted(values)]
    assert upwards == sorted(upwards)
    assert downwards == sorted(downwards, reverse=True)


@given(THOUSANDTHS, LIMITS, OFF, st.integers(0, 300))
def test_a_worse_instrument_never_makes_a_value_better(
    value: int, limits: Any, off: int | None, more: int
) -> None:
    before = WEIGHT[judged(value, *limits, off)]
    after = judged(value, *limits, (off or 0) + more)
    assert WEIGHT[after] >= before
    assert (after is Verdict.OUTSIDE) == (before == WEIGHT[Verdict.OUTSIDE])


def exact_mm(n: int) -> str:
    sign, n = ("-", -n) if n < 0 else ("", n)
    whole = n * 254  # ten-thousandths of a millimetre
    return f"{sign}{whole // 10_000}.{whole % 10_000:04} mm"


@given(THOUSANDTHS, LIMITS, OFF, st.tuples(st.booleans(), st.booleans(), st.booleans()))
def test_other_units_give_the_same_verdict(
    value: int, limits: Any, off: int | None, in_mm: tuple[bool, bool, bool]
) -> None:
    """On the limit too: 3/16 in is 4.7625 mm, and neither more nor less."""

    def read(n: int | None, mm: bool) -> Any:
        return None if n is None else parse_quantity(exact_mm(n) if mm else inches(n))

    written = Bounds(read(limits[0], in_mm[1]), read(limits[1], in_mm[1]), "", "reading")
    said = verdict(read(value, in_mm[0]), written, read(off, in_mm[2]))
    assert said is by_hand(value, *limits, off)


@given(THOUSANDTHS, THOUSANDTHS, st.booleans(), st.booleans())
def test_reversed_limits_are_always_told(a: int, b: int, mm: bool, of_reading: bool) -> None:
    fields: dict[str, Any] = {
        "reading": "gap",
        "min": inches(a),
        "max": exact_mm(b) if mm else inches(b),
    }
    model: Any = Limit
    if of_reading:
        model, fields = Reading, {**fields, "values": inches(0)}
    if a <= b:
        model.model_validate(fields)
        return
    with pytest.raises(ValidationError) as raised:
        model.model_validate(fields)
    assert [e["type"] for e in raised.value.errors()] == ["limits-reversed"]


@given(st.sampled_from(["0.2 deg", "3 in-lb", "2 kg", "1 milliohm", "5 °C", "4 N"]))
def test_limits_of_another_kind_are_always_told(other: str) -> None:
    for fields in ({"min": other}, {"max": other}, {"min": "1 in", "max": other}):
        with pytest.raises(ValidationError) as raised:
            Reading.model_validate({"reading": "gap", "values": "0.1 in", **fields})
        assert [e["type"] for e in raised.value.errors()] == ["limits-differ"]


@given(st.integers(-300, -1))
def test_an_uncertainty_below_zero_is_always_told(off: int) -> None:
    reading = {"reading": "gap", "values": "0.1 in", "uncertainty": inches(off)}
    for model, fields in (
        (Reading, reading),
        (Tool, {"tool": "t", "title": "T", "uncertainty": inches(off)}),
    ):
        with pytest.raises(ValidationError) as raised:
            model.model_validate(fields)
        assert [e["type"] for e in raised.value.errors()] == ["negative-uncertainty"]


@given(st.lists(st.integers(1, 9_999), min_size=1, max_size=12), st.sampled_from(["in", "in-lb"]))
def test_the_unit_may_stand_at_the_last_value(thousandths: list[int], unit: str) -> None:
    numbers = [f"{n / 1000:g}" for n in thousandths]
    every = [f"{n} {unit}" for n in numbers]
    once = f"{', '.join(numbers)} {unit}"
    wanted = Reading.model_validate({"reading": "r", "values": every}).values
    for short in (once, f"[{', '.join(numbers)}] {unit}", [*numbers[:-1], every[-1]]):
        assert Reading.model_validate({"reading": "r", "values": short}).values == wanted


def test_values_in_two_units_keep_each_its_own() -> None:
    values = Reading.model_validate({"reading": "r", "values": "0.25, 0.26 in, 6.5, 7 mm"}).values
    assert [v.written for v in values] == ["0.25 in", "0.26 in", "6.5 mm", "7 mm"]


@pytest.mark.parametrize(
    ("uncertainty", "value", "width"),
    [
        ("1 °C", "68 °F", 1.8),
        ("0.9 °F", "20 °C", 0.5),
        ("4 %", "25 in-lb", 1.0),
        ("4 %", "-25 in-lb", 1.0),
        ("2 %", "55 %", 2.0),  # of a share, points
        ("0.01 in", "10 mm", 0.254),
    ],
)
def test_an_uncertainty_is_a_difference(uncertainty: str, value: str, width: float) -> None:
    got = half_width(parse_quantity(uncertainty), parse_quantity(value))
    assert got == pytest.approx(width, rel=1e-9)


def test_nothing_is_said_without_a_limit() -> None:
    assert verdict(parse_quantity("1 in"), None, parse_quantity("1 in")) is Verdict.NONE
