"""Solid rivets against what is printed about them.

- Codes: AC 43.13-1B par. 4-57 (`MS20470 AD4-3.5`), NAVEDTRA 14315 Table 3-1 and figure 3-2, and
  lessons that print `AN470AD3-5` and `AN426AD3-4` with their meaning.
- Driven heads: MIL-R-47196A Table III, as quoted; MIL-HDBK-5H p. 8-9 (1.3 D, 0.3 D); 1.5 D by
  0.5 D, as study guides quote AC 43.13-1B.
- Length: NAVEDTRA 14018 p. 13-43, L = 1 1/2 D + G. Pitch 3 D there too.
- Drills: #30 for 1/8 in in a repair manual; #40 and #21 from memory.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference import spacing
from buildbook.reference.answers import RefusedError
from buildbook.reference.rivetcodes import (
    ALLOYS,
    COUNTERSUNK,
    DIAMETERS,
    UNIVERSAL,
    decode,
    encode,
    rivet_shank,
)
from buildbook.reference.rivets import (
    HEAD_RULES,
    HOLES,
    hole_limit,
    length_for,
    numbers_of,
    rivet,
    shop_head,
)
from buildbook.reference.sizes import measured

# Number as printed; head; alloy; diameter and length in inches.
PRINTED = [
    ("AN470AD3-5", UNIVERSAL, "2117-T4", 3 / 32, 5 / 16),
    ("AN426AD3-4", COUNTERSUNK, "2117-T4", 3 / 32, 1 / 4),
    ("MS20470 AD4-3.5", UNIVERSAL, "2117-T4", 1 / 8, 3.5 / 16),
    ("AN470AD-4-5", UNIVERSAL, "2117-T4", 1 / 8, 5 / 16),
]


@pytest.mark.parametrize("printed", PRINTED, ids=lambda p: p[0])
def test_numbers_are_read(printed):
    number, head, metal, diameter, length = printed
    found = decode(number)
    assert (found.head, ALLOYS[found.alloy][0]) == (head, metal)
    assert (found.diameter, found.length) == (diameter, length)


@pytest.mark.parametrize("printed", PRINTED, ids=lambda p: p[0])
def test_numbers_are_written(printed):
    number = printed[0].replace(" ", "").replace("AD-", "AD")
    assert decode(number).number(older=number.startswith("AN")) == number


@pytest.mark.parametrize("printed", PRINTED, ids=lambda p: p[0])
def test_numbers_from_a_diameter_and_a_length(printed):
    """The other way: what the number says, asked for."""
    number, head, metal, diameter, length = printed
    row, _ = rivet_shank(f"{diameter} in")
    said = numbers_of(row, measured(f"{length} in", "length"))
    [fact] = [f for f in said if head.name in f.what]
    assert metal in fact.what
    plain = number.replace(" ", "").replace("AD-", "AD")
    assert plain in fact.words.replace(",", " ").split()


@pytest.mark.parametrize(("length", "dash"), [("6.35 mm", "4"), ("5.56 mm", "3.5")])
def test_a_length_in_millimetres_may_be_rounded(length, dash):
    said = numbers_of(rivet_shank("1/8")[0], measured(length, "length"))[0].words
    assert said.startswith(f"MS20470AD4-{dash},")


@pytest.mark.parametrize("length", ["0.3 in", "6 mm", "1/64 in", "4 in", "-1/4 in"])
def test_lengths_that_are_not_made_have_no_number(length):
    with pytest.raises(RefusedError):
        rivet("1/8", long=measured(length, "length"))


def test_a_number_has_its_length():
    with pytest.raises(RefusedError, match="already"):
        rivet("AN470AD4-4", long=measured("1/4 in", "length"))


def test_the_newer_number_supersedes_the_older():
    assert decode("AN470AD3-5").number() == "MS20470AD3-5"
    assert decode("AN426AD3-4").number() == "MS20426AD3-4"


@given(
    st.sampled_from([UNIVERSAL, COUNTERSUNK]),
    st.sampled_from(sorted(ALLOYS)),
    st.integers(2, 12),
    st.integers(4, 96),
    st.booleans(),
)
def test_every_number_both_ways(head, alloy, diameter, halves, older):
    made = encode(head, alloy, diameter, f"{Fraction(halves, 2)}")
    assert decode(made.number(older=older)) == made


def test_marks_on_heads():
    """NAVEDTRA 14315, Table 3-1."""
    assert ALLOYS == {
        "A": ("1100-F", "plain"),
        "AD": ("2117-T4", "indented dimple"),
        "D": ("2017-T4", "raised teat"),
        "DD": ("2024-T4", "raised double dash"),
        "B": ("5056-H32", "raised cross"),
    }


NOT_NUMBERS = """
MS20470XX4-4 MS20470AD4-3.25 MS20470AD4 MS20470AD13-4 MS20470AD4-99 MS20471AD4-4 AN470AD4-0 rivet
MS20470AD4-4A
"""


@pytest.mark.parametrize("number", ["", *NOT_NUMBERS.split()])
def test_numbers_that_are_none(number):
    with pytest.raises(RefusedError):
        decode(number)


def test_a_slip_in_the_standard_is_named():
    with pytest.raises(RefusedError) as caught:
        decode("MS20471AD4-4")
    assert "did you mean `MS20470`?" in caught.value.advice


# Rivet; smallest diameter; smallest and largest height, inches.
TABLE_III = [
    ("3/32", 0.122, 0.038, 0.050),
    ("1/8", 0.163, 0.050, 0.070),
    ("5/32", 0.203, 0.062, 0.092),
]


@pytest.mark.parametrize("row", TABLE_III, ids=lambda row: row[0])
def test_driven_heads_of_the_military_specification(row):
    size, diameter, low, high = row
    wide, tall = shop_head(size, "MIL-R-47196A")
    assert (wide.low.value, wide.high) == (diameter, None)
    assert (tall.low.value, tall.high.value) == (low, high)
    assert shop_head(size) == (wide, tall), "it is the rule where none is named"


# D, 1.5 D, 0.5 D, 2 D, 2.5 D, 3 D: computed, four decimals.
MULTIPLES = [
    ("3/32", 0.1406, 0.0469, 0.1875, 0.2344, 0.2813),
    ("1/8", 0.1875, 0.0625, 0.2500, 0.3125, 0.3750),
    ("5/32", 0.2344, 0.0781, 0.3125, 0.3906, 0.4688),
]


@pytest.mark.parametrize("row", MULTIPLES, ids=lambda row: row[0])
def test_multiples_of_the_diameter(row):
    size, wide, tall, edge, edge_flush, pitch = row
    head = shop_head(size, "1.5D")
    assert [f.low.value for f in head] == [pytest.approx(v, abs=5e-5) for v in (wide, tall)]
    shank, _ = rivet_shank(size)
    for fact, value in (
        (spacing.edge_of_rivet(shank), edge),
        (spacing.edge_of_rivet(shank, "flush"), edge_flush),
        (spacing.edge_of_rivet(shank, "dimpled"), edge_flush),
        (spacing.pitch_of_rivet(shank), pitch),
    ):
        assert fact.low.value == pytest.approx(value, abs=5e-5)
        assert fact.high is None
        assert f"{value:.4f}".rstrip("0") in fact.shown()


def test_mil_hdbk_5h():
    wide, tall = shop_head("1/8", "MIL-HDBK-5H")
    assert wide.low.value == pytest.approx(1.3 * 0.125)
    assert tall.low.value == pytest.approx(0.3 * 0.125)


def test_the_specification_is_about_1_3_d():
    """CHECKS: 1.5 D is a target, the specification's minimum is about 1.3 D."""
    for size, diameter, *_ in TABLE_III:
        assert diameter == pytest.approx(1.3 * rivet_shank(size)[0].inches, rel=0.01)
    assert HEAD_RULES["1.5D"].target


