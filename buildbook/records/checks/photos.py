"""Photos: cited and not there, there and not cited, cited twice."""

import re
from collections.abc import Iterable, Iterator
from itertools import chain

from buildbook.records.book import Book
from buildbook.records.checks.citations import top_records
from buildbook.records.mentions import Names, prose_of
from buildbook.records.photo import PHOTOS, PICTURE_ENDINGS, UNCAPTIONED, Photo
from buildbook.records.problems import Place, Problem, Severity, did_you_mean, nearest
from buildbook.records.references import Reference


def check_photos(book: Book, cited: Iterable[Reference]) -> Iterator[Problem]:
    """Yield what is wrong between the records and the pictures in `photos/`."""
    shown: set[str] = set()
    captioned: dict[str, Place] = {}
    for to, name, place, record, _ in cited:
        if to != "photos":
            continue
        if name not in book.photo_files:
            yield from _missing(name, place, book)
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
    names = Names(book)
    prose = (text for record in top_records(book) for text, _ in prose_of(record))
    for text in (t for t in chain(book.notes.values(), prose) if "photo:" in t):
        shown |= {str(m.name) for m in names.in_markdown(text) if m.to == "photos"}
    for file in sorted(book.photo_files - shown):
        yield Problem(
            "photo-unused",
            "no record shows this picture",
            Place(f"photos/{file}"),
            Severity.WARNING,
            advice="add it to the `photos` of its session, or move it out of the book",
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


def _missing(file: str, place: Place, book: Book) -> Iterator[Problem]:
    parts = file.replace("\\", "/").split("/")
    if file.startswith(("/", "\\", "~")) or ".." in parts or ":" in parts[0]:
        yield Problem(
            "outside-content",
            f"`{file}` leads out of the folder `photos/`",
            place,
            advice="copy the picture into `photos/` and name it from there, as `2025/03/spar.jpg`",
        )
        return
    path = book.folder / PHOTOS / file
    try:
        is_link, is_file = path.is_symlink(), path.is_file()
    except OSError:  # longer than any file's name
        is_link = is_file = False
    if is_link:
        return  # told where the link is
    if is_file:
        said = f"`{file}` is not a kind of picture that the book can show"
        advice = f"save it as one that ends in {', '.join(sorted(PICTURE_ENDINGS))}"
        yield Problem("not-a-picture", said, place, advice=advice)
        return
    bare = re.sub(r"^(?:\./)?(?:content/)?photos/", "", file)
    if bare != file and bare in book.photo_files:
        said = f"`{file}` is named from the wrong folder"
        yield Problem("photo-missing", said, place, advice=f"write `{bare}`")
        return
    close = nearest(file.removeprefix(f"{PHOTOS}/"), book.photo_files, cutoff=0.8)
    advice = f"did you mean `{close}`?" if close else "copy it there, or mend the name"
    said = f"there is no picture `{file}` in `{PHOTOS}/`"
    yield Problem("photo-missing", said, place, advice=advice)
