"""Quantities as pages show them: in the book's unit, with what was written where that differs."""

import pytest

from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.quantities import parse_quantity


def context(**units: str) -> Context:
    book = Book(
        file=BookFile.model_validate(
            {
                "title": "A small book",
                "aircraft": {"model": "Nothing"},
                "builder": "ada",
                "time zone": "Europe/Copenhagen",
                "units": units,
            }
        )
    )
    return Context(book, derive(book))


METRIC = {"length": "mm", "torque": "N·m", "temperature": "°C", "mass": "kg"}
INCHES = {"length": "in", "torque": "in-lb", "temperature": "°F", "mass": "lb"}


# 1 in = 25.4 mm and 1 lb = 0.453 592 37 kg exactly; 1 lbf = 4.448 221 615 260 5 N (NIST Special
# Publication 811, 2008 edition, appendix B); °F = 1.8 °C + 32.
@pytest.mark.parametrize(
    ("units", "written", "shown"),
    [
        (METRIC, "0.032 in", "0.8128 mm (0.032 in)"),
        (METRIC, "3/32 in", "2.381 mm (3/32 in)"),
        (METRIC, "25 in-lb", "2.825 N·m (25 in-lb)"),
        (METRIC, "68 °F", "20 °C (68 °F)"),
        (METRIC, "100 lb", "45.36 kg (100 lb)"),
        (INCHES, "25.4 mm", "1 in (25.4 mm)"),
        (INCHES, "1.4 N·m", "12.39 in-lb (1.4 N·m)"),
        (INCHES, "17 °C", "62.6 °F (17 °C)"),
        # In the book's own unit it is shown once, as it was written.
        (INCHES, "0.032 in", "0.032 in"),
        (INCHES, ".032 in", ".032 in"),
        (INCHES, "0.250 in", "0.250 in"),
        (INCHES, "25 in-lb", "25 in-lb"),
        (METRIC, "1.4 N·m", "1.4 N·m"),
        (METRIC, "17 °C", "17 °C"),
        (METRIC, "10 mm", "10 mm"),
        (METRIC, "100 mm", "100 mm"),
        # Of what a book has no unit for, only what was written.
        (METRIC, "55 %", "55 %"),
        (INCHES, "2.4 bar", "2.4 bar"),
        (METRIC, "2.5 milliohm", "2.5 milliohm"),
    ],
)
def test_quantity(units: dict[str, str], written: str, shown: str) -> None:
    assert context(**units).quantity(parse_quantity(written)) == shown


def test_limits() -> None:
    show = context(**INCHES).limit
    low, high = parse_quantity("0.25 in"), parse_quantity("0.30 in")
    assert show(low, None) == "at least 0.25 in"
    assert show(None, high) == "at most 0.30 in"
    assert show(low, high) == "0.25 in to 0.30 in"
    assert show(None, None) == ""
