"""Small rules of sheet metal, and tempers, against what is printed about them."""

import pytest

from buildbook.reference.answers import RefusedError
from buildbook.reference.sheetmetal import blend, blend_length, deburr_depth
from buildbook.reference.sizes import measured
from buildbook.reference.tempers import AFTER_FORMING, TEMPERS, after_forming, temper


def inches(text):
    return measured(text, "length", bare="in")


# AC 43.13-1B (9/8/98), ch. 6, p. 6-28: blend ratio 20:1, length to depth; lengths computed.
@pytest.mark.parametrize(
    ("depth", "length"), [(".002", 0.040), (".005", 0.100), (".010", 0.200), ("0.1 mm", 2 / 25.4)]
)
def test_blending_is_20_to_1(depth, length):
    found = blend_length(inches(depth))
    assert found.low.value == pytest.approx(length)
    assert found.high is None


def test_how_a_blend_is_finished():
    """P. 6-28: to 400 grit; Table 6-1: no silicon carbide on aluminium."""
    said = blend(inches(".005"))
    assert "400 grit" in said.facts[1].words
    assert any("silicon carbide" in caution for caution in said.cautions)
    assert any("engineer" in caution for caution in said.cautions), "no limit of depth is given"


# MIL-R-47196A, as quoted: 10 percent of the stock thickness, or 0.032 inch, whichever is less.
@pytest.mark.parametrize(
    ("thickness", "deepest"), [(".032", 0.0032), (".064", 0.0064), (".320", 0.032), (".5", 0.032)]
)
def test_deburring(thickness, deepest):
    found = deburr_depth(inches(thickness))
    assert found.high.value == pytest.approx(deepest)
    assert found.low is None


@pytest.mark.parametrize("depth", ["0 in", "-.005 in", "1.5 in", "30 mm"])
def test_depths_that_are_none(depth):
    with pytest.raises(RefusedError):
        blend_length(measured(depth, "length"))


# ANSI H35.1 as tables of tempers quote it (the standard itself was not seen).
WORDS = {
    "F": "as fabricated",
    "O": "annealed",
    "W": "solution heat-treated",
    "H14": "half hard",
    "H32": "stabilised, quarter hard",
    "H34": "stabilised, half hard",
    "T3": "solution heat-treated, cold worked, naturally aged",
    "T4": "solution heat-treated, naturally aged",
    "T6": "solution heat-treated, artificially aged",
    "T42": "from O or F by the user, naturally aged",
    "T62": "from O or F by the user, artificially aged",
    "T351": "stress relieved by stretching",
    "T651": "stress relieved by stretching",
}


def test_no_temper_is_ours_alone():
    assert set(TEMPERS) == set(WORDS)


@pytest.mark.parametrize("name", WORDS)
def test_tempers_in_words(name):
    assert WORDS[name] in TEMPERS[name].words


def test_parts_formed_soft():
    """2024 becomes T42, 6061 and 7075 T62, never T3 or T6: heat-treated by the user."""
    assert AFTER_FORMING == {"2024": "T42", "6061": "T62", "7075": "T62"}
    for alloy, becomes in AFTER_FORMING.items():
        words = after_forming(alloy).words
        assert becomes in words
        assert "never T" in words
        assert words == temper(f"{alloy}-O").facts[1].words


def test_a_hard_sheet_stays_what_it_is():
    assert [f.what for f in temper("2024-T3").facts] == ["T3"]
    assert [f.what for f in temper("alclad 2024-T3").facts] == ["T3"]
    assert len(temper("T62").facts) == 4


@pytest.mark.parametrize("name", ["T9999", "", "hard", "2024-T3-T4", "5052", "T5"])
def test_tempers_that_are_not_known(name):
    with pytest.raises(RefusedError):
        temper(name)
