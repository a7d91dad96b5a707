"""Records from data: what is right is kept, what is wrong is told once and left out."""

from typing import Any

import pytest

from buildbook.records.kinds import KINDS, kind_of, nearest_kind
from buildbook.records.names import slugify
from buildbook.records.part import Part
from buildbook.records.problems import Place, did_you_mean, nearest
from buildbook.records.record import Record
from buildbook.records.section import Section
from buildbook.records.session import Session
from buildbook.records.validate import MAX_TOLD, validate

PLACE = Place("x.yml")


def told(
    model: type[Record], data: dict[str, Any]
) -> tuple[Any, list[tuple[str, tuple[Any, ...]]]]:
    record, problems = validate(model, data, PLACE)
    return record, [(p.code, p.place.path) for p in problems]


def test_a_good_record_knows_where_it_is() -> None:
    record, problems = told(
        Session,
        {
            "date": "2025-03-08",
            "hours": "1",
            "work": [{"step": "a/b"}, {"step": "a/c", "readings": []}],
        },
    )
    assert problems == []
    assert record.place == PLACE
    assert [w.place.path for w in record.work] == [("work", 0), ("work", 1)]


def test_a_wrong_field_costs_that_field() -> None:
    record, problems = told(
        Session, {"date": "2025-03-08", "step": "a/b", "hours": "some", "notes": "Fine."}
    )
    assert problems == [("duration", ("hours",))]
    assert record.notes == "Fine."
    assert record.hours is None


def test_a_wrong_entry_costs_that_entry_and_the_rest_keep_their_places() -> None:
    record, problems = told(
        Section,
        {
            "section": "fin",
            "title": "Fin",
            "Steps": [
                {"step": "One Two", "title": "Bad"},
                {"step": "two", "title": "Good", "limits": ["x", {"reading": "y"}]},
                {"title": "No name"},
                {"step": "four", "title": "Good"},
            ],
        },
    )
    assert problems == [
        ("name", ("steps", 0, "step")),
        ("not-fields", ("steps", 1, "limits", 0)),
        ("missing-field", ("steps", 2)),
    ]
    assert [(s.step, s.place.path) for s in record.steps] == [
        ("two", ("steps", 1)),
        ("four", ("steps", 3)),
    ]
    assert record.steps[0].limits[0].place.path == ("steps", 1, "limits", 1)


def test_a_record_without_its_name_is_lost_and_its_other_mistakes_told() -> None:
    record, problems = told(Part, {"name": "Spar", "quantity": "two", "hand": "both"})
    assert record is None
    assert sorted(problems) == [
        ("bad-choice", ("hand",)), ("count", ("quantity",)), ("missing-field", ())
    ]  # fmt: skip


def test_a_wrong_needed_field_is_told_once() -> None:
    record, problems = told(Session, {"date": "soon", "step": "a/b", "hours": "1"})
    assert record is None
    assert problems == [("date", ("date",))]


@pytest.mark.parametrize("name", ["Kit_Received", "KIT RECEIVED", "kit-received", "kit  received"])
def test_spelling_of_names_is_forgiven(name: str) -> None:
    record, problems = told(Section, {"section": "fin", "title": "Fin", name: "2025-01-01"})
    assert problems == []
    assert str(record.kit_received) == "2025-01-01"


def test_two_spellings_of_one_name_are_not() -> None:
    data = {
        "section": "fin",
        "title": "Fin",
        "Kit_Received": "2025-01-01",
        "kit-received": "2025-01-02",
    }
    record, problems = told(Section, data)
    assert problems == [("repeated-key", ("kit-received",))]
    assert str(record.kit_received) == "2025-01-01"


def test_a_record_of_nothing_but_mistakes_is_told_in_time_that_grows_with_it() -> None:
    _, problems = told(Part, {f"a{i}": "1" for i in range(50_000)})
    assert len(problems) == MAX_TOLD
    entries = [{"step": "a/b", "hours": "0"}] * 20_000
    _, problems = told(Session, {"date": "2025-03-08", "work": entries})
    assert len(problems) == MAX_TOLD


def test_one_line_lists() -> None:
    record, _ = told(Part, {"part": "A1", "name": "Rib", "route": " drill ,deburr,, rivet "})
    assert record.route == ("drill", "deburr", "rivet")


def test_choices_in_any_case() -> None:
    record, problems = told(Part, {"part": "A1", "name": "Rib", "hand": "Left"})
    assert (record.hand, problems) == ("left", [])


@pytest.mark.parametrize("written", ["yes", "Yes", "true", "on", "Y"])
def test_yes(written: str) -> None:
    record, _ = told(Session, {"date": "2025-03-08", "step": "a/b", "finished": written})
    assert record.finished is True


def test_leading_noughts_are_no_octal() -> None:
    record, problems = told(Part, {"part": "A1", "name": "Rib", "quantity": "010"})
    assert (record.quantity, problems) == (10, [])


@pytest.mark.parametrize(
    ("file", "kind"),
    [
        ("book.yml", "book"),
        ("people.yml", "people"),
        ("people/ada.yml", "people"),
        ("sessions/2025/03/a.yaml", "sessions"),
        ("book/x.yml", None),
        ("x.yml", None),
        ("People.yml", None),
    ],
)
def test_kinds_of_files(file: str, kind: str | None) -> None:
    found = kind_of(file)
    assert (found.name if found else None) == kind


def test_names_near_to_others() -> None:
    assert nearest_kind("session/x.yml") == "sessions"
    assert nearest_kind("zzz.yml") == ""
    assert nearest("DEBUR", ["drill", "deburr"]) == "deburr"
    assert nearest("x", []) == ""
    assert did_you_mean("x", ["a", "b"], name="parts") == "known parts: a, b"
    assert did_you_mean("x", [], name="parts") == "the book has no parts yet"
    assert did_you_mean("x", map(str, range(100)), name="parts") == ""


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Rear spar, upper", "rear-spar-upper"),
        ("Søren's Ærø", "soren-s-aero"),
        ("Straße am Łódź", "strasse-am-lodz"),
        ("  -- ", ""),
        ("工", ""),
    ],
)
def test_slugs(text: str, slug: str) -> None:
    assert slugify(text) == slug


def test_every_kind_names_a_field_it_has() -> None:
    for kind in KINDS.values():
        assert kind.identity in kind.model.spellings
