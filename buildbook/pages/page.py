"""A page before any host draws it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

SCHEME = "buildbook:"
"""Links inside the book are written `buildbook:PATH#anchor`; the host turns them into its own."""


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead to a page."""

    text: str
    to: str
    """Path of a page, with `#anchor` where it leads inside one."""


@dataclass(frozen=True, slots=True)
class SearchEntry:
    """What a search finds: a page, or a place on it."""

    title: str
    text: str
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the book."""

    path: str
    """Where it is, without an ending: `sections/fin/skeleton`."""
    title: str
    template: str
    """Name of the template that draws `view`."""
    view: Any
    """One of the dataclasses of this package, the contract with the template."""
    search: Sequence[SearchEntry]
    """The page itself first, then places on it; nothing for a page that another one leads to."""
    files: frozenset[str]
    """Files of the records it is about: what is wrong in them is told on it while the book is
    written. Empty for what collects all."""
    listed: bool = False
    """A page of the navigation; the others are reached from those."""
    description: str = ""
    """One plain sentence for search engines and previews."""
    cover: bool = False
    """It opens the book: it has its own ways in, and no lists stand beside it."""
    indexed: bool = True
    """Search engines may list it."""
