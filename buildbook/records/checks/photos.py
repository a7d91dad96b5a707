"""Photos: cited and not there, there and not cited, cited twice."""

from collections.abc import Iterator

from buildbook.records.book import Book
from buildbook.records.checks.citations import top_records
from buildbook.records.mentions import Names
from buildbook.records.photo import PHOTOS, PICTURE_ENDINGS, Photo
from buildbook.records.problems import Place, Problem, Severity, nearest
from buildbook.records.references import references


def check_photos(book: Book) -> Iterator[Problem]:
    """Yield what is wrong between the records and the pictures in `photos/`."""
    cited: set[str] = set()
    captioned: dict[str, Place] = {}
    for record in top_records(book):
        for reference in references(record):
            if reference.to != "photos":
                continue
            file, place = str(reference.name), reference.place
            if file not in book.photo_files:
                yield from _missing(file, place, book)
                continue
            cited.add(file)
            if isinstance(reference.record, Photo):
                if file in captioned:
                    yield Problem(
                        "photo-twice",
                        f"`{file}` already has a caption in {captioned[file].file}",
                        place,
                        Severity.WARNING,
                        advice="caption a picture once; other records can name its file",
                    )
                captioned.setdefault(file, place)
    names = Names(book)
    for text in book.notes.values():
        cited |= {str(m.name) for m in names.in_markdown(text) if m.to == "photos"}
    for file in sorted(book.photo_files - cited):
        yield Problem(
            "photo-unused",
            "no record shows this picture",
            Place(f"photos/{file}"),
            Severity.WARNING,
            advice="add it to the `photos` of its session, or move it out of the book",
            position=(1, 1),
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
    close = nearest(file.removeprefix(f"{PHOTOS}/"), book.photo_files, cutoff=0.8)
    advice = f"did you mean `{close}`?" if close else "copy it there, or mend the name"
    said = f"there is no picture `{file}` in `{PHOTOS}/`"
    yield Problem("photo-missing", said, place, advice=advice)
