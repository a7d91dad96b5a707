"""Editions: what is taken out, what is put in its place, and that the rest still adds up."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from canaries import CITED, owner, paths, plant
from sites import BASE, ROOT

from buildbook.handover.cutting import Cutter
from buildbook.handover.editions import NoSuchEditionError, cut, edition, holds
from buildbook.handover.naming import NOBODY, Naming
from buildbook.ledger.ledger import derive
from buildbook.records.book import Book
from buildbook.records.checks.citations import check_citations, top_records
from buildbook.records.editions import EVERYTHING
from buildbook.records.kinds import KINDS
from buildbook.records.problems import Place
from buildbook.records.read import read
from buildbook.records.readers import EDITIONS
from buildbook.records.record import HIDING, Record
from buildbook.records.references import references
from buildbook.records.validate import validate


def book_of(folder: Path, files: dict[str, str | bytes]) -> Book:
    for name, text in {**BASE, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read(folder).book


@pytest.fixture(scope="module")
def demo() -> Book:
    return read(ROOT / "content").book


BUT_PRIVATE = replace(EVERYTHING, private_notes=False)


def _inside(record: Record, names: list[str]) -> Any:
    found: Any = record
    for name in filter(None, names):
        found = getattr(found, name)
        if isinstance(found, tuple) and name != names[-1]:
            found = found[0]
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_that_is_marked_is_empty(tmp_path: Path, kind: str) -> None:
    """Whatever it holds, words or not: dates, quantities and citations go the same way."""
    assert CITED
    model = KINDS[kind].model
    book = book_of(tmp_path, {})
    emptied = 0
    for way in paths(model):
        plan = way[-1]
        if plan.required or plan.name in HIDING or plan.holds_records:
            continue
        data, _ = plant(model, way, "words", mark=True)
        record, problems = validate(model, data, Place("planted"))
        assert record, problems
        if _inside(record, [step.attribute for step in way]) in (plan.empty, ()):
            continue  # the only value that fits is that of a field left out
        cutter = Cutter(book, BUT_PRIVATE, Naming({}, "names"), {})
        left = cutter.cut(record)
        where = f"{owner(model, way).__name__}.{plan.attribute}"
        if left is None:
            continue  # it could not be without
        try:
            holder = _inside(left, [*(step.attribute for step in way[:-1]), ""])
        except IndexError:  # what it was in could not be without
            continue
        if holder is not None:
            kept = getattr(holder, plan.attribute)
            assert kept in (plan.empty, (NOBODY,)), where
            emptied += 1
        assert cutter.left_out["private field"] == 1, where
    assert emptied or not any(not way[-1].required for way in paths(model))


@pytest.mark.parametrize("name", EDITIONS)
def test_nothing_cites_what_is_not_there(demo: Book, name: str) -> None:
    made = edition(demo, name)
    cited = [r for record in top_records(made) for r in references(record)]
    assert [p.message for p in check_citations(made, cited, frozenset())] == []


@pytest.mark.parametrize("name", EDITIONS)
def test_totals_are_sums_of_what_is_shown(demo: Book, name: str) -> None:
    hours = derive(edition(demo, name)).hours
    assert sum(clock for clock, _ in hours.by_session.values()) == hours.clock
    for table in (hours.by_section, hours.by_step, hours.by_operation, hours.by_month):
        assert table.clock == hours.clock
    assert hours.by_person.person == hours.person


def test_the_full_edition_is_the_book(demo: Book) -> None:
    assert edition(demo, "full") is demo
    with pytest.raises(NoSuchEditionError, match="there is no edition `inspektor`; there are pub"):
        edition(demo, "inspektor")


def test_defaults(tmp_path: Path) -> None:
    book = book_of(tmp_path, {})
    public, inspector, owner_of = (holds(book, n) for n in ("public", "inspector", "owner"))
    assert (public.people, inspector.people, owner_of.people) == ("initials", "names", "names")
    for what in ("addresses", "serial_numbers", "correspondence", "open_squawks"):
        assert [getattr(h, what) for h in (public, inspector, owner_of)] == [False, True, True]
    assert not any(h.full_size_photos for h in (public, inspector))
    assert owner_of.full_size_photos
    assert not any(h.private_notes for h in (public, inspector, owner_of))
    assert not any(h.costs for h in (public, inspector, owner_of))


TWO_WORKS = """\
date: 2025-03-08
hours: 3h
work:
  - step: fin/skeleton
    operation: deburr
    notes: To be seen.
  - step: fin/skeleton
    operation: drill
    private: yes
    notes: Not to be seen.
