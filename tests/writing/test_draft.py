"""Drafts: order, names and titles of sessions, and whether the book takes them."""

from datetime import date
from pathlib import Path

import pytest
from fencroft import make_book, read_clean
from hypothesis import given, settings
from hypothesis import strategies as st
from test_yamltext import NASTY, texts

from buildbook.records.session import Session
from buildbook.records.yamlfile import read_yaml
from buildbook.writing.draft import (
    draft,
    file_name,
    in_order,
    keep_draft,
    place_of,
    prose,
    save,
    session_text,
    try_out,
    with_free_title,
)

FOUR = {
    "notes": "Clamped the spar.",
    "hours": "2h30",
    "date": "2025-03-08",
    "step": "fin/skeleton",
}


def test_fields_stand_in_the_order_of_the_first_page() -> None:
    assert list(in_order(FOUR)) == ["date", "step", "hours", "notes"]
    assert place_of("date") < place_of("a field that is new") < place_of("notes")


def test_a_session_leads_editors_to_its_schema() -> None:
    for file, up in (("sessions/a.yml", "../../"), ("sessions/2025/a.yml", "../../../")):
        first = session_text(FOUR, file).split("\n")[0]
        assert first == f"# yaml-language-server: $schema={up}.buildbook/schema/sessions.json"


def test_what_is_drafted_passes_the_check_and_is_saved(tmp_path: Path) -> None:
    content = make_book(tmp_path)
    trial = draft(read_clean(content), FOUR)
    assert trial.file == "sessions/2025-03-08.yml"
    assert trial.new == ()
    assert not (content / trial.file).exists()
    assert save(content, trial) == trial.file
    session = read_clean(content).book.sessions["2025-03-08"]
    assert (session.hours, session.notes) == (150, "Clamped the spar.")


def test_the_second_session_of_a_date_is_called_after_its_work(tmp_path: Path) -> None:
    content = make_book(tmp_path)
    fields = {**FOUR, "operation": "drill"}
    titles = []
    for _ in range(4):
        trial = draft(read_clean(content), fields)
        assert trial.errors == ()
        save(content, trial)
        titles.append(read_yaml("s", trial.raw).data.get("title"))
    assert titles == [None, "Skeleton, Drill", "Skeleton, Drill 2", "Skeleton, Drill 3"]
    assert len(read_clean(content).book.sessions) == 4


def test_a_title_that_is_taken_gets_a_number(tmp_path: Path) -> None:
    book = read_clean(
        make_book(
            tmp_path,
            {"sessions/a.yml": "date: 2025-03-08\ntitle: Spar\nstep: fin/skeleton\nhours: 1\n"},
        )
    ).book
    assert with_free_title({**FOUR, "title": "spar!"}, book)["title"] == "spar! 2"
    assert with_free_title({**FOUR, "title": "Ribs"}, book)["title"] == "Ribs"


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    content = make_book(tmp_path, {"sessions/2025-03-08.yml": "not: a session\n"})
    reading = read_clean_or_not(content)
    trial = draft(reading, FOUR)
    assert trial.file == "sessions/2025-03-08-2.yml"
    (content / trial.file).write_text("somebody was quicker")
    assert save(content, trial) == "sessions/2025-03-08-2-2.yml"
    assert (content / "sessions/2025-03-08.yml").read_text() == "not: a session\n"
    assert (content / "sessions/2025-03-08-2.yml").read_text() == "somebody was quicker"


def read_clean_or_not(content: Path):
    from buildbook.records.read import read  # noqa: PLC0415

    return read(content)


def test_books_with_a_folder_a_year_keep_it(tmp_path: Path) -> None:
    old = {"sessions/2024/a.yml": "date: 2024-03-08\nstep: fin/skeleton\nhours: 1\n"}
    book = read_clean(make_book(tmp_path, old)).book
    assert file_name(FOUR, book) == "sessions/2025/2025-03-08.yml"


