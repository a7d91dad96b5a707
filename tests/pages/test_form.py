"""What the page on which a session is written knows: every field of the schema, and of the book
only what others see as well."""

import json
from pathlib import Path

import pytest
from pydantic import ValidationError

from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.pages.form import BASICS, TOGETHER, form_data, form_page
from buildbook.pages.formfields import form_records
from buildbook.records.kinds import KINDS
from buildbook.records.read import read
from buildbook.records.record import Record, record_in
from buildbook.records.references import Refers
from buildbook.records.schema import schema_of
from buildbook.records.session import Session, Work

DEMO = Path(__file__).parents[2] / "content"
FIELDS = form_records(schema_of(KINDS["sessions"]), "Session")


@pytest.fixture(scope="module")
def demo() -> Context:
    book = read(DEMO).book
    return Context(book, derive(book))


def models(model: type[Record]) -> dict[str, type[Record]]:
    found = {model.__name__: model}
    for info in model.model_fields.values():
        inner = record_in(info.annotation)
        if inner and inner.__name__ not in found:
            found |= models(inner)
    return found


def test_every_field_is_asked_for() -> None:
    for name, model in models(Session).items():
        asked = {f.name for f in FIELDS.get(name, ())}
        there = {info.alias or n for n, info in model.model_fields.items()}
        if name == "Amendment":
            assert not asked  # written by `buildbook amend`
        else:
            assert there - asked == ({"amendments"} if name == "Session" else set())
            assert FIELDS[name][-1].name == "private"  # asked for last
            assert model.can_be_private  # a tick is always taken


def test_fields_are_of_a_kind_the_page_can_draw() -> None:
    drawn = {"text", "prose", "date", "time", "duration", "number", "choice", "yes-no"}
    drawn |= {"pieces", "record"}
    for name, fields in FIELDS.items():
        for field in fields:
            assert field.kind in drawn, (name, field)
            assert field.description, (name, field)
            assert (field.kind == "record") == bool(field.record), (name, field)
            assert (field.kind == "choice") == bool(field.choices), (name, field)


def test_what_is_cited_is_known() -> None:
    """The mark in the schema is the one that checks and links follow."""
    by_name = {f.name: f for f in FIELDS["Session"]}
    assert by_name["step"].refers == "steps"
    assert (by_name["who"].refers, by_name["who"].several) == ("people", True)
    assert (by_name["squawks"].refers, by_name["squawks"].numbered) == ("squawks", True)
    assert by_name["pieces"].kind == "pieces"
    for name, model in models(Session).items():
        marked = {
            info.alias or n
            for n, info in model.model_fields.items()
            if any(isinstance(m, Refers) for m in info.metadata)
        }
        assert marked <= {f.name for f in FIELDS.get(name, ()) if f.refers or f.kind == "pieces"}


def test_kinds_are_told_apart() -> None:
    kinds = {f.name: f.kind for f in (*FIELDS["Session"], *FIELDS["Photo"], *FIELDS["Marker"])}
    assert kinds["date"] == "date"
    assert kinds["from"] == "time"
    assert kinds["hours"] == kinds["break"] == "duration"
    assert kinds["finished"] == "yes-no"
    assert kinds["notes"] == "prose"
    assert kinds["title"] == "text"
    assert kinds["at"] == "text"  # a place on a picture is one thing, not a list
    assert kinds["squawk"] == "number"


@pytest.mark.parametrize(("field", "other"), TOGETHER.items())
def test_what_goes_together_does_so_in_the_model(field: str, other: str) -> None:
    values = {"from": "19:30", "to": "21:30", "break": "10 min"}
    alone = {field: values[field], **({"to": "21:30"} if field == "break" else {})}
    with pytest.raises(ValidationError):
        Work.model_validate(alone)
    assert other in values


def test_the_basics_are_fields() -> None:
    assert set(BASICS) <= {f.name for f in FIELDS["Work"]}


def test_nothing_in_the_data_can_end_its_script(demo: Context) -> None:
    """HTML Living Standard, 4.12.1.3: restrictions for contents of script elements."""
    data = str(form_page(demo).view.data)
    assert "<" not in data
    assert json.loads(data) == json.loads(json.dumps(form_data(demo)))


def test_it_says_what_is_done(demo: Context) -> None:
    data = form_data(demo)
    for number, part in data["parts"].items():
        pieces = demo.book.pieces[number]
        assert part["pieces"] == [p.mark for p in pieces]
        assert len(part["states"]) == len(pieces)
        sheet = demo.ledger.routes.sheets[number]
        for operation, done in part["done"].items():
            at = sheet.operations.index(operation)
            cells = [row.cells[at].state.value == "done" for row in sheet.rows]
            assert [d == "1" for d in done] == cells
    assert any("1" in d and "0" in d for p in data["parts"].values() for d in p["done"].values())


def test_numbers_go_on(demo: Context) -> None:
    free = form_data(demo)["free"]
    assert free == {"lesson": max(demo.book.lessons) + 1, "squawk": max(demo.book.squawks) + 1}


def test_it_tells_no_more_than_the_site(demo: Context) -> None:
    """Names and titles: no notes, costs or letters, which a session's page may not show either."""
    data = json.dumps(form_data(demo), ensure_ascii=False)
    for lot in demo.book.lots.values():
        for text in (lot.notes, getattr(lot, "supplier", None)):
            assert not text or len(text) < 12 or text not in data
    for session in demo.book.sessions.values():
        assert not session.notes or len(session.notes) < 40 or session.notes not in data
