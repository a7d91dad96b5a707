"""Photos: cited and not there, there and not cited, cited twice."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import chain

from buildbook.records.book import Book
from buildbook.records.checks.citations import top_records
from buildbook.records.checks.missing import PICTURE, Missing, plain
from buildbook.records.mentions import names_of, prose_of
from buildbook.records.photo import PHOTOS, UNCAPTIONED, Photo
from buildbook.records.problems import Place, Problem, Severity, did_you_mean
from buildbook.records.references import Reference


def check_photos(book: Book, cited: Iterable[Reference]) -> Iterator[Problem]:
    """Yield what is wrong between the records and the pictures in `photos/`."""
    shown: set[str] = set()
    captioned: dict[str, Place] = {}
    missing = Missing(book, PICTURE)
    for to, name, place, record, _ in cited:
        if to != "photos":
            continue
        if name not in book.photo_files:
            yield from missing.told(name, place)
            continue
        shown.add(name)
        if isinstance(record, Photo) and place.path[-1] == "file":
            if name in captioned:
                yield Problem(
                    "photo-twice",
                    f"`{name}` already has a caption in {captioned[name].file}",
                    place,
                    Severity.WARNING,
                    advice="caption a picture once; other records can name its file",
                )
            captioned.setdefault(name, place)
    yield from _entries(book)
    yield from _cover(book)
    yield from _collisions(book)
    names = names_of(book)
    prose = (text for record in top_records(book) for text, _ in prose_of(record))
    for text in (t for t in chain(book.notes.values(), prose) if "photo:" in t):
        shown |= {str(m.name) for m in names.in_markdown(text).mentions if m.to == "photos"}
    for file in sorted(book.photo_files - shown):
        yield Problem(
            "photo-unused",
            "no record shows this picture",
            Place(f"photos/{file}"),
            Severity.WARNING,
            advice="add it to the `photos` of its session, or move it out of the book",
            position=(1, 1),
        )


def _collisions(book: Book) -> Iterator[Problem]:
    """Yield pictures of which one would be lost on a disk that does not tell capitals apart."""
    same: dict[str, list[str]] = defaultdict(list)
    for file in sorted(book.photo_files):
        same[plain(file).casefold()].append(file)
    for first, *others in same.values():
        for file in others:
            yield Problem(
                "photo-names-alike",
                f"its name and that of `{first}` differ only in capitals",
                Place(f"{PHOTOS}/{file}"),
                Severity.WARNING,
                advice="rename one of them: on many computers only one of the two can be there",
                position=(1, 1),
            )


def _entries(book: Book) -> Iterator[Problem]:
    for session in book.sessions.values():
        steps = {work.step for work in session.entries}
        for photo in session.photos:
            if photo.caption == UNCAPTIONED:
                yield Problem(
                    "no-caption",
                    "this picture has no caption yet",
                    photo.place.at("caption"),
                    Severity.WARNING,
                    advice="say what is to be seen; who cannot see it reads nothing else",
                )
            named = {photo.step} if photo.step else steps
            asked = [p for s in named if s in book.steps for p in book.steps[s].required_photos]
            if photo.shows and photo.shows not in asked:
                advice = did_you_mean(photo.shows, asked, name="photos asked for")
                yield Problem(
                    "not-asked-for",
                    "no step of this session asks for such a photo",
                    photo.place.at("shows"),
                    advice=advice or "write it as the step's `required photos` says it",
                )


def _cover(book: Book) -> Iterator[Problem]:
    """Tell of a picture for the home page that has no caption to stand there with."""
    cover = book.file.cover
    if cover not in book.photo_files:
        return
    if not any(photo.file == cover for s in book.sessions.values() for photo in s.photos):
        yield Problem(
            "cover-without-caption",
            "no session has this picture among its `photos`",
            book.file.place.at("cover"),
            Severity.WARNING,
            advice="caption it in its session; till then the home page shows another",
        )
