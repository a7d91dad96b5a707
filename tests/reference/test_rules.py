"""Limits that a record names in words."""

import pytest

from buildbook.reference.rules import RULES, UnknownRuleError, limit_by_rule


@pytest.mark.parametrize(
    ("text", "low", "high", "document"),
    [
        ("torque AN4 tension", 50, 70, "FAA AC 43.13-1B"),
        ("Torque  1/4-28  Shear", 30, 40, "FAA AC 43.13-1B"),
        ("torque AN4 tension drag 8 in-lb", 58, 78, "FAA AC 43.13-1B"),
        ("torque AN4 AN365 plus drag 8 in-lb", 58, 78, "FAA AC 43.13-1B"),
        ("rivet shop head diameter 1/8", 0.163, None, "MIL-R-47196A"),
        ("rivet shop head diameter AN470AD4-4", 0.163, None, "MIL-R-47196A"),
        ("rivet shop head diameter 1/8 by 1.5D", 0.1875, None, "FAA AC 43.13-1B"),
        ("rivet shop head height 1/8", 0.050, 0.070, "MIL-R-47196A"),
        ("rivet shop head height 1/8 BY mil-hdbk-5h", 0.0375, None, "MIL-HDBK-5H"),
        ("rivet hole 3/32", 0.093, 0.103, "MIL-R-47196A"),
        ("edge distance 1/8", 0.25, None, "FAA AC 43.13-1B"),
        ("edge distance 1/8 flush", 0.3125, None, "Airframe study guide"),
        ("edge distance MS20426AD4-4", 0.3125, None, "Airframe study guide"),
        ("edge distance 1/8 dimpled", 0.3125, None, "common practice"),
        ("edge distance AN4", 0.5, None, "common practice"),
        ("pitch 1/8", 0.375, None, "NAVEDTRA 14018"),
        ("pitch AN3", 0.75, None, "common practice"),
        ("bend radius 2024-T3 .032", 0.064, None, "FAA AC 43.13-1B"),
        ("bend radius 2024 T3 0.81 mm", 0.064, None, "FAA AC 43.13-1B"),
        ("hole deburr .032 in", None, 0.0032, "MIL-R-47196A"),
        ("blend length .005", 0.1, None, "FAA AC 43.13-1B"),
    ],
)
def test_rules(text, low, high, document):
    found = limit_by_rule(text)
    assert (found.low and found.low.value) == (low and pytest.approx(low))
    assert (found.high and found.high.value) == (high and pytest.approx(high))
    assert found.source.document == document
    assert found.caution.endswith(".")


def test_every_rule_has_an_example_that_works():
    for name, rule in RULES.items():
        assert rule.example.startswith(name)
        assert limit_by_rule(rule.example)


@pytest.mark.parametrize(
    ("text", "message", "advice"),
    [
        ("edge distanse 1/8", "no rule is called", "did you mean `edge distance`?"),
        ("shop head diameter 1/8", "no rule is called", "did you mean `rivet shop head diameter`?"),
        ("torqe AN4", "no rule is called", "did you mean `torque`?"),
        ("flange angle", "no rule is called", "rules: torque,"),
        ("", "no rule is called", "rules: torque,"),
        ("torque", "does not say of what", "`torque AN4 tension`"),
        ("torque AN4", "kind of nut is missing", "`torque AN4 tension`"),
        ("torque AN4 wing", "no kind of nut", "`tension` or `shear`"),
        ("torque AN4 tension drag 8", "has no unit", "25 in-lb"),
        ("bend radius 2024-T3", "thickness is missing", "`bend radius 2024-T3 .032`"),
        ("bend radius 2024-T3 .025", "no row for .025 in", "nothing is guessed"),
        ("rivet shop head height 3/16", "no row for 3/16 in", "nothing is guessed"),
        ("rivet shop head height 1/8 by ours", "no rule `ours`", "MIL-R-47196A"),
        ("edge distance 12 in-lb", "is a torque", "0.032 in"),
        ("hole deburr 0", "more than nothing", "`hole deburr .032`"),
    ],
)
def test_rules_that_are_none(text, message, advice):
    with pytest.raises(UnknownRuleError) as caught:
        limit_by_rule(text)
    assert message in caught.value.message
    assert advice in caught.value.advice
