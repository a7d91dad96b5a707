"""Air, storage, lots, notices and money, on small books whose figures are worked out by hand."""

from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from sites import BASE

from buildbook.ledger.closing import lacks
from buildbook.ledger.due import due
from buildbook.ledger.ledger import Ledger, derive
from buildbook.ledger.money import NOT_SAID, money
from buildbook.ledger.notices import NoticeState
from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.cost import Cost
from buildbook.records.lot import Lot
from buildbook.records.read import read

BOOK = str(BASE["book.yml"])
RULE = """\
storage:
  inspect bare parts every: 3 months
  inspected by: inspect
  protected by: prime
"""
OPERATIONS = """\
- {operation: deburr, title: Deburr}
- {operation: drill, title: Drill}
- {operation: inspect, title: Inspect}
- {operation: prime, title: Prime, conditions: {margin: 3 °C, humidity: at most 75 %}}
- {operation: seal, title: Seal, air matters: yes}
"""
PARTS = """\
- {part: FN-01, name: Rear spar, route: [deburr, prime]}
- part: FN-02-L
  name: Nose rib
  quantity: 4
  route: [deburr, prime]
  pieces:
    - {piece: 01 to 03}
    - {piece: "04", scrapped: 2025-03-20}
    - {piece: "05", replaces: "04"}
    - {piece: "06", spare: yes}
"""


def made(tmp_path: Path, *sessions: str, **files: str) -> tuple[Book, Ledger]:
    """Make a book from the texts of sessions and other files, which must be without a mistake.

    A lot may be past its date: that is what some of them are about.
    """
    texts = {**BASE, "operations.yml": OPERATIONS, "parts.yml": PARTS}
    texts |= {f"{name}.yml": text for name, text in files.items()}
    texts |= {f"sessions/{i:02}.yml": text for i, text in enumerate(sessions)}
    for name, text in texts.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    reading = read(tmp_path, date(2026, 1, 1))
    assert {p.code for p in reading.errors} <= {"lot-expired"}
    return reading.book, derive(reading.book)


def session(day: str, **fields: Any) -> str:
    named = {name.replace("_", " "): value for name, value in fields.items()}
    timed = {} if "from" in fields else {"hours": "1h"}
    return yaml.safe_dump({"date": day, "step": "fin/skeleton", **timed, **named})


# Air.


def test_each_piece_of_work_has_its_air(tmp_path: Path) -> None:
    work = [
        {"step": "fin/skeleton", "operation": "prime", "parts": "FN-01"},
        {"step": "fin/skeleton", "operation": "prime", "air": "17 °C, 80 %", "knowingly": "Why."},
        {"step": "fin/skeleton", "operation": "seal"},
        {"step": "fin/skeleton", "operation": "deburr"},
    ]
    dry = {"temperature": "17 °C", "humidity": "50 %", "surface": "17 °C"}
    text = yaml.safe_dump({"date": "2025-03-08", "hours": "4h", "work": work, "air": dry})
    _, ledger = made(tmp_path, text, session("2025-03-09", operation="seal"))
    prime, damp, seal = ledger.air.of_session["2025-03-08"]
    assert (prime.index, prime.faults, prime.knowingly) == (0, (), "")
    assert (damp.index, damp.knowingly) == (1, "Why.")
    assert len(damp.faults) == 2  # the humidity, and the metal that was not measured
    assert (seal.operation, seal.faults) == ("seal", ())
    assert [row.air is None for row in ledger.air.of_operation["seal"]] == [False, True]


def test_mean_humidity_is_of_the_readings_in_those_days(tmp_path: Path) -> None:
    sessions = [
        session(f"2025-03-{day:02}", air=f"17 °C, {humidity} %")
        for day, humidity in ((1, 40), (5, 50), (5, 70), (9, 80))
    ]
    sessions[2] += "title: Again\n"
    _, ledger = made(tmp_path, *sessions)
    assert ledger.air.humidity(date(2025, 3, 1), date(2025, 3, 8)) == (pytest.approx(160 / 3), 3)
    assert ledger.air.humidity(date(2025, 3, 5), date(2025, 3, 5)) == (pytest.approx(60), 2)
    assert ledger.air.humidity(date(2025, 3, 2), date(2025, 3, 4)) is None


# Storage.


