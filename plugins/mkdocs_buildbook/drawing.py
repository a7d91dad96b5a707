"""Drawing: from a page's view to HTML, through templates that a theme's `custom_dir` may override."""

import re
from typing import Any
from urllib.parse import unquote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File

from buildbook.pages.context import Figure, show_date
from buildbook.pages.page import SCHEME, Page
from buildbook.pages.prose import TAG
from buildbook.records.durations import show_minutes
from mkdocs_buildbook.pictures import Pictures

_ATTRIBUTE = re.compile(r'\b(href|src|srcset)="([^"]*' + SCHEME + r'[^"]*)"')
_TARGET = re.compile(SCHEME + r"([^\"#\s,]+)")


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
        )
        self._env.filters["hm"] = show_minutes
        self._env.filters["day"] = show_date
        self._env.globals["picture"] = self._picture
        self._env.globals["scheme"] = SCHEME

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

        def target(found: re.Match[str]) -> str:
            path = unquote(found[1])
            known = self._urls.get(path)
            if known is None:
                known = found[1]  # a picture or an asset: its path is its address
            return (root + known) or "./"

        def attribute(found: re.Match[str]) -> str:
            return f'{found[1]}="{_TARGET.sub(target, found[2])}"'

        return TAG.sub(
            lambda tag: _ATTRIBUTE.sub(attribute, tag[0]) if SCHEME in tag[0] else tag[0], html
        )

    def add_note(self, file: File) -> None:
        """Let links lead to a hand-written page."""
        self._urls[file.src_uri.removesuffix(".md")] = file.url
