"""Drawing: from a page's view to HTML, through templates a theme's `custom_dir` may override."""

import re
from collections.abc import Iterable
from typing import Any
from urllib.parse import unquote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File

from buildbook.pages.context import Figure, show_date
from buildbook.pages.page import SCHEME, Link, Page
from buildbook.records.durations import show_minutes
from mkdocs_buildbook.pictures import Pictures

# What looks like an attribute in a text is none: only in a tag are links turned into addresses.
_BEFORE = r'<(?:a|img)(?: [a-z-]+="[^"]*")*? '
_ADDRESS = re.compile(rf'({_BEFORE}(?:href|src)="){SCHEME}([^"#]*)')
_ADDRESSES = re.compile(rf'({_BEFORE}srcset=")([^"]*)')
_TARGET = re.compile(rf"(){SCHEME}([^\s,]+)")


class Drawing:
    """Draws pages of one build."""

    def __init__(self, config: MkDocsConfig, pages: list[Page], pictures: Pictures) -> None:
        self.pictures = pictures
        self._urls = {
            page.path: File(f"{page.path}.md", None, config.site_dir, config.use_directory_urls).url
            for page in pages
        }
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
        self._env.globals["picture"] = self._picture
        self._env.globals["scheme"] = SCHEME
        self._env.globals["link"] = link
        self._env.globals["links"] = links

    def _picture(self, figure: Figure) -> Any:
        return self.pictures.of(figure.file)

    def draw(self, page: Page, url: str) -> str:
        """Draw a page that will stand at `url`."""
        return self.draw_view(page.template, page.view, url)

    def draw_view(self, template: str, view: Any, url: str) -> str:
        """Draw one view with one template, for the page at `url`."""
        html = self._env.get_template(f"buildbook/{template}").render(view=view)
        return self.resolve(html, url)

    def resolve(self, html: str, url: str) -> str:
        """Turn links inside the book into addresses relative to the page at `url`."""
        root = "../" * url.count("/")

        def address(found: re.Match[str]) -> str:
            path = unquote(found[2])
            # A picture or an asset is no page: its path is its address.
            return found[1] + (root + self._urls.get(path, found[2]) or "./")

        html = _ADDRESS.sub(address, html)
        return _ADDRESSES.sub(lambda several: several[1] + _TARGET.sub(address, several[2]), html)

    def add_note(self, file: File) -> None:
        """Let links lead to a hand-written page."""
        self._urls[file.src_uri.removesuffix(".md")] = file.url


def link(to: Link) -> Markup:
    """Draw a link. Pages are full of them: a macro would take three times as long."""
    return Markup(f'<a href="{SCHEME}{escape(to.to)}">{escape(to.text)}</a>')  # noqa: S704 - escaped


def links(several: Iterable[Link]) -> Markup:
    """Draw links with commas between them."""
    return Markup(", ".join(map(link, several)))  # noqa: S704 - each is escaped
