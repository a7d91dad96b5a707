"""Weighings, changes and loading cases, on figures worked out by hand."""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sites import BASE

from buildbook.ledger.balance import BalanceLedger, balance
from buildbook.pages.balance import verdict_words
from buildbook.pages.measures import Measures, rounded
from buildbook.records.bookfile import Units
from buildbook.records.read import read
from buildbook.reference.balance import Corner, Envelope

WEIGHED = """\
- date: 2025-11-01
  datum: Firewall
  scales:
    - {at: left, reading: 160 kg, tare: 2 kg, arm: 1000 mm}
    - {at: right, reading: 158 kg, tare: 2 kg, arm: 1000 mm}
    - {at: tail, reading: 30 kg, arm: 5 m}
  deduct: {what: Fuel, weight: 10 kg, arm: 1500 mm}
  add: {what: Spinner, weight: 2 kg, arm: -1000 mm}
"""
FILE = """\
datum: Firewall
lemac: 1000 mm
mac: 1200 mm
envelope: [300 kg at 1100 mm, 600 kg at 1100 mm, 600 kg at 1600 mm, 300 kg at 1600 mm]
stations:
  - {station: seats, title: Seats, arm: 1500 mm}
  - {station: tank, title: Tank, arm: 1200 mm, density: 0.72 kg/l, fuel: yes}
cases:
  - {case: Alone, load: {seats: 80 kg, tank: 50 l}}
  - {case: No fuel, load: {seats: 80 kg}}
changes:
  - {date: 2025-10-01, added: Before the weighing, weight: 50 kg, arm: 0 mm}
  - {date: 2025-11-20, added: Radio, weight: 2 kg, arm: 500 mm}
  - {date: 2025-11-10, removed: Old seat, weight: 4 kg, arm: 1500 mm}
"""


def made(tmp_path: Path, **files: str) -> BalanceLedger:
    for name, text in {**BASE, **{f"{n}.yml": t for n, t in files.items()}}.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    return balance(read(tmp_path).book)


def test_scales_less_tare_with_what_was_and_was_not_on_board(tmp_path: Path) -> None:
    [weighed] = made(tmp_path, weighings=WEIGHED).weighed
    # 158 + 156 + 30 - 10 + 2; 158 + 156 + 150 - 15 - 2 kg·m.
    assert weighed.total.weight == 336
    assert weighed.total.moment == 447_000
    assert rounded(weighed.total.arm or Fraction(0), 2) == "1,330.36"


def test_changes_since_are_carried_forward_in_order(tmp_path: Path) -> None:
    empty = made(tmp_path, weighings=WEIGHED, balance=FILE).empty
    assert empty is not None
    assert [(line.what, line.mass.weight) for line in empty.changes] == [
        ("Old seat", -4),
        ("Radio", 2),
    ]
    assert empty.now.weight == 334
    assert empty.now.moment == 447_000 - 6_000 + 1_000


def test_equipment_fitted_and_taken_out_since_counts(tmp_path: Path) -> None:
    equipment = """\
- {equipment: beacon, title: Beacon, installed: 2025-11-05, weight: 1 kg, arm: 3 m}
- {equipment: old, title: Old, installed: 2025-01-05, removed: 2025-11-06, weight: 2 kg, arm: 1 m}
- {equipment: early, title: Early, installed: 2025-01-05, weight: 9 kg, arm: 1 m}
- {equipment: light, title: Light, installed: 2025-11-07}
- {equipment: boxed, title: Boxed, weight: 9 kg, arm: 1 m}
"""
    empty = made(tmp_path, weighings=WEIGHED, equipment=equipment).empty
    assert empty is not None
    assert [(x.what, x.mass.weight) for x in empty.changes] == [("Beacon", 1), ("Old", -2)]
    assert empty.unknown == ("light",)


def test_loading_cases_with_fuel_and_without(tmp_path: Path) -> None:
    alone, no_fuel = made(tmp_path, weighings=WEIGHED, balance=FILE).cases
    assert alone.full.weight == 334 + 80 + 36
    assert alone.full.moment == 442_000 + 120_000 + 43_200
    assert alone.dry is not None
    assert alone.dry == no_fuel.full
    assert no_fuel.dry is None


def test_the_last_weighing_of_the_whole_counts(tmp_path: Path) -> None:
    later = WEIGHED.replace("2025-11-01", "2025-12-01").replace("160 kg", "170 kg")
    part = WEIGHED.replace("- date: 2025-11-01", "- date: 2025-12-24\n  of: Tail")
    ledger = made(tmp_path, weighings=part + later + WEIGHED)
    assert [str(w.weighing.date) for w in ledger.weighed] == [
        "2025-11-01",
        "2025-12-01",
        "2025-12-24",
    ]
    assert ledger.empty is not None
    assert ledger.empty.now.weight == 346


def test_an_estimate_stands_in_until_then(tmp_path: Path) -> None:
    estimate = FILE + "estimate: {weight: 300 kg, arm: 1200 mm}\n"
    part = WEIGHED.replace("- date: 2025-11-01", "- date: 2025-12-24\n  of: Tail")
    ledger = made(tmp_path, weighings=part, balance=estimate)
    assert ledger.empty is not None
    assert ledger.empty.weighed is None
    assert ledger.empty.changes == ()
    assert ledger.cases[1].full.weight == 380
    assert made(tmp_path, weighings=WEIGHED, balance=estimate).empty.weighed  # type: ignore[union-attr]


