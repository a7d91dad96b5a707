"""Prose: names in notes and pages that lead nowhere."""

from collections.abc import Iterator

from buildbook.records.book import Book
from buildbook.records.checks.citations import top_records
from buildbook.records.mentions import DeadMention, names_of, prose_of
from buildbook.records.positions import line_and_column, words_pattern
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.tags import find_tags, wrong_with


def check_prose(book: Book, broken: frozenset[str]) -> Iterator[Problem]:
    """Yield a problem for every mention of something that is not in the book."""
    # What is mentioned may be in a record that could not be read.
    unsure = {kind for kind, holders in _HELD_IN.items() if broken & holders}
    names = names_of(book)
    for record in top_records(book):
        for text, place in prose_of(record):
            for dead in names.in_markdown(text).dead:
                if dead.to not in unsure:
                    yield _in_record(dead, text, place)
    for file, text in book.notes.items():
        for dead in names.in_markdown(text).dead:
            if dead.to not in unsure:
                yield _problem(dead, Place(file), position=line_and_column(text, dead.start))
        for tag in find_tags(text):
            if not broken and (wrong := wrong_with(book, tag)):
                position = line_and_column(text, tag.start)
                said, advice = wrong
                yield Problem("bad-tag", said, Place(file), advice=advice, position=position)


_HELD_IN = {
    "parts": {"parts"},
    "pieces": {"parts"},
    "steps": {"sections"},
    "sections": {"sections"},
    "sessions": {"sessions"},
    "lessons": {"lessons", "sessions"},
    "squawks": {"squawks", "sessions"},
    "people": {"people"},
    "operations": {"operations"},
    "photos": set[str](),
    "clips": {"sessions"},
    "lots": {"lots"},
    "notices": {"notices"},
}


def _in_record(dead: DeadMention, text: str, place: Place) -> Problem:
    words = text[dead.start : dead.end]
    skip = sum(1 for _ in words_pattern(words).finditer(text, 0, dead.start))
    return _problem(dead, place, find=words, skip=skip)


def _problem(
    dead: DeadMention,
    place: Place,
    *,
    position: tuple[int, int] | None = None,
    find: str = "",
    skip: int = 0,
) -> Problem:
    return Problem(
        dead.code,
        dead.said,
        place,
        Severity.ERROR if dead.certain else Severity.WARNING,
        advice=dead.advice,
        position=position,
        find=find,
        skip=skip,
    )
