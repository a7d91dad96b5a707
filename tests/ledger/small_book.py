"""Small books in memory, for figures that are worked out by hand."""

from collections.abc import Iterable, Mapping
from typing import Any

from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.operation import Operation
from buildbook.records.part import Part
from buildbook.records.section import Section
from buildbook.records.session import Session


def small_book(
    steps: Mapping[str, int | None] = {},
    sessions: Iterable[Mapping[str, Any]] = (),
    parts: Mapping[str, int] = {},
    operations: Iterable[str] = ("deburr", "drill", "flute"),
) -> Book:
    """Make a book: `section/step` with minutes planned, sessions as written, parts with pieces."""
    by_section: dict[str, list[dict[str, Any]]] = {}
    for name, estimate in steps.items():
        section, _, step = name.partition("/")
        fields = {"step": step, "title": step}
        by_section.setdefault(section, []).append(
            fields | ({"estimate": f"{estimate} min"} if estimate else {})
        )
    made = [Session.model_validate(dict(s)) for s in sessions]
    book = Book(
        file=BookFile.model_validate(
            {
                "title": "A small book",
                "aircraft": {"model": "Nothing"},
                "builder": "someone",
                "time zone": "Europe/Copenhagen",
            }
        ),
        operations={o: Operation.model_validate({"operation": o, "title": o}) for o in operations},
        sections={
            n: Section.model_validate({"section": n, "title": n, "steps": s})
            for n, s in by_section.items()
        },
        parts={
            n: Part.model_validate({"part": n, "name": n, "quantity": str(q)})
            for n, q in parts.items()
        },
        sessions={s.slug: s for s in made},
    )
    assert len(book.sessions) == len(made), "two sessions of one date need titles"
    return book
