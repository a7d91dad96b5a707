"""Builds the documentation: the look of a book, and the pages that the program writes about itself.

Nothing made here is kept: a field, a command or a hazard is told as the program has it today.
"""

import re

from commands import commands
from fields import list_of_kinds, page_of
from hazards import hazards
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from buildbook.records.kinds import KINDS
from mkdocs_buildbook.plugin import BuildbookPlugin, look_files

_TABLES = {"hazards": hazards, "kinds": list_of_kinds}
"""What stands in the place of a tag, as `[[made: hazards]]`."""
_TAG = re.compile(r"^\[\[made: (?P<what>\w+)\]\]$", re.MULTILINE)


def record_page(name: str) -> str:
    """Return the path of the page about a kind of record."""
    return f"records/{name}.md"


@event_priority(100)
def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Give the theme the look of a book, and the navigation its pages about records."""
    for entry in config.nav or ():
        if "Records" in entry:
            entry["Records"] = ["records/index.md", *map(record_page, KINDS)]
    return BuildbookPlugin().on_config(config)


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add the pages that are made, and what the look needs."""
    for name, kind in KINDS.items():
        files.append(File.generated(config, record_page(name), content=page_of(kind)))
    files.append(File.generated(config, "commands.md", content=commands()))
    for file in look_files(config):
        files.append(file)
    return files


def on_page_markdown(markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
    """Put what is made in the place of its tag."""
    del page, config, files
    return _TAG.sub(lambda tag: _TABLES[tag["what"]](), markdown)