def test_pieces_are_followed_from_their_wrapping_to_the_primer(tmp_path: Path) -> None:
    book, ledger = made(
        tmp_path,
        session("2025-03-01", unwrapped="FN-02-L", air="17 °C, 60 %"),
        session("2025-03-11", operation="prime", parts="FN-02-L", pieces="01", air="17 °C, 50 %"),
        session("2025-06-02", operation="inspect", parts="FN-02-L"),
        session("2025-06-10"),
        book=BOOK + RULE,
    )
    first, bare, scrapped = ledger.storage.rows
    assert (first.pieces, first.ended, first.end) == (
        ("FN-02-L-01",),
        date(2025, 3, 11),
        "prime",
    )
    assert first.days(date(2030, 1, 1)) == 10
    assert first.humidity == (pytest.approx(55), 2)
    assert (first.looked, first.due) == ((), None)
    # The replacement was not there yet, and a spare is not followed.
    assert bare.pieces == ("FN-02-L-02", "FN-02-L-03")
    assert [x.date for x in bare.looked] == [date(2025, 6, 2)]
    assert (bare.ended, bare.due) == (None, date(2025, 9, 2))
    assert bare.days(date(2025, 6, 10)) == 101
    assert (scrapped.pieces, scrapped.ended, scrapped.end) == (
        ("FN-02-L-04",),
        date(2025, 3, 20),
        "scrapped",
    )
    assert ledger.storage.due(date(2025, 8, 2)) == ()
    assert ledger.storage.due(date(2025, 8, 3)) == (bare,)
    assert ledger.storage.due(date(2025, 8, 2), within=31) == (bare,)
    assert ledger.storage.bare == (bare,)
    assert ledger.as_of == date(2025, 6, 10)
    assert book.file.storage == ledger.storage.rule


def test_what_is_built_in_is_bare_no_more(tmp_path: Path) -> None:
    parts = PARTS.replace("name: Rear spar,", "name: Rear spar, unwrapped: 2025-02-01,")
    plan = str(BASE["sections/fin.yml"]).replace("parts: FN-01\n", "without parts: yes\n")
    _, ledger = made(
        tmp_path,
        session("2025-03-01", finished="yes"),
        parts=parts,
        book=BOOK + RULE,
        **{"sections/fin": plan},
    )
    (row,) = ledger.storage.rows
    assert (row.ended, row.end, row.due) == (date(2025, 3, 1), "built in", None)


def test_the_first_inspection_counts_from_the_unwrapping(tmp_path: Path) -> None:
    """2025-11-30 and three months: the last day of February."""
    parts = PARTS.replace("name: Rear spar,", "name: Rear spar, unwrapped: 2025-11-30,")
    _, ledger = made(tmp_path, session("2025-12-01"), parts=parts, book=BOOK + RULE)
    assert [row.due for row in ledger.storage.rows] == [date(2026, 2, 28)]


def test_without_a_rule_days_are_counted_and_nothing_is_due(tmp_path: Path) -> None:
    _, ledger = made(tmp_path, session("2025-03-01", unwrapped="FN-01"), session("2025-03-04"))
    (row,) = ledger.storage.rows
    assert (row.due, row.days(date(2025, 3, 4))) == (None, 3)
    assert ledger.storage.due(date(2030, 1, 1)) == ()


# Lots.

LOTS = """\
- {lot: a, title: A, made: 2024-06, shelf life: 9 months}
- {lot: b, title: B, life once opened: 1 month}
- {lot: c, title: C, expires: 2025-05-01, used up: 2025-04-01}
- {lot: d, title: D}
"""


def test_a_lot_is_traced_both_ways(tmp_path: Path) -> None:
    work = [
        {"step": "fin/skeleton", "hours": "1h", "parts": "FN-02-L", "pieces": "02, 03"},
        {"step": "fin/close", "hours": "1h", "lots": "b", "knowingly": "Tested."},
    ]
    _, ledger = made(
        tmp_path,
        session("2025-02-28", parts="FN-01", lots="a, b"),
        yaml.safe_dump({"date": "2025-04-01", "work": work, "lots": ["a"]}),
        lots=LOTS,
    )
    a, b = ledger.lots.traces["a"], ledger.lots.traces["b"]
    assert a.usable_until == date(2025, 3, 31)
    assert [(u.step, u.parts, u.past) for u in a.uses] == [
        ("fin/skeleton", ("FN-01",), 0),
        ("fin/skeleton", ("FN-02-L",), 1),
        ("fin/close", (), 1),  # named for the whole session, so for all of its work
    ]
    assert a.pieces == ("FN-01-01", "FN-02-L-02", "FN-02-L-03")
    assert (a.parts, a.sections) == (("FN-01", "FN-02-L"), ("fin",))
    assert a.sessions == ("2025-02-28", "2025-04-01")
    assert (b.opened, b.usable_until) == (date(2025, 2, 28), date(2025, 3, 28))
    assert [(u.past, u.knowingly) for u in b.uses] == [(0, ""), (4, "Tested.")]
    assert {u.lot for u in ledger.lots.of_section["fin"]} == {"a", "b"}
    assert {u.lot for u in ledger.lots.of_part["FN-02-L"]} == {"a"}
    assert [u.lot for u in ledger.lots.out_of_date_in("fin/skeleton")] == ["a"]
    assert [u.lot for u in ledger.lots.out_of_date_in("fin/close")] == ["a"]
    assert ledger.lots.traces["d"].uses == ()


