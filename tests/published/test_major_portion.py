"""Shares in tenths against the published procedure of the United States.

FAA fabrication and assembly checklist (2011), seen: a point a task, shared in tenths between A, the
maker; B, commercial assistance; C, the builder's assembly; D, the builder's fabrication; its own
example is A .5 + B .3 + D .2 = 1. Tasks that do not apply are left out, others may be added (seen).
That C and D together are held against half of the tasks that apply: from memory.
"""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sites import BASE, SmallSite

from buildbook.ledger.ledger import derive
from buildbook.records.read import read
from buildbook.records.task import Task
from buildbook.reference.shares import Shares, add_up, points


def task(**fields: object) -> Task:
    given = {name: str(value) for name, value in fields.items()}
    return Task.model_validate({"task": "t", "title": "T", "group": "G", **given})


def test_the_forms_own_example() -> None:
    shared = task(maker=".5", help=".3", fabrication=".2")
    assert shared.shares == (5, 3, 0, 2)
    shares = add_up([shared.shares])
    assert [points(x) for x in shares.tenths] == ["0.5", "0.3", "0.0", "0.2"]
    assert points(sum(shares.tenths)) == "1.0"
    assert points(shares.builder) == "0.2"


@pytest.mark.parametrize(("builder", "over"), [(51, True), (50, False), (49, False), (0, False)])
def test_of_ten_tasks_5_1_is_over_half_and_5_0_is_not(builder: int, over: bool) -> None:
    shares = Shares(10, (100 - builder, 0, builder, 0))
    assert shares.over_half is over
    assert points(shares.whole) == "10.0"


def test_tenths_add_up_exactly_where_floats_do_not() -> None:
    shares = add_up([(7, 0, 2, 1)] * 3)
    assert points(shares.builder) == "0.9"
    assert sum([0.1] * 3 + [0.2] * 3) != 0.9  # what floats would have said


@given(
    st.lists(st.integers(0, 10).flatmap(lambda c: st.tuples(st.just(c), st.integers(0, 10 - c))))
)
def test_groups_add_up_to_the_whole(rows: list[tuple[int, int]]) -> None:
    tenths = [(10 - c - d, 0, c, d) for c, d in rows]
    whole = add_up(tenths)
    assert sum(whole.tenths) == whole.whole == 10 * len(rows)
    halves = add_up(tenths[::2]), add_up(tenths[1::2])
    assert tuple(map(sum, zip(*(h.tenths for h in halves), strict=True))) == whole.tenths


def test_a_percentage_never_says_too_much() -> None:
    assert Shares(3, (10, 0, 20, 0)).percent() == "66.6 %"
    assert Shares(0, (0, 0, 0, 0)).percent() == ""


def tasks(builder: int) -> str:
    """Ten tasks, of which so many tenths are the builder's."""
    text = ""
    for i in range(10):
        own = min(10, max(0, builder - 10 * i))
        shares = f"assembly: {own}, maker: {10 - own}"
        text += f"- {{task: t{i}, title: Task {i}, group: Tail, steps: fin/skeleton, {shares}}}\n"
    return text + "- {task: floats, title: Floats, group: Gear, applies: no, why: Wheels.}\n"


@pytest.mark.parametrize(("builder", "words"), [(51, "more than half"), (50, "not more than half")])
def test_the_page_gives_the_arithmetic_and_no_finding(
    small_site: SmallSite, builder: int, words: str
) -> None:
    book = str(BASE["book.yml"]).replace("F-1\n", "F-1\n  authority: FAA\n")
    site = small_site({**BASE, "book.yml": book, "tasks.yml": tasks(builder)})
    page = site.page("evidence")
    text = page.one("article").text if page.all("article") else page.text
    assert f"{points(builder)} of 10.0 points ({builder}.0 %), counting 10 tasks" in text
    assert f"that is {words}." in text
    assert "14 CFR 21.191(g)" in text
    assert "Only the authority decides" in text
    assert not re.search(r"\bpass(es|ed)?\b|\bfail|qualif|eligib|complian", text, re.IGNORECASE)


def test_what_nobody_shared_counts_in_the_whole(tmp_path: Path) -> None:
    text = tasks(51) + "- {task: more, title: More, group: Tail}\n"
    for name, content in {**BASE, "tasks.yml": text}.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(content), encoding="utf-8")
    found = derive(read(tmp_path).book).evidence
    assert found.whole.tasks == 11
    assert found.whole.untold == 10
    assert not found.whole.over_half  # 5.1 of 11
    assert [row.task.task for row in found.unshared] == ["more"]
