"""Short names that name somebody: renamed in an edition, with all that cites them."""

from pathlib import Path

from sites import BASE

from buildbook.handover.editions import edition
from buildbook.handover.shortnames import in_tags, renamed
from buildbook.ledger.ledger import derive
from buildbook.records.book import Book
from buildbook.records.checks.citations import check_citations, top_records
from buildbook.records.read import read
from buildbook.records.references import references
from buildbook.records.tool import Tool

FILES = {
    "people.yml": (
        "- {person: ada, name: Ada Fen, role: builder}\n"
        "- {person: jose, name: José Ríos, role: helper}\n"
        "- {person: ben, name: Ben Marsh, role: inspector}\n"
    ),
    "tools.yml": "- {tool: jose-s-vice, title: Vice}\n- {tool: j-r-s-vice, title: Another}\n",
    "lots.yml": "- {lot: glue-of-rios, title: Glue, notes: 'Beside [itself](lot:glue-of-rios).'}\n",
    "balance.yml": (
        "datum: Firewall\n"
        "estimate: {weight: 300 kg, arm: 1 m}\n"
        "stations: [{station: jose-seat, title: Seat, arm: 2 m}]\n"
        "cases: [{case: Alone, load: {jose-seat: 80 kg}}]\n"
    ),
    "sections/wing.yml": (
        "section: wing\ntitle: Wing\nsteps:\n"
        "  - {step: jose-jig, title: Jig, parts: FN-01, tools: jose-s-vice}\n"
    ),
    "sessions/a.yml": (
        "date: 2025-03-08\nstep: wing/jose-jig\nhours: 2h\nlots: glue-of-rios\n"
        "notes: With [glue](lot:glue-of-rios) in [the jig](step:wing/jose-jig).\n"
    ),
    "jig.md": "# Jig\n\nIt took [[total wing/jose-jig]], and `[[total wing/jose-jig]]` is code.\n",
}


def book_of(folder: Path) -> Book:
    for name, text in {**BASE, **FILES}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read(folder).book


def test_whatever_cites_them_goes_with_them(tmp_path: Path) -> None:
    book = book_of(tmp_path)
    made = edition(book, "public")
    assert {"wing/j-r-jig"} == {step for step in made.steps if step.startswith("wing/")}
    # One of that name was there before.
    assert set(made.tools) == {"j-r-s-vice", "j-r-s-vice-2"}
    assert made.tools["j-r-s-vice-2"].title == "Vice"
    assert made.steps["wing/j-r-jig"].tools == ("j-r-s-vice-2",)
    [session] = made.sessions.values()
    assert session.step == "wing/j-r-jig"
    assert session.notes == "With [glue](lot:glue-of-j-r) in [the jig](step:wing/j-r-jig)."
    assert made.lots["glue-of-j-r"].notes == "Beside [itself](lot:glue-of-j-r)."
    cited = [r for record in top_records(made) for r in references(record)]
    assert [p.message for p in check_citations(made, cited, frozenset())] == []
    here, there = derive(made), derive(book)
    assert here.hours.clock == there.hours.clock == 120
    assert here.balance.cases[0].full == there.balance.cases[0].full
    assert made.notes["jig.md"].count("[[total wing/j-r-jig]]") == 1


def test_names_stay_where_people_are_named(tmp_path: Path) -> None:
    made = edition(book_of(tmp_path), "inspector")
    assert "jose-s-vice" in made.tools
    assert "wing/jose-jig" in made.steps


def test_no_two_become_one() -> None:
    tools = [Tool.model_validate({"tool": n, "title": "A tool"}) for n in ("ab", "ac", "x", "x-2")]
    found = renamed(tools, lambda name: "x" if name.startswith("a") else name)
    assert found == {"ab": "x-3", "ac": "x-4"}
    assert renamed(tools, lambda _: "李") == {
        "ab": "renamed",
        "ac": "renamed-2",
        "x": "renamed-3",
        "x-2": "renamed-4",
    }


def test_tags_are_renamed_and_nothing_beside_them() -> None:
    text = "[[hours a]] and a, `[[hours a]]`, [[hours b]], [[hours]]"
    assert in_tags(text, {"a": "z"}) == "[[hours z]] and a, `[[hours a]]`, [[hours b]], [[hours]]"
