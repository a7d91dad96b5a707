"""Time codes as a builder writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.timecode import TimeCode, parse_time_code


@pytest.mark.parametrize(
    ("written", "milliseconds"),
    [
        ("0", 0),
        ("80", 80_000),
        ("80 s", 80_000),
        ("80s", 80_000),
        ("12.5 seconds", 12_500),
        ("1:20", 80_000),
        ("01:20", 80_000),
        (" 1:20 ", 80_000),
        ("75:00", 4_500_000),
        ("1:02:03", 3_723_000),
        ("0:07.25", 7_250),
        ("1:00:00.001", 3_600_001),
    ],
)
def test_spellings(written: str, milliseconds: int) -> None:
    assert parse_time_code(written) == TimeCode(milliseconds)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "soon",
        "-1",
        "1:60",
        "1:75",
        "1:60:00",
        "1:2:3:4",
        "1.20.5",
        "1:20 min",
        "٣",
        "1e3",
        "1,5",
    ],
)
def test_what_is_no_time_code(written: str) -> None:
    with pytest.raises(ValueError, match=r"is not a time code|has"):
        parse_time_code(written)


@given(st.integers(0, 359_999_999))
def test_what_is_shown_is_read_as_the_same(milliseconds: int) -> None:
    code = TimeCode(milliseconds)
    assert parse_time_code(str(code)) == code


def test_they_are_ordered_as_they_are_seen() -> None:
    codes = [parse_time_code(w) for w in ("0:09", "0:10", "1:00", "1:00.5", "10:00", "1:00:00")]
    assert codes == sorted(codes)
