"""Hand-written Markdown pages: our tags filled in, names in them made into links."""

import re
from html import escape

from buildbook.pages.context import Context
from buildbook.pages.tags import tag_view
from buildbook.pages.words import speaking
from buildbook.records.tags import find_tags
from mkdocs_buildbook.drawing import Drawing

_PLACEHOLDER = re.compile(
    r'<p>\s*<span data-buildbook="(\d+)"></span>\s*</p>|<span data-buildbook="(\d+)"></span>'
)

_IN_CODE = re.compile(r'&lt;span data-buildbook=(?:"|&quot;)(\d+)(?:"|&quot;)&gt;&lt;/span&gt;')


class Notes:
    """Finishes hand-written pages."""

    context: Context
    """The book as it is shown now."""

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self._tags: dict[str, list[tuple[str, str, str]]] = {}

    def mark_tags(self, markdown: str, file: str) -> str:
        """Replace each tag by a placeholder that Markdown leaves alone."""
        out, at = [], 0
        tags: list[tuple[str, str, str]] = []
        for tag in find_tags(markdown):
            out += [markdown[at : tag.start], f'<span data-buildbook="{len(tags)}"></span>']
            tags.append((tag.name, tag.argument, markdown[tag.start : tag.end]))
            at = tag.end
        self._tags[file] = tags
        return "".join(out) + markdown[at:]

    def finish(self, html: str, file: str, url: str) -> str:
        """Fill the placeholders in a converted page, and link names."""
        tags = self._tags.get(file, [])
        prose = self.context.prose
        linked = prose.link_names(prose.linked_explicitly(html))

        def fill(found: re.Match[str]) -> str:
            name, argument, _ = tags[int(found[1] or found[2])]
            with speaking(self.context.book.file.language):
                view = tag_view(self.context, name, argument)
            if view is None:
                return ""  # told by `check`
            return self.drawing.draw_view(view.template, view.view, url)

        # A placeholder that Markdown has escaped is in code after all, an indented block: there
        # the tag stands as it was written.
        shown = _IN_CODE.sub(lambda found: escape(tags[int(found[1])][2]), linked)
        whole = self.drawing.edition(url) + _PLACEHOLDER.sub(fill, shown)
        return self.drawing.resolve(whole, url)
