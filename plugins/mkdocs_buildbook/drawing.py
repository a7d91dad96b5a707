"""Drawing: from a page's view to HTML, through templates a theme's `custom_dir` may override."""

import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File

from buildbook.pages.clips import ClipView
from buildbook.pages.layout import Layout
from buildbook.pages.page import SCHEME, Link, Page
from buildbook.pages.views import Figure
from buildbook.pages.words import drawn, drawn_n, number, show_date, show_minutes, speaking
from mkdocs_buildbook.clips import Clips, SiteClip
from mkdocs_buildbook.pictures import Pictures, SitePicture

# What looks like an attribute in a text is none: only in a tag are links turned into addresses.
_BEFORE = r'<(?:a|img|link|script|video|source|span)(?: [a-z-]+="[^"]*")*? '
_ADDRESS = re.compile(rf'({_BEFORE}(?:href|src|poster|data-preview)="){SCHEME}([^"#]*)')
_ADDRESSES = re.compile(rf'({_BEFORE}srcset=")([^"]*)')
_TARGET = re.compile(rf"(){SCHEME}([^\s,]+)")


class Drawing:
    """Draws pages of one build."""

    def __init__(self, config: MkDocsConfig) -> None:
        self.layout = Layout(())
        self.pictures: Pictures | None = None
        self.clips: Clips | None = None
        self.using: set[str] = set()
        """Photos and clips that were asked for since somebody emptied it."""
        self.complaints: Callable[[frozenset[str]], Any] | None = None
        """Makes the view of what is wrong in some files, while the book is written."""
        self._directories = config.use_directory_urls
        self._urls: dict[str, str] = {}
        self._notes: dict[str, str] = {}
        # Everything is escaped unless it is Markup: views hold what builders wrote.
        self._env = Environment(
            loader=FileSystemLoader(config.theme.dirs),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            auto_reload=False,
        )
        self._env.filters["hm"] = show_minutes
        self._env.filters["day"] = show_date
        self._env.filters["hand"] = by_hand
        self._env.filters["number"] = lambda value: number(str(value))
        self._env.globals["picture"] = self._picture
        self._env.globals["published"] = self._clip
        self._env.globals["scheme"] = SCHEME
        self._env.globals["link"] = link
        self._env.globals["links"] = links
        self._env.globals["_"] = drawn
        self._env.globals["ngettext"] = drawn_n

    def show(self, layout: Layout, pictures: Pictures, clips: Clips) -> None:
        """Draw from now on the pages, pictures and clips of another state of the book."""
        self.layout = layout
        self.pictures = pictures
        self.clips = clips

    def _picture(self, figure: Figure) -> Any:
        self.using.add(figure.file)
        return self.pictures.of(figure.file) if self.pictures else None

    def _clip(self, clip: ClipView) -> SiteClip | None:
        self.using.add(clip.file)
        return self.clips.of(clip.file) if self.clips else None

    def source_of(self, address: str) -> Path | None:
        """Give the file in the cache that a picture or clip of the site is a copy of."""
        pictures, clips = self.pictures, self.clips
        return (pictures and pictures.path(address)) or (clips and clips.path(address)) or None

    def shown_of(self, file: str) -> tuple[SitePicture | None, SiteClip | None]:
        """Give what is published of a photo or a clip."""
        pictures, clips = self.pictures, self.clips
        return pictures.of(file) if pictures else None, clips.of(file) if clips else None

    def draw(self, page: Page, url: str) -> str:
        """Draw a page that will stand at `url`, below what is wrong in its records."""
        with speaking(self.layout.language):
            above = self.complaints and self.complaints(page.files)
        trail = self.draw_view("trail.html", self.layout.trail(page.path), url)
        drawn = self.edition(url) + trail + self.draw_view(page.template, page.view, url)
        return self.draw_view("complaints.html", above, url) + drawn if above else drawn

    def edition(self, url: str) -> str:
        """Say which edition the page at `url` is of; nothing in the full one."""
        view = self.layout.edition
        return self.draw_view("edition.html", view, url) if view else ""

    def draw_view(self, template: str, view: Any, url: str) -> str:
        """Draw one view with one template, for the page at `url`."""
        with speaking(self.layout.language):
            html = self._env.get_template(f"buildbook/{template}").render(view=view)
        return self.resolve(html, url)

    def resolve(self, html: str, url: str) -> str:
        """Turn links inside the book into addresses relative to the page at `url`."""
        root = "../" * url.count("/")

        def address(found: re.Match[str]) -> str:
            path = unquote(found[2])
            # A picture or an asset is no page: its path is its address.
            return found[1] + (root + (self._url(path) or found[2]) or "./")

        html = _ADDRESS.sub(address, html)
        return _ADDRESSES.sub(lambda several: several[1] + _TARGET.sub(address, several[2]), html)

    def _url(self, path: str) -> str | None:
        """Give the address of a page in the site; None where there is no such page."""
        if path in self._notes:
            return self._notes[path]
        if path not in self.layout:
            return None
        if path not in self._urls:
            self._urls[path] = File(f"{path}.md", None, "", self._directories).url
        return self._urls[path]

    def lead_to_notes(self, files: Iterable[File]) -> None:
        """Let links lead to hand-written pages, these and no others."""
        self._notes = {file.src_uri.removesuffix(".md"): file.url for file in files}


def by_hand(words: str) -> str:
    """Set apart what a person wrote from what the book counted and looked up."""
    return Markup(f'<div class="bb-hand">{words}</div>') if words else words  # noqa: S704 - safe HTML


def link(to: Link) -> Markup:
    """Draw a link. Pages are full of them: a macro would take three times as long."""
    return Markup(f'<a href="{SCHEME}{escape(to.to)}">{escape(to.text)}</a>')  # noqa: S704 - escaped


def links(several: Iterable[Link]) -> Markup:
    """Draw links with commas between them."""
    return Markup(", ".join(map(link, several)))  # noqa: S704 - each is escaped
