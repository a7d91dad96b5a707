"""Weight and balance against worked examples printed elsewhere.

FAA-H-8083-1, Aircraft Weight and Balance Handbook: from memory, restated on flight-school pages
where marked seen. The others are questions of European examination banks, read in stored copies.
"""

from fractions import Fraction

import pytest

from buildbook.pages.measures import percent, rounded
from buildbook.reference.balance import at, from_share, share_of_chord, total


def cg(*masses: tuple[str, str]) -> Fraction:
    arm = total(at(Fraction(weight), Fraction(arm)) for weight, arm in masses).arm
    assert arm is not None
    return arm


def test_a_nosewheel_aircraft_about_its_main_wheels() -> None:
    """Nose 340 lb, 78 in ahead of the mains, 2,006 lb in all: -13.2 in (seen restated)."""
    assert rounded(cg(("340", "-78"), ("1666", "0")), 1) == "\N{MINUS SIGN}13.2"


def test_the_same_from_a_datum_128_inches_ahead_of_the_mains() -> None:
    """114.8 in (from memory); 114.780 worked out."""
    found = cg(("340", "50"), ("1666", "128"))
    assert rounded(found, 1) == "114.8"
    assert rounded(found, 3) == "114.780"


def test_an_airliner_on_three_scales() -> None:
    """Nose 6,488 kg at 161 in, mains 17,783 kg each at 775 in: 42,054 kg at 680.3 in (seen)."""
    masses = [("6488", "161"), ("17783", "775"), ("17783", "775")]
    assert total(at(Fraction(w), Fraction(a)) for w, a in masses).weight == 42054
    assert rounded(cg(*masses), 1) == "680.3"


def test_a_light_aircraft_aft_of_its_nosewheel() -> None:
    """Nose 285 kg, mains 1,465 and 1,395 kg, 92 in behind it: 83.7 in (seen)."""
    assert rounded(cg(("285", "0"), ("1465", "92"), ("1395", "92")), 1) == "83.7"


@pytest.mark.parametrize(
    ("lemac", "temac", "arm", "shown"),
    [
        ("625.6", "760.1", "663", "27.8 %"),  # seen
        ("144", "206", "161", "27.4 %"),  # from memory; the arithmetic worked out
    ],
)
def test_share_of_the_mean_aerodynamic_chord(lemac: str, temac: str, arm: str, shown: str) -> None:
    leading, length = Fraction(lemac), Fraction(temac) - Fraction(lemac)
    share = share_of_chord(Fraction(arm), leading, length)
    assert percent(share) == shown
    assert from_share(share, leading, length) == Fraction(arm)
