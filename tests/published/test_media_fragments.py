"""Time codes in addresses: Media Fragments URI 1.0 (basic), W3C Recommendation, 25 September 2012.

The syntax is that of its 4.2.1 (Temporal Dimension); `t=3`, "the media is requested from a to e",
is test case TC0011-UA of its test suite.
"""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.timecode import TimeCode, parse_time_code

# npt-sec = 1*DIGIT [ "." *DIGIT ]; npt-mmss = npt-mm ":" npt-ss [ "." *DIGIT];
# npt-hhmmss = npt-hh ":" npt-mm ":" npt-ss [ "." *DIGIT]
NPT = re.compile(
    r"#t=(?:npt:)?(?:(?:(?P<h>\d+):)?(?P<m>[0-5]\d):(?P<s>[0-5]\d(?:\.\d*)?)|(?P<sec>\d+(?:\.\d*)?))"
)


def seconds(fragment: str) -> float:
    found = NPT.fullmatch(fragment)
    assert found, fragment
    if found["sec"]:
        return float(found["sec"])
    return int(found["h"] or 0) * 3600 + int(found["m"]) * 60 + float(found["s"])


@pytest.mark.parametrize(
    ("written", "fragment"),
    [
        ("0:03", "#t=3"),
        ("1:20", "#t=80"),
        ("1:02:03", "#t=3723"),
        ("0:07.5", "#t=7.5"),
        ("0", "#t=0"),
    ],
)
def test_fragments(written: str, fragment: str) -> None:
    assert parse_time_code(written).fragment == fragment


@given(st.integers(0, 359_999_999))
def test_every_fragment_has_the_standard_s_form_and_says_the_same(milliseconds: int) -> None:
    assert seconds(TimeCode(milliseconds).fragment) * 1000 == pytest.approx(milliseconds)
