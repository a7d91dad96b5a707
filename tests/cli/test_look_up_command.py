"""`buildbook look-up`: the answer, its caution, its source, and what comes first."""

import subprocess
import sys

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.cli.look_up import look_up
from buildbook.reference.answers import STANDING, UNVERIFIED

EXAMPLES = [
    ("torque AN4", "50 to 70 in-lb (5.65 to 7.91 N·m)"),
    ("torque AN4 tension --drag 8in-lb", "58 to 78 in-lb"),
    ("rivet MS20470AD4-3.5 --grip .064", "4.02 sixteenths"),
    ("rivet -4", "Rivet 1/8 in"),
    ("bend 2024-T3 .032", "0.064 to 0.128 in"),
    ("temper 2024-T3", "solution heat-treated, cold worked, naturally aged"),
    ("dew-point 25 80", "21.3 °C (70.4 °F)"),
    ("dew-point -5 80", "Frost point"),
    ("dew-point 21 --wet-bulb 17 --surface 19", "far enough above it"),
    ("dew-point 16 71 --surface 13", "too near to it: wait"),
    ("spacing AN4", "at least 0.500 in (12.70 mm)"),
    ("blend 0,005", "at least 0.100 in (2.54 mm)"),
    ("deburr .032", "at most 0.0032 in"),
    ("setback .25 .064 45", "0.1301 in"),
    ("shelf-life 2026-08-31 6", "2027-02-28"),
    ("shelf-life 2026-08-31 code H", "type I, never extended"),
    ("rule edge distance 1/8 flush", "at least 0.3125 in"),
    ("rivet 1/8 --length 1/4", "MS20470AD4-4, in older books AN470AD4-4"),
]


def run(*words):
    return CliRunner().invoke(look_up, list(words))


@pytest.mark.parametrize(("words", "said"), EXAMPLES, ids=[words for words, _ in EXAMPLES])
def test_answers(words, said):
    done = run(*words.split())
    assert done.exit_code == 0, done.output
    assert said in done.output
    assert "Cautions. " in done.output
    assert "Sources.\n  [1] " in done.output
    assert " ".join(done.output.split()).endswith(STANDING), "plans come first, always"


def test_rules_are_listed_by_examples_that_work():
    examples = run("rule").output.splitlines()
    assert "edge distance 1/8 flush" in examples
    for example in examples:
        assert run("rule", *example.split()).exit_code == 0


def test_hazards():
    done = run("hazard", "chromate", "primer")
    assert done.exit_code == 0
    assert "causes cancer" in done.output
    assert "OSHA 3373" in done.output
    assert "local rules come first" in " ".join(done.output.split())


@pytest.mark.parametrize(
    ("units", "there", "away"),
    [("metric", "5.65 to 7.91 N·m", "in-lb"), ("inch", "50 to 70 in-lb", "N·m")],
)
def test_one_system_of_units(units, there, away):
    done = run("torque", "1/4-28", "tension", "--units", units)
    assert there in done.output
    assert away not in done.output


@pytest.mark.parametrize(
    "words", ["spacing AN4", "rivet 3/32", "torque AN9", "shelf-life 2026-01 K"]
)
def test_what_is_from_memory_says_so_beside_the_value_and_in_the_sources(words):
    lines = run(*words.split()).output.split("\n")
    numbered = [line for line in lines if line.startswith("  [") and UNVERIFIED in line]
    assert numbered
    for line in numbered:
        number = line.split("]")[0].strip(" [")
        used = [ln for ln in lines if ln.endswith(f" [{number}]")]
        assert used
        assert all(UNVERIFIED in ln for ln in used)


def test_what_was_seen_is_not_called_unverified():
    assert UNVERIFIED not in run("torque", "AN4", "tension").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("torqe AN4", "nothing to look up under `torqe`; did you mean `torque`?"),
        ("bend 2024-T3 .025", "no row for .025 in; the table has .016 in"),
        ("torque AN4 --drag 8", "`8` has no unit"),
        ("torque AN4 --drag 3mm", "is a length, and a torque is needed here"),
        ("dew-point 70 50", "write `°F` behind a figure in Fahrenheit"),
        ("dew-point 20", "either the humidity or the wet bulb"),
        ("dew-point 20 50 --wet-bulb 15", "and not both"),
        ("blend 1,125", "can be read as 1.125 or as 1125"),
        ("blend -.005", "more than nothing"),
        ("hazard sparks", "no hazard is called `sparks`"),
    ],
)
def test_refusals_are_sentences(words, said):
    done = run(*words.split())
    assert done.exit_code == 2
    assert said in done.output
    assert "Traceback" not in done.output


KINDS = sorted({words.split()[0] for words, _ in EXAMPLES})


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=200)
@given(
    st.sampled_from(KINDS),
    st.lists(st.text('0123456789./,- ANMSDTinmb°C%"', max_size=9), max_size=3),
)
def test_never_a_traceback(kind, words):
    done = run(kind, *words)
    assert done.exit_code in (0, 2), done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)


def test_it_is_a_command():
    program = "from buildbook.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", program, "look-up", "bend", "2024-T3", ".040"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("Error: no row for .040 in")
