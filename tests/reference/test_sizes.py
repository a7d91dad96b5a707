"""What a builder types: units, decimal commas, fractions."""

import pytest

from buildbook.reference.answers import (
    RefusedError,
    Units,
    celsius,
    inch_pounds,
    inches,
    show_range,
)
from buildbook.reference.sizes import find_row, length, measured, sizes


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("0,032 in", 0.032),
        (",032", 0.032),
        ("0,32", 0.32),
        ("1,5 in", 1.5),
        ("1/8", 0.125),
        ("1 1/8 in", 1.125),
        (".125", 0.125),
        ("3.175 mm", 0.125),
        ("32 mil", 0.032),
        ('1/4"', 0.25),
        ("  .032   in ", 0.032),
    ],
)
def test_lengths(typed, value):
    assert length(typed, "a length").to("inch") == pytest.approx(value)


@pytest.mark.parametrize(
    ("typed", "said", "advice"),
    [
        ("1,125", "can be read as 1.125 or as 1125", "with a point"),
        ("1,000,5", "comma", "write a number"),
        ("12 in-lb", "is a torque, and a length is needed", "0.032 in"),
        ("0", "more than nothing", ""),
        ("-.032", "more than nothing", ""),
        ("a lot", "not a number", "0.032 in"),
        ("1/0 in", "divides by zero", "0.032 in"),
        ("", "not a number", "0.032 in"),
        ("9" * 70, "too long", ""),
    ],
)
def test_lengths_that_are_none(typed, said, advice):
    with pytest.raises(RefusedError, match=said) as caught:
        length(typed, "a thickness")
    assert advice in caught.value.advice


def test_a_torque_needs_its_unit():
    with pytest.raises(RefusedError, match="has no unit"):
        measured("8", "torque")
    assert measured("0,9 N·m", "torque").to("in-lb") == pytest.approx(7.9657, abs=1e-4)


ROWS = sizes("3/32", "1/8", ".032")


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("3/32", "3/32"),
        (".094", "3/32"),
        (".0938", "3/32"),
        (".0937", "3/32"),
        (".09375", "3/32"),
        ("2.38 mm", "3/32"),
        ("3.18 mm", "1/8"),
        ("3.175 mm", "1/8"),
        (".125", "1/8"),
        (".0320 in", ".032"),
        ("0.81 mm", ".032"),
    ],
)
def test_rows_may_be_rounded(typed, name):
    assert find_row(length(typed, "a size"), ROWS).name == name


@pytest.mark.parametrize(
    "typed", [".09", ".093", ".0936", "2.4 mm", "3.2 mm", "0.8 mm", ".03", ".0325", "7/64", "12 in"]
)
def test_what_is_no_row_is_refused(typed):
    with pytest.raises(RefusedError, match=r"no row for .*; the table has 3/32 in"):
        find_row(length(typed, "a size"), ROWS)


@pytest.mark.parametrize(
    ("low", "high", "both", "inch", "metric"),
    [
        (
            inch_pounds(50),
            inch_pounds(70),
            "50 to 70 in-lb (5.65 to 7.91 N·m)",
            "50 to 70 in-lb",
            "5.65 to 7.91 N·m",
        ),
        (
            inches(0.25),
            None,
            "at least 0.250 in (6.35 mm)",
            "at least 0.250 in",
            "at least 6.35 mm",
        ),
        (
            None,
            inches(0.0032),
            "at most 0.0032 in (0.08 mm)",
            "at most 0.0032 in",
            "at most 0.08 mm",
        ),
        (inches(0.125), inches(0.125), "0.125 in (3.18 mm)", "0.125 in", "3.18 mm"),
        (celsius(-0.04), celsius(-0.04), "0.0 °C (31.9 °F)", "31.9 °F", "0.0 °C"),
        (None, None, "", "", ""),
    ],
)
def test_both_systems(low, high, both, inch, metric):
    assert show_range(low, high, Units.BOTH) == both
    assert show_range(low, high, Units.INCH) == inch
    assert show_range(low, high, Units.METRIC) == metric
