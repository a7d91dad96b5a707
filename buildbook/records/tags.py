"""Tags in hand-written pages: `[[hours fin]]` stands for a table the book computes."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from buildbook.records.book import Book
from buildbook.records.mentions import blank_code
from buildbook.records.problems import did_you_mean

TAGS = {
    "total": ("sections", "steps"),
    "hours": ("sections",),
    "parts": ("sections",),
    "photos": ("sections", "steps"),
    "clips": ("sections", "steps"),
    "sessions": ("sections", "steps"),
    "lessons": ("operations", "parts", "steps"),
    "squawks": ("states",),
}
"""Every tag, and the kinds its argument may name. Without one it is about the whole book."""

STATES = ("open", "decided", "closed")
_TAG = re.compile(r"\[\[\s*([a-z]+)(?:\s+([^\]\n]*?))?\s*\]\](?!\()")


class Tag(NamedTuple):
    """A tag as written."""

    name: str
    argument: str
    start: int
    end: int


def find_tags(text: str) -> Iterator[Tag]:
    """Yield the tags of a Markdown text, outside code."""
    for found in _TAG.finditer(blank_code(text)):
        yield Tag(found[1], found[2] or "", found.start(), found.end())


def argument_kind(book: Book, tag: str, argument: str) -> str | None:
    """Say which kind a tag's argument names, or None when there is nothing of that name."""
    for kind in TAGS.get(tag, ()):
        known = STATES if kind == "states" else getattr(book, kind)
        if argument in known:
            return kind
    return None


def wrong_with(book: Book, tag: Tag) -> tuple[str, str] | None:
    """Say what is wrong with a tag and what may mend it, or None."""
    if tag.name not in TAGS:
        return f"there is no tag `{tag.name}`", did_you_mean(tag.name, TAGS, name="tags")
    if tag.argument and argument_kind(book, tag.name, tag.argument) is None:
        known = [
            str(k)
            for kind in TAGS[tag.name]
            for k in (STATES if kind == "states" else getattr(book, kind))
        ]
        return (
            f"`{tag.name}` knows nothing called `{tag.argument}`",
            did_you_mean(tag.argument, known, name="names"),
        )
    return None