@pytest.mark.parametrize(
    "title", ["../../etc/passwd", "a/b", "..", "CON", "\N{AIRPLANE}", "x" * 300]
)
def test_a_title_makes_a_harmless_name(tmp_path: Path, title: str) -> None:
    name = file_name({**FOUR, "title": title}, read_clean(make_book(tmp_path)).book)
    assert name.startswith("sessions/2025-03-08")
    assert name.count("/") == 1
    assert len(name) < 100


def test_mistakes_are_found_before_anything_is_written(tmp_path: Path) -> None:
    content = make_book(tmp_path)
    before = sorted(content.rglob("*"))
    trial = draft(read_clean(content), {**FOUR, "step": "fin/skeletn", "hours": "2,5"})
    assert {f.code for f in trial.errors} == {"unknown-step", "duration"}
    assert {f.file for f in trial.errors} == {trial.file}
    assert sorted(content.rglob("*")) == before


def test_a_second_person_at_two_places_is_found(tmp_path: Path) -> None:
    first = "date: 2025-03-08\nstep: fin/skeleton\nfrom: 19:00\nto: 21:00\n"
    reading = read_clean(make_book(tmp_path, {"sessions/a.yml": first}))
    fields = {"date": "2025-03-08", "step": "fin/close", "from": "20:00", "to": "22:00"}
    assert [f.code for f in draft(reading, fields).errors] == ["overlap"]
    assert draft(reading, {**fields, "who": ["ben"]}).errors == ()


def test_old_problems_are_not_told_again(tmp_path: Path) -> None:
    old = {"sessions/a.yml": "date: 2025-03-08\nstep: fin/skeletn\nhours: 1\n"}
    content = make_book(tmp_path, old)
    reading = read_clean_or_not(content)
    assert draft(reading, FOUR).new == ()
    raw = b"# a line more\n" + (content / "sessions/a.yml").read_bytes()
    assert try_out(reading, "sessions/a.yml", raw).new == ()


def test_a_draft_that_is_kept_overwrites_no_other(tmp_path: Path) -> None:
    content = make_book(tmp_path)
    paths = [keep_draft(content, "a.yml", raw) for raw in (b"one", b"two", b"one")]
    assert [p.read_bytes() for p in paths] == [b"one", b"two", b"one"]
    assert paths[0] == paths[2]
    assert read_clean(content)


@pytest.mark.parametrize("text", NASTY)
def test_nasty_notes_reach_the_record(tmp_path: Path, text: str) -> None:
    reading = read_clean(make_book(tmp_path))
    trial = draft(reading, {**FOUR, "notes": text, "next": text})
    (session,) = trial.after.book.sessions.values()
    assert (session.notes, session.next) == (text, text)


@settings(max_examples=40)
@given(notes=texts, title=texts, step=st.sampled_from(["fin/skeleton", "rudder/spar"]))
def test_any_draft_reads_back_to_the_same_values(
    tmp_path_factory: pytest.TempPathFactory, notes: str, title: str, step: str
) -> None:
    content = _CACHE.setdefault("content", make_book(tmp_path_factory.mktemp("book")))
    reading = _CACHE.setdefault("reading", read_clean(content))
    fields = {"date": "2025-03-08", "step": step, "hours": "90 min", "notes": notes}
    if title.strip() and len(title) < 300:
        fields["title"] = title
    trial = draft(reading, fields)
    (session,) = trial.after.book.sessions.values()
    assert isinstance(session, Session)
    assert (session.date, session.step, session.hours) == (date(2025, 3, 8), step, 90)
    assert session.notes == notes
    assert (session.title or "") == " ".join(title.split() if "title" in fields else [])


_CACHE: dict = {}


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("one line", "one line"),
        ("  two\nlines  \n\n", "two\nlines\n"),
        ("x" * 200, "x" * 200 + "\n"),
        ("a\r\nb", "a\nb\n"),
        ("", ""),
    ],
)
def test_prose_ends_as_in_a_file(text: str, made: str) -> None:
    assert prose(text) == made
