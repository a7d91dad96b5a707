"""The gallery: every photo, by section and in the order it was taken."""

from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.context import Context, Figure
from buildbook.pages.page import Link, Page, SearchEntry


@dataclass(frozen=True, slots=True)
class GalleryView:
    """Template `gallery.html`."""

    groups: tuple[tuple[Link | str, tuple[Figure, ...]], ...]
    count: int


def gallery_page(context: Context) -> Page:
    """Lay out the gallery."""
    by_section: dict[str, list[Figure]] = {name: [] for name in (*context.book.sections, "")}
    for shot in context.ledger.links.shots:
        section = shot.step.partition("/")[0] if shot.step else ""
        by_section[section] += context.figures([shot])
    groups = tuple(
        (context.section_link(name) if name else "Elsewhere", tuple(figures))
        for name, figures in by_section.items()
        if figures
    )
    view = GalleryView(groups, sum(len(g[1]) for g in groups))
    return Page(
        paths.GALLERY,
        "Gallery",
        "gallery.html",
        view,
        [SearchEntry("Gallery", "All photos by section")],
        frozenset(),
        listed=True,
    )