def test_lots_that_expire_soon(tmp_path: Path) -> None:
    _, ledger = made(tmp_path, session("2025-03-01", lots="b"), lots=LOTS)
    on = date(2025, 3, 2)
    assert [t.lot for t in ledger.lots.expiring(on)] == ["a", "b"]  # c is used up, d has no date
    assert [t.lot for t in ledger.lots.expiring(on, within=29)] == ["a"]
    assert ledger.lots.expiring(on, within=28) == ()


def test_what_was_mixed_and_how_long_it_was_used(tmp_path: Path) -> None:
    """Over midnight, and over the hour that the clocks put back on 2025-10-26 at 03:00."""
    mixed = [
        {"lots": "a, b", "at": "23:50", "pot life": "20 min"},
        {"lots": "b, d", "at": "0:20", "pot life": "30 min", "until": "0:50"},
        {"lots": "c", "at": "0:30", "pot life": "2h"},
    ]
    night = {"from": "23:30", "to": "1:00", "knowingly": "Cold."}
    clocks = {"from": "1:30", "to": "3:30"}
    over = [{"lots": "d", "at": "1:40", "pot life": "90 min"}]
    untimed = [{"lots": "d", "at": "9:00", "pot life": "10 min"}]
    _, ledger = made(
        tmp_path,
        session("2025-03-01", mixed=mixed, **night),
        session("2025-10-26", mixed=over, knowingly="Cold.", **clocks),
        session("2025-11-01", mixed=untimed),
        lots=LOTS.replace("made: 2024-06", "made: 2025-01").replace(", used up: 2025-04-01", ""),
    )
    of = ledger.lots.mixed_of_session
    first, second, third = of["2025-03-01"]
    # Until the same lot is mixed again; until stated; until the work ended.
    assert [(m.minutes, m.over) for m in (first, second, third)] == [(30, 10), (30, 0), (30, 0)]
    assert first.at == datetime(2025, 3, 1, 22, 50, tzinfo=UTC)
    (clock,) = of["2025-10-26"]
    assert (clock.minutes, clock.over) == (170, 80)
    (unknown,) = of["2025-11-01"]
    assert (unknown.until, unknown.minutes, unknown.over) == (None, None, 0)
    assert [m.session for m in ledger.lots.mixed_of_lot["d"]] == [
        "2025-03-01",
        "2025-10-26",
        "2025-11-01",
    ]
    # What is mixed is used.
    assert ledger.lots.traces["c"].sessions == ("2025-03-01",)


# Notices.

NOTICES = """\
- {notice: N-1, title: Once, issued: 2025-01-01, applies: yes, parts: FN-01, due: 2025-02-01}
- {notice: N-2, title: Undecided, issued: 2025-01-02, steps: fin/close}
- {notice: N-3, title: Not ours, issued: 2025-01-03, applies: no, why: Other serials.}
- {notice: N-4, title: Again, issued: 2025-01-04, applies: yes, every: 6 months, sections: fin,
   done: [2025-01-31, {date: 2025-02-28, notes: Looked.}]}
- {notice: N-5, title: Newer, issued: 2025-01-05, applies: yes, supersedes: N-6}
- {notice: N-6, title: Older, issued: 2025-01-04, applies: yes}
- {notice: N-7, title: Never done, issued: 2025-01-04, applies: yes, every: 12 months}
- {notice: N-8, title: Before, issued: 2025-01-06, applies: yes, before: [fin/close, fin/skeleton],
   done: 2025-01-07}
"""


