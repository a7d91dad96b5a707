"""Sites built for tests, through MkDocs as a builder builds them."""

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from parsed import Document, parse, parse_text

ROOT = Path(__file__).resolve().parents[1]

LISTS = (
    "index",
    "sections",
    "sessions",
    "parts",
    "operations",
    "lessons",
    "squawks",
    "gallery",
    "hours",
    "pace",
    "forecast",
    "people",
    "stores",
    "readings",
    "reference",
)
"""The pages every book has."""

BOOK = """\
title: The Fencroft book
aircraft:
  model: Fencroft F-1
builder: ada
time zone: Europe/Copenhagen
"""

FIN = """\
section: fin
title: Fin
steps:
  - step: skeleton
    title: Skeleton
    parts: FN-01, FN-02-L
    operations: deburr, drill
    estimate: 8h
  - step: close
    title: Skins on
    parts: FN-01
"""

PARTS = """\
- part: FN-01
  name: Rear spar
- part: FN-02-L
  name: Nose rib
  quantity: 4
"""

OPERATIONS = """\
- operation: deburr
  title: Deburr
- operation: drill
  title: Drill
"""

PEOPLE = """\
- person: ada
  name: Ada Fen
  role: builder
- person: ben
  name: Ben Fen
"""

FOUR_LINES = """\
date: 2025-03-08
step: fin/skeleton
hours: 2h30
notes: Clamped the rear spar and match-drilled the two hinge brackets.
"""

BASE: dict[str, str | bytes] = {
    "book.yml": BOOK,
    "people.yml": PEOPLE,
    "operations.yml": OPERATIONS,
    "parts.yml": PARTS,
    "sections/fin.yml": FIN,
}
"""A book with a plan and no sessions yet."""

SETTINGS = """\
site_name: The Fencroft book
docs_dir: content
site_dir: site
use_directory_urls: false
theme:
  name: material
  font: false
plugins:
  - search
  - offline
  - buildbook
markdown_extensions:
  - tables
  - fenced_code
  - toc:
      permalink: true
validation:
  omitted_files: ignore
"""


@dataclass(frozen=True)
class Site:
    """A built site."""

    folder: Path
    log: tuple[str, ...]
    """Warnings and errors of the build."""

    def page(self, path: str) -> Document:
        """Parse a page: `sections/fin`."""
        return parse(self.folder / f"{path}.html")

    def pages(self) -> Iterator[tuple[str, Document]]:
        """Parse every page, each with its path without the ending. Keeping all takes memory."""
        for file in sorted(self.folder.rglob("*.html")):
            path = file.relative_to(self.folder).with_suffix("").as_posix()
            yield path, parse_text(file.read_text(encoding="utf-8"))


class SmallSite(Protocol):
    """What the fixture `small_site` gives."""

    def __call__(
        self, files: dict[str, str | bytes], *, settings: str = "", folder: Path | None = None
    ) -> Site: ...


class _Heard(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(" ".join(record.getMessage().split()))


def build(config: Path, to: Path, *, strict: bool = False) -> Site:
    """Build a site from its settings."""
    heard = _Heard()
    log = logging.getLogger("mkdocs")
    log.addHandler(heard)
    try:
        settings = load_config(config_file=str(config), site_dir=str(to), strict=strict)
        settings.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(settings)
        settings.plugins.on_shutdown()
    finally:
        log.removeHandler(heard)
    return Site(to, tuple(heard.said))


def build_small(folder: Path, files: dict[str, str | bytes], *, settings: str = "") -> Site:
    """Write a book's files and build its site below `folder`. `settings` replace the usual ones."""
    for name, text in {"book.yml": BOOK, **files}.items():
        path = folder / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    config = folder / "mkdocs.yml"
    config.write_text(settings or SETTINGS, encoding="utf-8")
    return build(config, folder / "site")
