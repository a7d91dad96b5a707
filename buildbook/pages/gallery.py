"""The gallery: every photo and clip in the order they were taken, and how to narrow them down."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from buildbook.ledger.links import Shot, Take
from buildbook.pages import paths
from buildbook.pages.clips import ClipView, clip_views
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.views import Figure
from buildbook.pages.words import say


@dataclass(frozen=True, slots=True)
class GalleryItem:
    """A photo or a clip, and what it is found by: identities, several with spaces between them."""

    section: str
    step: str
    part: str
    operation: str
    person: str
    """Who is in it, or else was at work."""
    year: str
    figure: Figure | None = None
    clip: ClipView | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """What photos and clips can be narrowed down by."""

    name: str
    """Of the field of `GalleryItem`."""
    label: str
    values: tuple[tuple[str, str, int], ...]
    """Identity, what it is called, and how many it has."""


@dataclass(frozen=True, slots=True)
class GalleryView:
    """Template `gallery.html`."""

    groups: tuple[tuple[Link | str, tuple[GalleryItem, ...]], ...]
    """Photos by section, and in the last group the clips."""
    photos: int
    clips: int
    choices: tuple[Choice, ...]
    """Those that tell them apart."""


def gallery_page(context: Context) -> Page:
    """Lay out the gallery."""
    by_section: dict[str, list[GalleryItem]] = {name: [] for name in (*context.book.sections, "")}
    photos, clips = _items(context)
    for photo in photos:
        by_section[photo.section].append(photo)
    groups = [
        (context.section_link(name) if name else say("Elsewhere"), tuple(items))
        for name, items in by_section.items()
        if items
    ]
    if clips:
        groups.append((say("Clips"), tuple(clips)))
    view = GalleryView(
        tuple(groups), len(photos), len(clips), tuple(_choices(context, [*photos, *clips]))
    )
    return Page(
        paths.GALLERY,
        say("Gallery"),
        "gallery.html",
        view,
        [SearchEntry(say("Gallery"), say("All photos by section"))],
        frozenset(),
        listed=True,
    )


def _items(context: Context) -> tuple[list[GalleryItem], list[GalleryItem]]:
    """List the photos and the clips that are there."""
    links = context.ledger.links
    at_work: dict[tuple[str, str | None], set[str]] = defaultdict(set)
    for stint in context.ledger.stints:
        for step in (stint.step, None):
            at_work[stint.session, step].update(stint.who)

    def keys(of: Shot | Take, who: Iterable[str]) -> tuple[str, str, str, str, str, str]:
        return (
            of.step.partition("/")[0] if of.step else "",
            of.step or "",
            " ".join(of.parts),
            " ".join(of.operations),
            " ".join(who or sorted(at_work[of.session, of.step])),
            str(context.book.sessions[of.session].date.year),
        )

    photos = [
        GalleryItem(*keys(shot, shot.photo.who), figure=figure)
        for shot in links.shots
        for figure in context.figures([shot])
    ]
    clips = [
        GalleryItem(*keys(take, take.clip.who), clip=clip)
        for take in links.takes
        for clip in clip_views(context, [take])
    ]
    return photos, clips


def _choices(context: Context, items: list[GalleryItem]) -> Iterator[Choice]:
    book = context.book
    years = sorted({item.year for item in items})
    kinds: tuple[tuple[str, str, Iterable[str], Callable[[str], str]], ...] = (
        ("section", say("Section"), book.sections, lambda name: context.section_link(name).text),
        ("step", say("Step"), book.steps, context.step_in_section),
        ("part", say("Part"), book.parts, lambda name: context.part_link(name).text),
        (
            "operation",
            say("Operation"),
            book.operations,
            lambda name: context.operation_link(name).text,
        ),
        ("person", say("Person"), book.people, lambda name: context.person_link(name).text),
        ("year", say("Year"), years, str),
    )
    for name, label, identities, called in kinds:
        counts = Counter(one for item in items for one in getattr(item, name).split())
        values = tuple((one, called(one), counts[one]) for one in identities if counts[one])
        if len(values) > 1 or (values and values[0][2] < len(items)):
            yield Choice(name, label, values)
