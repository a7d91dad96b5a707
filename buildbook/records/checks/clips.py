"""Clips: cited and not there, there and not cited, and chapters that cannot be right."""

from collections.abc import Iterable, Iterator
from itertools import pairwise

from buildbook.media.boxes import length
from buildbook.records.book import Book
from buildbook.records.checks.missing import CLIP, Missing
from buildbook.records.clip import Clip
from buildbook.records.photo import PHOTOS, UNCAPTIONED
from buildbook.records.problems import Place, Problem, Severity
from buildbook.records.references import Reference
from buildbook.records.timecode import TimeCode


def check_clips(book: Book, cited: Iterable[Reference]) -> Iterator[Problem]:
    """Yield what is wrong between the records and the clips in `photos/`, and inside a record."""
    shown: dict[str, Place] = {}
    missing = Missing(book, CLIP)
    for to, name, place, _, _ in cited:
        if to != "clips":
            continue
        if name not in book.clip_files:
            yield from missing.told(name, place)
        elif name in shown:
            yield Problem(
                "clip-twice",
                f"`{name}` already has a caption in {shown[name].file}",
                place,
                Severity.WARNING,
                advice=f"caption a clip once; link to it as `[words](clip:{name})`",
            )
        else:
            shown[name] = place
    for session in book.sessions.values():
        for clip in session.clips:
            yield from _entry(book, clip)
    for file in sorted(book.clip_files - shown.keys()):
        yield Problem(
            "clip-unused",
            "no record shows this clip",
            Place(f"{PHOTOS}/{file}"),
            Severity.WARNING,
            advice="add it to the `clips` of its session, or move it out of the book",
            position=(1, 1),
        )


def _entry(book: Book, clip: Clip) -> Iterator[Problem]:
    if clip.caption == UNCAPTIONED:
        yield Problem(
            "no-caption",
            "this clip has no caption yet",
            clip.place.at("caption"),
            Severity.WARNING,
            advice="say what is to be seen; who cannot see it reads nothing else",
        )
    for before, chapter in pairwise(clip.chapters):
        if chapter.at <= before.at:
            where = "at the same time as" if chapter.at == before.at else "before"
            yield Problem(
                "chapter-order",
                f"this chapter begins at {chapter.at}, {where} the one above it",
                chapter.place.at("at"),
                advice="write chapters in the order they are seen in",
            )
    codes: list[tuple[str, TimeCode, Place]] = [
        ("this chapter begins", chapter.at, chapter.place.at("at")) for chapter in clip.chapters
    ]
    if clip.poster is not None:
        codes.append(("`poster` is", clip.poster, clip.place.at("poster")))
    if not codes or clip.file not in book.clip_files:
        return
    seconds = length(book.folder / PHOTOS / clip.file)
    for what, at, place in codes:
        if seconds is not None and at.seconds >= seconds:
            yield Problem(
                "past-the-end",
                f"{what} at {at}, and the clip ends at {TimeCode(int(seconds * 1000))}",
                place,
                advice="time codes count from the clip's beginning, as `1:20`",
            )
