"""Clips as they are drawn: to be played on their session's page, led to from everywhere else."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlsplit

from markupsafe import Markup

from buildbook.ledger.links import Take
from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, SearchEntry
from buildbook.pages.words import say, show_date


@dataclass(frozen=True, slots=True)
class ChapterView:
    """A place in a clip."""

    at: str
    """As `1:20`."""
    seconds: float
    fragment: str
    """What follows the film's address to begin there, as `#t=80`."""
    caption: Markup
    words: str
    """The caption as it is written."""
    anchor: str


@dataclass(frozen=True, slots=True)
class ClipView:
    """A clip to be drawn."""

    file: str
    """Path inside `photos/`; the host knows what is published of it. Empty for one elsewhere."""
    address: str
    """Where it is hosted, when that is elsewhere."""
    host: str
    caption: Markup
    alt: str
    session: Link
    """Where it is played."""
    date: date
    anchor: str
    parts: tuple[Link, ...]
    step: Link | None
    who: tuple[Link, ...]
    chapters: tuple[ChapterView, ...]


def clip_views(context: Context, takes: Iterable[Take]) -> tuple[ClipView, ...]:
    """Make the views of clips that are there, or hosted elsewhere."""
    known = context.book.clip_files
    return tuple(_view(context, t) for t in takes if t.clip.link or t.clip.file in known)


def _view(context: Context, take: Take) -> ClipView:
    clip = take.clip
    home = context.session_link(take.session)
    return ClipView(
        file=clip.file or "",
        address=clip.link or "",
        host=urlsplit(clip.link).hostname or "" if clip.link else "",
        caption=context.prose.inline(clip.caption),
        alt=clip.caption,
        session=Link(home.text, f"{paths.session(take.session)}#{take.anchor}"),
        date=context.book.sessions[take.session].date,
        anchor=take.anchor,
        parts=tuple(map(context.part_link, take.parts)),
        step=context.step_link(take.step) if take.step else None,
        who=tuple(map(context.person_link, clip.who)),
        chapters=tuple(
            ChapterView(
                at=str(chapter.at),
                seconds=chapter.at.seconds,
                fragment=chapter.at.fragment,
                caption=context.prose.inline(chapter.caption),
                words=chapter.caption,
                anchor=take.chapter_anchor(number),
            )
            for number, chapter in enumerate(clip.chapters, 1)
        ),
    )


def clip_entries(clips: Iterable[ClipView]) -> list[SearchEntry]:
    """List what a search finds of clips on their session's page: each one, and its chapters."""
    entries = []
    for clip in clips:
        entries.append(
            SearchEntry(clip.alt, say("Clip of %(date)s", date=show_date(clip.date)), clip.anchor)
        )
        entries += [
            SearchEntry(
                chapter.words,
                say("At %(at)s in: %(alt)s", at=chapter.at, alt=clip.alt),
                chapter.anchor,
            )
            for chapter in clip.chapters
        ]
    return entries