def test_where_each_notice_stands(tmp_path: Path) -> None:
    _, ledger = made(
        tmp_path,
        session("2025-02-28", notices="N-4, N-5"),
        session("2025-08-31", notices="N-4"),
        notices=NOTICES,
    )
    rows = ledger.notices.rows
    assert {n: row.state for n, row in rows.items()} == {
        "N-1": NoticeState.OPEN,
        "N-2": NoticeState.UNDECIDED,
        "N-3": NoticeState.NOT_APPLICABLE,
        "N-4": NoticeState.RECURRING,
        "N-5": NoticeState.DONE,
        "N-6": NoticeState.SUPERSEDED,
        "N-7": NoticeState.OPEN,
        "N-8": NoticeState.DONE,
    }
    assert [(t.date, t.session, t.notes) for t in rows["N-4"].times] == [
        (date(2025, 1, 31), None, ""),
        (date(2025, 2, 28), "2025-02-28", "Looked."),
        (date(2025, 8, 31), "2025-08-31", ""),
    ]
    assert rows["N-4"].due == date(2026, 2, 28)
    assert rows["N-6"].superseded_by == "N-5"
    opens = [row.notice.notice for row in ledger.notices.open(date(2025, 9, 1))]
    assert opens == ["N-1", "N-2", "N-7"]
    later = [row.notice.notice for row in ledger.notices.open(date(2026, 1, 29))]
    assert later == ["N-1", "N-4", "N-2", "N-7"]
    assert rows["N-1"].is_overdue(date(2025, 2, 2))
    assert not rows["N-1"].is_overdue(date(2025, 2, 1))
    assert not rows["N-4"].is_overdue(date(2026, 2, 28))
    assert rows["N-4"].is_overdue(date(2026, 3, 1))
    assert ledger.notices.of_part == {"FN-01": ("N-1",)}
    assert ledger.notices.of_step == {
        "fin/skeleton": ("N-1", "N-8"),
        "fin/close": ("N-1", "N-2", "N-8"),
    }
    assert ledger.notices.of_section == {"fin": ("N-1", "N-2", "N-4", "N-8")}
    assert ledger.notices.of_session["2025-02-28"] == ("N-4", "N-5")


WAITED_FOR = """\
- {notice: N-1, title: Open, issued: 2025-01-01, applies: yes, before: fin/close}
- {notice: N-2, title: Undecided, issued: 2025-01-01, before: [fin/close, fin/skeleton]}
- {notice: N-3, title: Not ours, issued: 2025-01-01, applies: no, why: No., before: fin/close}
- {notice: N-4, title: Again, issued: 2025-01-01, applies: yes, every: 1 month, before: fin/close,
   done: 2025-01-02}
- {notice: N-5, title: Old, issued: 2025-01-01, applies: yes, before: fin/close}
- {notice: N-6, title: New, issued: 2025-01-02, applies: yes, supersedes: N-5}
- {notice: N-7, title: Only touches it, issued: 2025-01-02, applies: yes, steps: fin/close}
- {notice: N-8, title: Done in a session, issued: 2025-01-02, applies: yes, before: fin/close}
"""


def test_what_is_to_be_done_before_a_closing_is_in_its_way_until_it_is_done(tmp_path: Path) -> None:
    book, ledger = made(tmp_path, session("2025-03-01", notices="N-8"), notices=WAITED_FOR)
    in_the_way = [row.notice.notice for row in ledger.notices.in_the_way("fin/close")]
    assert in_the_way == ["N-1", "N-2"]
    said = [lack.said for lack in lacks(ledger, book, "fin/close") if lack.what == "notice"]
    assert said == ["notice N-1 is open: Open", "notice N-2 is to be decided: Undecided"]
    assert ledger.notices.in_the_way("rudder/none") == ()


# Money.


