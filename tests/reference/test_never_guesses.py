"""Whatever is typed is answered or refused in words, and nothing is guessed between rows."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.reference import (
    bends,
    hazards,
    rivets,
    sheetmetal,
    shelflife,
    spacing,
    tempers,
    torque,
)
from buildbook.reference.answers import Answer, RefusedError, Units
from buildbook.reference.rivetcodes import DIAMETERS
from buildbook.reference.rules import RULES, RuleLimit, UnknownRuleError, limit_by_rule
from buildbook.reference.sizes import length, measured

ODD = st.one_of(
    st.text(max_size=80),
    st.text("0123456789./,-+ inmMASND\"'°C%", max_size=20),
    st.sampled_from(["1/0", "1e9 in", "nan", "inf in", "-1/8", "0", "٣", "1,125", "1/8/2", "½ in"]),
    st.floats().map(str),
)
LOOK_UPS: dict[str, Callable[[str], object]] = {
    "torque": torque.torque,
    "nut": torque.nut_kind,
    "rivet": rivets.rivet,
    "head": lambda text: rivets.shop_head("1/8", text),
    "grip": lambda text: rivets.rivet("1/8", length(text, "a grip")),
    "spacing": spacing.spacing,
    "material": lambda text: bends.bend(text, length(".032", "a thickness")),
    "thickness": lambda text: bends.bend("2024-T3", length(text, "a thickness")),
    "temper": tempers.temper,
    "blend": lambda text: sheetmetal.blend(length(text, "a depth")),
    "deburr": lambda text: sheetmetal.deburr(length(text, "a thickness")),
    "shelf life": lambda text: shelflife.shelf_life("2026-01-31", text),
    "day": lambda text: shelflife.shelf_life(text, "6"),
    "hazard": hazards.find,
    "rule": limit_by_rule,
    "torque value": lambda text: measured(text, "torque"),
}


def answered(ask: Callable[[], object]) -> tuple[object, RefusedError | None]:
    """The answer, or else the refusal; any other exception is a failure."""
    try:
        return ask(), None
    except RefusedError as refused:
        return None, refused


@pytest.mark.parametrize("name", LOOK_UPS)
@given(text=ODD)
def test_an_answer_or_a_sentence(name, text):
    found, refused = answered(lambda: LOOK_UPS[name](text))
    if refused:
        assert refused.message == str(refused)
        assert refused.message
        assert "Error" not in refused.message
        assert not refused.message.endswith(".")
    elif isinstance(found, Answer):
        for units in Units:
            assert all(fact.shown(units) for fact in found.facts)
        assert found.cautions
        assert all(source.words for source in found.sources)


@given(name=st.sampled_from(sorted(RULES)), rest=ODD)
def test_a_rule_is_found_or_refused_with_advice(name, rest):
    found, refused = answered(lambda: limit_by_rule(f"{name} {rest}"))
    if refused:
        assert isinstance(refused, UnknownRuleError)
        assert refused.message
        assert refused.advice
    else:
        assert isinstance(found, RuleLimit)
        assert found.low is not None or found.high is not None
        assert found.caution


THOUSANDTHS = st.integers(1, 2000).map(lambda n: n / 1000)


@given(THOUSANDTHS)
def test_only_the_thicknesses_of_the_table_have_a_bend_radius(thickness):
    rows = {0.016, 0.032, 0.064, 0.128}
    try:
        bends.bend("2024-T3", measured(f"{thickness} in", "length"))
    except RefusedError:
        assert thickness not in rows
    else:
        assert thickness in rows


@given(st.integers(1, 20000).map(lambda n: n / 10000))
def test_only_rivets_of_the_table_have_a_head(diameter):
    """To the rounding of a thousandth, as `.094` is 3/32."""
    near = [row for row in DIAMETERS[:3] if abs(row.inches - diameter) <= 0.0005]
    try:
        rivets.shop_head(f"{diameter:.4f} in", "MIL-R-47196A")
    except RefusedError:
        assert not any(row.inches == diameter for row in near)
    else:
        assert near


@given(st.integers(1, 5000).map(lambda n: n / 100))
def test_the_same_in_millimetres(millimetres):
    near = [row for row in DIAMETERS if abs(row.inches * 25.4 - millimetres) <= 0.0051]
    try:
        spacing.spacing(f"{millimetres} mm")
    except RefusedError:
        assert not near
    else:
        assert near


@given(st.floats(-1000, 1000), st.sampled_from(torque.ROWS), st.sampled_from(torque.Nut))
def test_drag_only_shifts_what_the_table_says(drag, row, nut):
    plain = torque.fact(row, nut)
    try:
        found = torque.fact(row, nut, measured(f"{drag:.3f} in-lb", "torque"))
    except RefusedError:
        assert drag < 0 or drag > row.most(nut) - 1
    else:
        assert found.low.value - plain.low.value == pytest.approx(drag, abs=1e-3)
        assert found.high.value - plain.high.value == pytest.approx(drag, abs=1e-3)