# Grip, rivet, length in inches and in sixteenths: computed from L = G + 1.5 D.
@pytest.mark.parametrize(
    ("grip", "size", "inches", "sixteenths", "half", "whole"),
    [
        (".064", "1/8", 0.2515, 4.02, "-4", "-5"),
        (".057", "3/32", 0.1976, 3.16, "-3", "-4"),
        (".104", "5/32", 0.3384, 5.41, "-5.5", "-6"),
    ],
)
def test_length_for_a_grip(grip, size, inches, sixteenths, half, whole):
    found = length_for(rivet_shank(size)[0], measured(grip, "length", bare="in"))
    assert found[0].low.value == pytest.approx(inches, abs=5e-5)
    assert found[0].words == f"{sixteenths} sixteenths"
    assert (found[1].words, found[2].words) == (half, whole)


def test_a_whole_length_is_its_own_next_size():
    """.0625 + 1.5 * .125 = .25 in: four sixteenths, and no longer one."""
    found = length_for(rivet_shank("1/8")[0], measured("1/16 in", "length"))
    assert (found[1].words, found[2].words) == ("-4", "-4")


def test_drills():
    assert [(h.rivet, h.drill, h.inches) for h in HOLES] == [
        ("3/32", "#40", 0.0980),
        ("1/8", "#30", 0.1285),
        ("5/32", "#21", 0.1590),
    ]
    assert [h.source.verified for h in HOLES] == [False, True, False]


def test_hole_of_a_3_32_rivet():
    """MIL-R-47196A Table I, as quoted: .093 to .103."""
    limit = hole_limit("3/32")
    assert (limit.low.value, limit.high.value) == (0.093, 0.103)
    with pytest.raises(RefusedError, match="no row"):
        hole_limit("1/8")


def test_what_a_number_says_decides_the_edge():
    def edges(asked):
        return [f.what.split()[2] for f in rivet(asked).facts if f.what.startswith("Edge")]

    assert edges("AN470AD4-4") == ["protruding"]
    assert edges("AN426AD4-4") == ["flush", "dimpled"]
    assert edges("1/8") == ["protruding", "flush", "dimpled"]
    assert edges("AN470AD10-8") == [], "the rules end at 1/4 in"


def test_no_rule_speaks_of_other_rivets():
    for size in ("7/64", "1/16", "3/8", "0.13"):
        with pytest.raises(RefusedError, match="no row"):
            rivet(size)
    assert [d.name for d in DIAMETERS] == ["3/32", "1/8", "5/32", "3/16", "1/4"]


def test_bolts_are_common_practice_and_say_so():
    for fact in spacing.spacing("AN4").facts:
        assert not fact.source.verified
    edge, pitch = spacing.spacing("AN4").facts
    assert (edge.low.value, pitch.low.value) == (0.5, 1.0)
