"""The printed book tells when sessions were written down, as far as the version history does."""

from datetime import date
from pathlib import Path

from test_pdf import context_of, pages, write

from buildbook.handover.chapters import chapters
from buildbook.handover.pdf import set_book
from buildbook.ledger.written import FileHistory, Past

TITLE = "When it was written"


def test_days_of_every_session(tmp_path: Path) -> None:
    context = context_of(write(tmp_path), "inspector")
    sessions = list(context.book.sessions.values())
    first, *others = sessions
    files = {s.place.file: FileHistory(s.date, ()) for s in others}
    context.past = Past({**files, first.place.file: FileHistory(first.date, (date(2031, 5, 6),))})
    names = [chapter.title for chapter in chapters(context)]
    assert names.index(TITLE) < names.index("Sessions")
    found = next(c for c in chapters(context) if c.title == TITLE)
    years = list(dict.fromkeys(str(s.date.year) for s in sessions))
    assert [entry.group for entry in found.entries] == ["", *years]
    rows = [row for entry in found.entries[1:] for row in entry.make()]
    assert len(rows) == len(sessions)
    assert [row["later"] for row in rows] == [["6 May 2031"], *([[]] * len(others))]


def test_it_is_on_paper_and_says_why_it_is_not(tmp_path: Path) -> None:
    context = context_of(write(tmp_path), "inspector")
    assert TITLE not in [chapter.title for chapter in chapters(context)]
    context.past = Past({}, "the folder is not kept in git")
    (to := tmp_path / "silent").mkdir()
    (volume,) = set_book(context, {}, to / "cache", to)
    words = " ".join(pages(volume.file))
    assert "This cannot be shown here: the folder is not kept in git." in words
    session = next(iter(context.book.sessions.values()))
    context.past = Past({session.place.file: FileHistory(session.date, (date(2031, 5, 6),))})
    (to := tmp_path / "told").mkdir()
    (volume,) = set_book(context, {}, to / "cache", to)
    words = " ".join(pages(volume.file))
    assert "the same day 6 May 2031" in words
    assert "not in the history yet" in words
