"""Readings collected: samples, characteristics, what a step asks for.

Mean and standard deviation are held against NIST's certified values in the tests of
`reference.statistics`; here that the right values reach them, in the right unit.
"""

from datetime import date
from pathlib import Path

import pytest

from buildbook.ledger.ledger import Ledger, derive
from buildbook.records.limits import Verdict
from buildbook.records.read import read

FILES = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
    "tools.yml": "- {tool: calipers, title: Calipers, uncertainty: 0.002 in}\n",
    "parts.yml": "- part: R-1\n  name: Rib\n  quantity: 3\n"
    "  limits: {reading: web gap, max: 0.5 mm, source: Drawing R-1}\n"
    "- {part: S-1, name: Spar}\n",
    "sections.yml": """section: tail
title: Tail
steps:
  - step: rivet
    title: Rivet
    parts: R-1, S-1
    limits:
      - {reading: Shop head, min: 0.100 in, parts: S-1, source: For the spar}
      - {reading: shop head, min: 0.163 in, source: For all else}
""",
}


def book(folder: Path, sessions: str, asked: str = "", **files: str) -> Ledger:
    contents = {**FILES, **files}
    if asked:
        contents["sections.yml"] += f"    required readings:\n{asked}"
    contents["sessions/a.yml"] = "date: 2025-03-01\nstep: tail/rivet\nhours: 1\n" + sessions
    for name, text in contents.items():
        path = folder / name.replace("__", "/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    reading = read(folder, date(2025, 12, 31))
    assert not reading.errors, reading.errors
    return derive(reading.book)


def test_a_characteristic_is_one_whatever_its_capitals_and_units(tmp_path: Path) -> None:
    ledger = book(
        tmp_path,
        "readings:\n"
        "  - {reading: shop head, values: '0.190, 0.188 in', part: R-1}\n"
        "  - {reading: Shop  Head, values: 4.826 mm, piece: R-1-02, tool: calipers}\n",
    )
    [one] = ledger.readings.characteristics
    assert (one.name, one.slug, one.unit) == ("shop head", "shop-head", "in")
    [run] = one.runs
    assert run.tally.values == pytest.approx((0.190, 0.188, 0.190))
    assert (run.tally.inside, run.tally.near, run.tally.outside, run.tally.stated) == (3, 0, 0, 1)
    assert run.tally.sample.mean == pytest.approx(0.568 / 3)
    # Deviations from the mean: 2/3, -4/3 and 2/3 thousandths; their squares add up to 24/9.
    assert run.tally.sample.deviation == pytest.approx((24 / 9 / 2) ** 0.5 / 1000)


def test_a_limit_of_some_parts_holds_for_those(tmp_path: Path) -> None:
    ledger = book(
        tmp_path,
        "readings:\n"
        "  - {reading: shop head, values: 0.120 in, part: S-1}\n"
        "  - {reading: shop head, values: 0.164 in, part: R-1, tool: calipers}\n"
        "  - {reading: shop head, values: 0.15 in, part: R-1, min: 0.14 in, source: Mine}\n",
    )
    judged = list(ledger.readings.judged.values())
    assert [
        (j.worst, j.bounds and j.bounds.source, j.bounds and j.bounds.given_by) for j in judged
    ] == [
        (Verdict.INSIDE, "For the spar", "step"),
        (Verdict.NEAR, "For all else", "step"),
        (Verdict.INSIDE, "Mine", "reading"),
    ]
    [one] = ledger.readings.characteristics
    assert len(one.runs) == 3
    assert (one.count("inside"), one.count("near"), one.count("outside")) == (2, 1, 0)


def test_a_limit_of_the_part_and_none(tmp_path: Path) -> None:
    ledger = book(
        tmp_path,
        "readings:\n"
        "  - {reading: web gap, values: 0.01 in, piece: R-1-01}\n"
        "  - {reading: web gap, values: 0.01 in, part: S-1}\n",
    )
    first, second = ledger.readings.judged.values()
    assert first.bounds
    assert (first.worst, first.bounds.given_by) == (Verdict.INSIDE, "part")
    assert (second.worst, second.bounds) == (Verdict.NONE, None)


def test_names_that_no_address_can_hold_get_pages_of_their_own(tmp_path: Path) -> None:
    ledger = book(
        tmp_path,
        "readings:\n"
        "  - {reading: зазор, values: 1 mm}\n"
        "  - {reading: угол, values: 1 deg}\n"
        "  - {reading: a/b, values: 1 mm}\n"
        "  - {reading: a-b, values: 1 mm}\n",
    )
    slugs = [c.slug for c in ledger.readings.characteristics]
    assert sorted(slugs) == ["a-b", "a-b-2", "reading", "reading-2"]


def lacking(ledger: Ledger) -> list[str]:
    return [a.lack for a in ledger.readings.asked["tail/rivet"] if a.lack]


SHOP = "      - {reading: shop head, min: 0.163 in"


def test_a_reading_asked_for_in_all(tmp_path: Path) -> None:
    assert lacking(book(tmp_path / "a", "", f"{SHOP}}}\n")) == ["not measured: shop head"]
    some = "readings: [{reading: Shop Head, values: '0.17, 0.18 in'}]\n"
    assert lacking(book(tmp_path / "b", some, f"{SHOP}, count: 3}}\n")) == [
        "2 of 3 values measured: shop head"
    ]
    assert lacking(book(tmp_path / "c", some, f"{SHOP}, count: 2}}\n")) == []


def test_a_reading_asked_for_of_every_piece(tmp_path: Path) -> None:
    some = (
        "readings:\n"
        "  - {reading: shop head, values: 0.17 in, piece: R-1-01}\n"
        "  - {reading: shop head, values: 0.17 in, part: R-1}\n"
        "  - {reading: shop head, values: 0.17 in, part: S-1}\n"
    )
    assert lacking(book(tmp_path, some, f"{SHOP}, each: yes}}\n")) == [
        "not measured: shop head of R-1-02",
        "not measured: shop head of R-1-03",
    ]  # a part with one piece needs no label


def test_a_reading_asked_for_of_parts_and_of_pieces(tmp_path: Path) -> None:
    some = "readings: [{reading: shop head, values: 0.17 in, piece: R-1-02}]\n"
    assert lacking(book(tmp_path / "a", some, f"{SHOP}, parts: [R-1, S-1]}}\n")) == [
        "not measured: shop head of S-1"
    ]
    assert lacking(book(tmp_path / "b", some, f"{SHOP}, pieces: [R-1-01, R-1-02]}}\n")) == [
        "not measured: shop head of R-1-01"
    ]


OUT = "readings: [{reading: shop head, values: 0.15 in, piece: R-1-01, squawk: 1}]\n"
SQUAWK = "{squawk: 1, title: Low head, found: 2025-03-01, by: ada}\n"


def test_outside_is_missing_until_somebody_has_decided(tmp_path: Path) -> None:
    asked = f"{SHOP}, pieces: R-1-01}}\n"
    said = lacking(book(tmp_path / "a", OUT, asked, **{"squawks.yml": SQUAWK}))
    assert said == ["outside its limit: shop head of R-1-01, squawk 1 is not closed"]
    closed = SQUAWK.replace("}\n", ", closed: {date: 2025-03-02, by: ada}}\n")
    assert lacking(book(tmp_path / "b", OUT, asked, **{"squawks.yml": closed})) == []


def test_a_later_reading_of_the_same_counts(tmp_path: Path) -> None:
    later = (
        "date: 2025-03-05\nstep: tail/rivet\nhours: 1\n"
        "readings: [{reading: shop head, values: 0.17 in, piece: R-1-01}]\n"
    )
    asked = f"{SHOP}, pieces: R-1-01}}\n"
    files = {"squawks.yml": SQUAWK, "sessions__b.yml": later}
    ledger = book(tmp_path, OUT, asked, **files)
    assert lacking(ledger) == []
    assert [m.session for m in ledger.readings.about[1]] == ["2025-03-01"]
