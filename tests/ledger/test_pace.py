"""The pace of small books worked out by hand."""

from datetime import date, timedelta

import pytest
from small_book import small_book

from buildbook.ledger.pace import NoCurve, pace
from buildbook.ledger.time import stints
from buildbook.reference.learning import unit_factor


def work(day, minutes, pieces, *, operation="flute", parts="RIB", title=None):
    fields = {
        "date": day,
        "step": "fin/ribs",
        "operation": operation,
        "parts": parts,
        "hours": f"{minutes} min",
    }
    if pieces:
        fields["pieces"] = pieces
    if title:
        fields["title"] = title
    return fields


def book_of(*sessions, parts=None):
    return small_book({"fin/ribs": 600}, sessions, parts or {"RIB": 40, "CLIP": 4, "SKIN": 1})


def test_minutes_a_piece_by_session_and_over_all():
    book = book_of(
        work("2025-01-04", 120, "01 to 03"),
        work("2025-01-05", 150, "04 to 08"),
    )
    paces = pace(stints(book))
    flute = paces.by_operation["flute"]
    assert [(r.pieces, r.minutes, r.per_piece) for r in flute.rows] == [(3, 120, 40), (5, 150, 30)]
    assert (flute.pieces, flute.minutes, flute.per_piece) == (8, 270, 33.75)
    assert flute.range == (30, 40)
    assert flute.minutes_for(2) == 67.5
    assert (flute.curve, flute.why) == (None, NoCurve.FEW_SESSIONS)
    assert paces.of_part("flute", "RIB").minutes == 270
    assert paces.of_part("flute", "CLIP") is None
    assert paces.of_part("drill", "RIB") is None


def test_a_piece_done_again_is_no_new_piece_and_its_time_is_kept_apart():
    book = book_of(
        work("2025-01-04", 90, "01 to 03"),
        work("2025-01-05", 100, "03 to 07"),  # 03 again: a fifth of the time
        work("2025-01-06", 30, "01, 02"),
    )
    flute = pace(stints(book)).by_operation["flute"]
    assert [(r.pieces, r.minutes, r.again, r.again_minutes) for r in flute.rows] == [
        (3, 90, 0, 0),
        (4, 80, 1, 20),
        (0, 0, 2, 30),
    ]
    assert flute.rows[2].per_piece is None
    assert (flute.sessions, flute.pieces, flute.minutes, flute.again_minutes) == (2, 7, 170, 50)
    assert flute.minutes_for(7) == 220, "what seven pieces took in all, going over some again"
    assert flute.minutes + flute.again_minutes == 90 + 100 + 30


def test_the_same_piece_in_another_operation_is_new():
    book = book_of(
        work("2025-01-04", 30, "01 to 03"), work("2025-01-05", 60, "01 to 03", operation="drill")
    )
    assert pace(stints(book)).by_operation["drill"].pieces == 3


def test_time_on_several_parts_is_shared_by_their_pieces():
    day = work("2025-01-04", 100, None, parts="RIB, CLIP")
    day["pieces"] = {"RIB": "01 to 06", "CLIP": "all"}
    paces = pace(stints(book_of(day)))
    assert paces.of_part("flute", "RIB").minutes == 60
    assert paces.of_part("flute", "CLIP").minutes == 40
    assert paces.by_operation["flute"].minutes == 100
    assert [p.part for p in paces.parts_of("flute")] == ["RIB", "CLIP"]


def test_work_that_does_not_name_all_its_pieces_tells_no_pace():
    day = work("2025-01-05", 100, None, parts="RIB, CLIP")
    day["pieces"] = {"RIB": "01 to 06"}
    paces = pace(stints(book_of(work("2025-01-04", 45, None), day)))
    assert paces.untold == {"flute": 145}
    assert paces.by_operation == {}


def test_a_part_of_one_piece_needs_no_label():
    paces = pace(stints(book_of(work("2025-01-04", 45, None, parts="SKIN"))))
    assert paces.by_operation["flute"].per_piece == 45


def test_two_pieces_of_work_in_one_session_are_one_row():
    entry = {"step": "fin/ribs", "operation": "flute", "parts": "RIB"}
    day = {
        "date": "2025-01-04",
        "work": [
            {**entry, "pieces": "01", "hours": "20 min"},
            {**entry, "pieces": "02", "hours": "10 min"},
        ],
    }
    flute = pace(stints(book_of(day))).by_operation["flute"]
    assert [(r.pieces, r.minutes) for r in flute.rows] == [(2, 30)]


def run_of(minutes, per_session):
    """Sessions of so many pieces each, piece n taking minutes(n)."""
    sessions, made = [], 0
    for n, count in enumerate(per_session):
        whole = sum(minutes(k) for k in range(made + 1, made + count + 1))
        day = date(2025, 1, 4) + timedelta(days=n)
        sessions.append(work(str(day), round(whole), f"{made + 1:02} to {made + count:02}"))
        made += count
    return pace(stints(book_of(*sessions))).by_operation["flute"]


def test_a_learning_curve_is_found_again():
    flute = run_of(lambda n: 400 * unit_factor(0.8, n), (3, 4, 5, 6))
    assert flute.why is None
    assert flute.curve.slope == pytest.approx(0.8, abs=0.002)
    assert flute.curve.first == pytest.approx(400, rel=0.01)
    # The next two pieces: 400 * (19**b + 20**b), b = ln 0.8 / ln 2.
    assert flute.minutes_for(2) == pytest.approx(307.5, rel=0.01)


@pytest.mark.parametrize(
    ("minutes", "per_session", "why"),
    [
        (lambda n: 200 * unit_factor(0.8, n), (5, 5, 5), NoCurve.FEW_SESSIONS),
        (lambda n: 400 * unit_factor(0.8, n), (1, 2, 1, 2), NoCurve.FEW_PIECES),
        (lambda n: 20 + n, (3, 3, 3, 3), NoCurve.SLOWER),
        (lambda n: 500 * n**-1.5, (3, 3, 3, 3), NoCurve.TOO_STEEP),
        (lambda n: (40, 28, 45, 30, 36)[(n - 1) // 2], (2, 2, 2, 2, 2), NoCurve.NO_BETTER),
    ],
)
def test_why_no_curve_is_shown(minutes, per_session, why):
    flute = run_of(minutes, per_session)
    assert (flute.curve, flute.why) == (None, why)


def test_setting_up_is_taken_off_before_fitting():
    sessions, made = [], 0
    for n, count in enumerate((3, 4, 5, 6)):
        whole = 30 + sum(400 * unit_factor(0.8, k) for k in range(made + 1, made + count + 1))
        pieces = f"{made + 1:02} to {made + count:02}"
        sessions.append(work(f"2025-01-0{n + 1}", round(whole), pieces))
        made += count
    rows = stints(book_of(*sessions))
    assert pace(rows, {"flute": 30}).by_operation["flute"].curve.slope == pytest.approx(
        0.8, abs=0.002
    )
    assert pace(rows, {"flute": 9999}).by_operation["flute"].why is NoCurve.NO_FIT