def test_costs_by_section_month_and_kind(tmp_path: Path) -> None:
    costs = """\
- {what: Kit, cost: 1000 EUR, date: 2025-01-31, kind: kit, section: fin}
- {what: Pin, cost: 14 USD at 0.8625, date: 2025-02-01, kind: kit, section: fin}
- {what: Course, cost: 0.10 EUR, date: 2025-02-28, kind: service}
"""
    lots = "- {lot: a, title: A, bought: 2025-02-03, cost: 0.20 EUR}\n- {lot: b, title: B}\n"
    tools = "- {tool: t, title: T, cost: 189 USD at 0.9}\n"
    _, ledger = made(tmp_path, session("2025-03-01"), costs=costs, lots=lots, tools=tools)
    totals = ledger.money
    assert [(r.key, str(r.amount), r.count) for r in totals.by_section.rows] == [
        ("fin", "1012.08", 2),  # 14 x 0.8625 = 12.075
        (NOT_SAID, "170.40", 3),
    ]
    assert [(r.key, str(r.amount)) for r in totals.by_month.rows] == [
        ("2025-01", "1000"),
        ("2025-02", "12.38"),  # and 0.10 + 0.20 are 0.30
        (NOT_SAID, "170.10"),
    ]
    assert [r.key for r in totals.by_kind.rows] == ["kit", "lot", "tool", "service"]
    assert totals.total == Decimal("1182.48")
    assert [s.what for s in totals.spent] == ["Kit", "Pin", "A", "Course", "T"]


AMOUNTS = st.lists(
    st.tuples(
        st.integers(0, 10**8).map(lambda cents: Decimal(cents).scaleb(-2)),
        st.sampled_from(("EUR", "USD", "GBP")),
        st.integers(1, 10**6).map(lambda n: Decimal(n).scaleb(-4)),
        st.dates(date(2024, 1, 1), date(2025, 12, 31)),
        st.sampled_from(("kit", "tool", "lot", "service", "other")),
        st.sampled_from((None, "fin", "wing")),
    ),
    max_size=30,
)


@given(AMOUNTS, st.sampled_from(("EUR", "USD", "JPY", "KWD")))
def test_every_total_is_the_sum_of_the_rows_shown(rows: list[Any], currency: str) -> None:
    costs = tuple(
        Cost.model_validate(
            {"what": "x", "cost": f"{amount:f} {code} at {rate:f}", "date": f"{day}", "kind": kind}
            | ({"section": section} if section else {})
        )
        for amount, code, rate, day, kind, section in rows
    )
    lots = {
        f"l{i}": Lot.model_validate({"lot": f"l{i}", "title": "x", "cost": f"{cost.cost.written}"})
        for i, cost in enumerate(costs[:3])
    }
    file = {"title": "T", "aircraft": {"model": "M"}, "builder": "b", "time zone": "UTC"}
    book = Book(BookFile.model_validate(file | {"currency": currency}), costs=costs, lots=lots)
    ledger = money(book)
    shown = sum((s.amount for s in ledger.spent if s.amount is not None), Decimal())
    for table in (ledger.by_section, ledger.by_month, ledger.by_kind):
        assert table.total == sum((row.amount for row in table.rows), Decimal()) == shown
        assert sum(row.count for row in table.rows) == len(ledger.spent) == len(costs) + len(lots)
    assert ledger.total == shown
    assert ledger.unconverted == ()


def test_what_has_no_rate_is_in_no_total() -> None:
    file = {"title": "T", "aircraft": {"model": "M"}, "builder": "b", "time zone": "UTC"}
    costs = tuple(
        Cost.model_validate({"what": "x", "cost": cost, "date": "2025-01-01"})
        for cost in ("1 EUR", "5 USD")
    )
    ledger = money(Book(BookFile.model_validate(file), costs=costs))
    assert ledger.total == 1
    assert [s.paid.currency for s in ledger.unconverted] == ["USD"]
    assert [row.count for row in ledger.by_kind.rows] == [1]


# What is due.


def test_what_is_due_comes_with_its_day(tmp_path: Path) -> None:
    parts = PARTS.replace("name: Rear spar,", "name: Rear spar, unwrapped: 2025-01-01,")
    book, ledger = made(
        tmp_path,
        session("2025-03-01", lots="b"),
        lots=LOTS,
        notices=NOTICES,
        parts=parts,
        book=BOOK + RULE,
    )
    found = due(ledger, book, date(2025, 4, 1))
    assert [(one.what, one.by, one.overdue) for one in found] == [
        ("notice", date(2025, 2, 1), True),
        ("lot", date(2025, 3, 31), True),
        ("inspect", date(2025, 4, 1), False),
        ("lot", date(2025, 4, 1), False),
        ("notice", None, False),
        ("notice", None, False),
        ("notice", None, False),
    ]
    assert found[2].said == "look at FN-01 for corrosion, bare for 90 days"
    assert found[1].said == "a expired: A"
    assert found[4].said == "decide N-2: Undecided"