"""


def test_work_beside_private_work_keeps_its_time(tmp_path: Path) -> None:
    """Two works share three hours: the one that is left does not get the time of the other."""
    made = edition(book_of(tmp_path, {"sessions/a.yml": TWO_WORKS}), "public")
    [session] = made.sessions.values()
    assert len(session.work) == 1
    assert derive(made).hours.clock == 90
    assert session.hours is None
    assert made.partial == ("some pieces of work",)


def test_a_session_of_private_work_is_private(tmp_path: Path) -> None:
    text = TWO_WORKS.replace("    notes: To be seen.\n", "    private: yes\n")
    made = edition(book_of(tmp_path, {"sessions/a.yml": text}), "public")
    assert not made.sessions


@pytest.mark.parametrize(
    ("fields", "clock"),
    [("hours", 0), ("from", 135), ("from, to", 135), ("break", 135), ("hours, from", 0)],
)
def test_private_times(tmp_path: Path, fields: str, clock: int) -> None:
    """Clock times may be left out and the time kept; `hours` leaves out all of it."""
    text = "date: 2025-03-08\nstep: fin/skeleton\nfrom: 19:30\nto: 22:00\nbreak: 15 min\n"
    book = book_of(tmp_path, {"sessions/a.yml": f"{text}private: {fields}\n"})
    made = edition(book, "owner")
    [session] = made.sessions.values()
    assert (session.start, session.end, session.pause) == (None, None, 0)
    assert derive(made).hours.clock == clock


def test_private_hours_are_not_what_the_others_leave(tmp_path: Path) -> None:
    text = (
        "date: 2025-03-08\nhours: 3h\nwork:\n"
        "  - {step: fin/skeleton, hours: 1h}\n"
        "  - {step: fin/skeleton, hours: 2h, private: hours}\n"
    )
    made = edition(book_of(tmp_path, {"sessions/a.yml": text}), "owner")
    assert [s.minutes for s in derive(made).stints] == [60, 0]


def test_what_a_private_step_was_worked_on_in(tmp_path: Path) -> None:
    fin = BASE["sections/fin.yml"]
    assert isinstance(fin, str)
    files: dict[str, str | bytes] = {
        "sections/fin.yml": fin.replace("  - step: close\n", "  - step: close\n    private: yes\n"),
        "sessions/a.yml": "date: 2025-03-08\nstep: fin/close\nhours: 1h\n",
        "sessions/b.yml": (
            "date: 2025-03-09\nhours: 2h\nwork:\n"
            "  - {step: fin/close}\n  - {step: fin/skeleton, hours: 30 min}\n"
        ),
        "signoffs.yml": (
            "- {step: fin/close, inspection: Inside, date: 2025-03-10, by: ben}\n"
            "- {step: fin/skeleton, inspection: Inside, date: 2025-03-10, by: ben}\n"
        ),
        "lessons.yml": "- {lesson: 1, title: Look, steps: [fin/close, fin/skeleton]}\n",
    }
    made = cut(book_of(tmp_path, files), "public")
    assert list(made.book.sessions) == ["2025-03-09"]
    assert derive(made.book).hours.clock == 30
    assert [s.step for s in made.book.signoffs] == ["fin/skeleton"]
    assert made.book.lessons[1].steps == ("fin/skeleton",)
    assert made.left_out["step"] == 1
    assert made.left_out["sign-off"] == 1


def test_what_a_private_session_says_goes_with_it(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "photos/a.jpg": b"a",
        "photos/b.jpg": b"b",
        "sessions/a.yml": (
            "date: 2025-03-08\nstep: fin/skeleton\nprivate: yes\n"
            "lessons: [{lesson: 7, title: Secret}]\nsquawks: [{squawk: 3, title: Secret}]\n"
            "photos: [{file: a.jpg, caption: Secret}]\n"
        ),
        "sessions/b.yml": (
            "date: 2025-03-09\nstep: fin/skeleton\nlessons: 7\nsquawks: 3\nhours: 1h\n"
            "notes: See [it](session:2025-03-08), ![that](photo:a.jpg) and [this](photo:b.jpg).\n"
            "photos:\n  - {file: a.jpg, caption: Again}\n  - {file: b.jpg, caption: Seen}\n"
        ),
    }
    made = edition(book_of(tmp_path, files), "owner")
    [session] = made.sessions.values()
    assert not made.lessons
    assert not made.squawks
    assert (session.lessons, session.squawks) == ((), ())
    assert [p.caption for p in session.photos] == ["Seen"]
    assert made.photo_files == {"2025-03-09-01.jpg"}
    assert made.original("2025-03-09-01.jpg") == "b.jpg"
    assert session.notes == "See it, that and [this](photo:2025-03-09-01.jpg)."


def test_who_is_private_is_not_the_builder(tmp_path: Path) -> None:
    """No `who` at all would mean the builder: the work would be claimed for the wrong person."""
    people = BASE["people.yml"]
    assert isinstance(people, str)
    files: dict[str, str | bytes] = {
        "people.yml": f"{people}  private: yes\n",  # ben, a helper
        "sessions/a.yml": "date: 2025-03-08\nstep: fin/skeleton\nwho: ben\nhours: 1h\n",
        "sessions/b.yml": (
            "date: 2025-03-09\nstep: fin/skeleton\nwho: ben\nhours: 1h\nprivate: who\n"
        ),
    }
    made = edition(book_of(tmp_path, files), "inspector")
    assert [s.who for s in derive(made).stints] == [("helper",), (NOBODY,)]
    assert made.people["helper"].name == "Helper"
    assert made.people["ada"].name == "Ada Fen"
    assert NOBODY in made.people


def test_people_by_role(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "book.yml": f"{BASE['book.yml']}editions: {{public: {{people: roles}}}}\n",  # type: ignore[str-bytes-safe]
        "sessions/a.yml": (
            "date: 2025-03-08\ntitle: Ben drills\nstep: fin/skeleton\nwho: ada & ben\nhours: 1h\n"
            "notes: Ada held it while [Ben](person:ben) drilled, says ben.\n"
        ),
    }
    book = book_of(tmp_path, files)
    made = edition(book, "public")
    [slug] = made.sessions
    assert slug == "2025-03-08-helper-drills"
    assert made.sessions[slug].who == ("builder", "helper")
    assert made.sessions[slug].notes == (
        "Builder held it while [Helper](person:helper) drilled, says Helper."
    )
    assert made.file.builder == "builder"
    before, after = derive(book).hours, derive(made).hours
    assert [r.clock for r in before.by_person.rows] == [r.clock for r in after.by_person.rows]
    assert book.sessions["2025-03-08-ben-drills"].who == ("ada", "ben"), "the book stays"


def test_titles_that_become_alike(tmp_path: Path) -> None:
    people = "- {person: ada, name: Ada Fen}\n- {person: ben, name: Ada Fox}\n"
    files: dict[str, str | bytes] = {"people.yml": people}
    for n, name in enumerate(("Ada", "Ben")):
        files[f"sessions/{n}.yml"] = f"date: 2025-03-08\ntitle: {name}!\nstep: fin/skeleton\n"
    made = edition(book_of(tmp_path, files), "public")
    assert len(made.sessions) == 2
    assert all(slug == session.slug for slug, session in made.sessions.items())


def test_amendments_do_not_tell_what_stood_there(tmp_path: Path) -> None:
    text = (
        "date: 2025-03-08\nstep: fin/skeleton\nhours: 1h\nnotes: New.\nprivate: notes\n"
        "amendments: [{date: 2025-03-09, field: notes, was: Old., why: Because.}]\n"
    )
    book = book_of(tmp_path, {"sessions/a.yml": text})
    [kept] = next(iter(edition(book, "public").sessions.values())).amendments
    assert (kept.was, kept.why) == (None, None)
    assert next(iter(book.sessions.values())).amendments[0].was == "Old."


def test_notes_by_their_heads(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {
        "a.md": "---\nprivate: yes\n---\n# A\n",
        "b.md": "---\neditions: [owner, inspector]\n---\n# B\n",
        "c.md": "# C\n\n[Ben](person:ben) and Ben.\n",
        "d.md": "---\neditions: ownr\n---\n# D\n",
    }
    book = book_of(tmp_path, files)
    assert set(edition(book, "public").notes) == {"c.md"}
    assert set(edition(book, "owner").notes) == {"b.md", "c.md"}
    # What is cited is renamed; the text itself is the builder's.
    assert edition(book, "public").notes["c.md"] == "# C\n\n[Ben](person:b-f) and Ben.\n"


def test_a_head_that_cannot_be_followed_is_told(tmp_path: Path) -> None:
    book_of(tmp_path, {"d.md": "---\neditions: ownr\n---\n# D\n"})
    [problem] = read(tmp_path).problems
    assert problem.message == (
        "there is no edition `ownr`, so the page is in the full edition only"
    )
    assert problem.advice == "did you mean `owner`?"


WEIGHED = {
    "weighings.yml": (
        "- date: 2025-01-01\n  datum: Firewall\n  scales: [{at: all, reading: 300 kg, arm: 1 m}]\n"
        "  add: [{what: Spinner, weight: 2 kg, arm: 1 m}]\n"
    ),
    "equipment.yml": (
        "- equipment: radio\n  title: Radio\n  weight: 2 kg\n  arm: 1 m\n  installed: 2025-02-01\n"
    ),
    "balance.yml": (
        "datum: Firewall\nstations: [{station: seats, title: Seats, arm: 1 m}]\n"
        "cases: [{case: Alone, load: {seats: 80 kg}}]\n"
        "changes: [{date: 2025-02-02, added: Beacon, weight: 1 kg, arm: 1 m}]\n"
    ),
}


@pytest.mark.parametrize(
    ("file", "line", "hides"),
    [
        ("equipment.yml", "  private: yes\n", True),
        ("equipment.yml", "  private: weight\n", True),
        ("equipment.yml", "  private: installed\n", True),
        ("equipment.yml", "  notes: Seen by all\n", False),
        ("weighings.yml", "  private: yes\n", True),
        ("weighings.yml", "  private: add\n", True),
        ("weighings.yml", "  private: notes\n  notes: Not seen\n", False),
        ("balance.yml", "private: changes\n", True),
        ("balance.yml", "private: cases\n", False),
    ],
)
def test_no_empty_weight_without_all_it_is_made_of(
    tmp_path: Path, file: str, line: str, hides: bool
) -> None:
    """A sum without what is private would be that of another aircraft, and look as good."""
    files: dict[str, str | bytes] = {**WEIGHED, file: WEIGHED[file] + line}
    book = book_of(tmp_path, files)
    assert derive(book).balance.empty
    made = edition(book, "public")
    found = derive(made).balance
    assert made.weight_hidden is hides
    assert (found.empty is None) is hides
    if hides:
        assert not found.cases
    else:
        assert found.empty
        assert found.empty.now.weight == 305
    # A weighing that lacks something says something else: it is not shown by itself either.
    assert all(w.total.weight == 302 for w in found.weighed)
