"""Dates: ISO 8601 and nothing that could be read two ways."""

from datetime import date

import pytest

from buildbook.records.dates import parse_date


def test_reads() -> None:
    assert parse_date("2025-03-08") == parse_date(" 2025-3-8 ") == date(2025, 3, 8)
    assert parse_date("2028-02-29") == date(2028, 2, 29)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("08-03-2025", "is not a date"),
        ("2025/03/08", "is not a date"),
        ("3/8/25", "is not a date"),
        ("2025-03", "is not a date"),
        ("tomorrow", "is not a date"),
        ("2025-02-29", "not in the calendar"),
        ("2025-13-01", "not in the calendar"),
        ("0225-03-08", "in the year 225"),
        ("9999-12-31", "in the year 9999"),
    ],
)
def test_refuses_in_words(written: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        parse_date(written)