def test_without_either_there_is_no_case(tmp_path: Path) -> None:
    ledger = made(tmp_path, balance=FILE)
    assert ledger.empty is None
    assert ledger.cases == ()


@pytest.mark.parametrize(
    ("old", "new"),
    [("seats: 80 kg, tank", "seat: 80 kg, tank"), ("density: 0.72 kg/l, ", "")],
)
def test_a_case_that_lacks_something_has_no_total(tmp_path: Path, old: str, new: str) -> None:
    ledger = made(tmp_path, weighings=WEIGHED, balance=FILE.replace(old, new))
    assert [loaded.case.case for loaded in ledger.cases] == ["No fuel"]
    assert ledger.unclear == ("Alone",)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("reading: 158 kg", "reading: 158"),
        (", arm: 5 m}", "}"),
        (
            "tare: 2 kg, arm: 1000 mm}\n    - {at: right",
            "tare: 999 kg, arm: 1 m}\n    - {at: right",
        ),
        ("weight: 10 kg", "weight: ten"),
    ],
)
def test_a_weighing_with_a_broken_scale_is_none(tmp_path: Path, old: str, new: str) -> None:
    """Without one of its wheels an aircraft would weigh something else, and nobody would see it."""
    assert old in WEIGHED
    ledger = made(tmp_path, weighings=WEIGHED.replace(old, new), balance=FILE)
    assert ledger.weighed == ()
    assert ledger.empty is None


def test_limits_with_a_broken_corner_are_none(tmp_path: Path) -> None:
    file = FILE.replace("600 kg at 1600 mm", "600 kg at 1600")
    ledger = made(tmp_path, weighings=WEIGHED, balance=file)
    assert ledger.envelope is None
    assert len(ledger.cases) == 2


def test_a_broken_change_leaves_no_sheet(tmp_path: Path) -> None:
    file = FILE.replace("weight: 4 kg", "weight: 4")
    assert made(tmp_path, weighings=WEIGHED, balance=file).cases == ()


def test_pounds_and_inches_are_the_same_aircraft(tmp_path: Path) -> None:
    pounds = WEIGHED.replace("30 kg, arm: 5 m", "66.1386786555 lb, arm: 500 cm")
    one, other = (made(tmp_path, weighings=text).weighed[0].total for text in (WEIGHED, pounds))
    assert abs(one.weight - other.weight) < Fraction(1, 10**9)
    assert one.arm is not None
    assert other.arm is not None
    assert abs(one.arm - other.arm) < Fraction(1, 10**6)


# What is shown.

LIMITS = Envelope(
    tuple(
        Corner(Fraction(w), Fraction(a) * Fraction("25.4"))
        for w, a in ((380, 60), (520, 60), (600, 64), (600, 70), (380, 70))
    )
)
INCHES = Measures(Units())


@pytest.mark.parametrize(
    ("weight", "inches", "said"),
    [
        ("500", "65", "inside: 5.00 in behind the forward limit, 5.00 in ahead of the aft limit"),
        ("500", "60", "on the forward limit"),
        ("500", "70", "on the aft limit"),
        ("560", "61", "outside: 1.00 in ahead of the forward limit"),
        ("500", "70.25", "outside: 0.25 in behind the aft limit"),
        ("500", "70.001", "outside: less than 0.01 in behind the aft limit"),
        ("612.5", "65", "outside: 12.5 kg too heavy"),
        ("600.01", "65", "outside: less than 0.1 kg too heavy"),
        ("370", "65", "outside: 10.0 kg lighter than the limits speak of"),
    ],
)
def test_verdicts_in_words(weight: str, inches: str, said: str) -> None:
    point = Corner(Fraction(weight), Fraction(inches) * Fraction("25.4"))
    assert verdict_words(LIMITS, point, INCHES) == said
    assert LIMITS.holds(point) is not said.startswith("outside")


@given(
    st.fractions(min_value=360, max_value=620, max_denominator=100),
    st.fractions(min_value=1480, max_value=1800, max_denominator=100),
)
def test_words_and_arithmetic_agree(weight: Fraction, arm: Fraction) -> None:
    point = Corner(weight, arm)
    words = verdict_words(LIMITS, point, INCHES)
    assert words.startswith("outside") is not LIMITS.holds(point)


@pytest.mark.parametrize(
    ("value", "decimals", "shown"),
    [
        (Fraction(1, 2), 0, "1"),
        (Fraction(-1, 2), 0, "\N{MINUS SIGN}1"),
        (Fraction(-1, 1000), 1, "0.0"),
        (Fraction(10049, 10), 1, "1,004.9"),
        (Fraction(1, 3), 3, "0.333"),
        (Fraction(5, 100), 1, "0.1"),
    ],
)
def test_rounding(value: Fraction, decimals: int, shown: str) -> None:
    assert rounded(value, decimals) == shown


def test_millimetres_and_pounds() -> None:
    shown = Measures(Units.model_validate({"length": "mm", "mass": "lb"}))
    assert shown.weight(Fraction("45.359237")) == "100.0 lb"
    assert shown.arm(Fraction("1330.5")) == "1,331 mm"
    assert shown.moment(Fraction("45.359237") * 1500) == "150.00"
    assert shown.moment_unit == "lb·m"
