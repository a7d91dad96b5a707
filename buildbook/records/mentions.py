"""Names in prose: part numbers, pieces, steps, lessons and squawks that a text mentions.

The same words become links on the pages and problems when they lead nowhere, so both ask here.
"""

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from functools import cache
from typing import NamedTuple

from buildbook.records.book import Book
from buildbook.records.problems import Place, did_you_mean
from buildbook.records.record import Record
from buildbook.records.timecode import parse_time_code

LINK_SCHEMES = {
    "part": "parts",
    "piece": "pieces",
    "step": "steps",
    "section": "sections",
    "session": "sessions",
    "lesson": "lessons",
    "squawk": "squawks",
    "person": "people",
    "operation": "operations",
    "photo": "photos",
    "clip": "clips",
    "lot": "lots",
    "notice": "notices",
}
"""Schemes of explicit links in Markdown, `[the rib](part:ST-014-L)`, and the kind each cites."""


class Mention(NamedTuple):
    """A name found in a text."""

    to: str
    """Kind: `parts`, `pieces`, `steps`, `lessons`, `squawks`, or another of LINK_SCHEMES."""
    name: str | int
    start: int
    """Offset in the text, of the whole mention."""
    end: int


class DeadMention(NamedTuple):
    """Words that look like a name and lead nowhere."""

    code: str
    to: str
    """The kind that was meant."""
    said: str
    advice: str
    start: int
    """Offset in the text."""
    end: int
    certain: bool
    """It can only be meant as a name: a link, or a numbered lesson."""


# A word of letters only is never a name, and most words are: the pattern passes over them at once.
_TOKEN = re.compile(
    r"(?<![\w/.\-])(?:"
    r"(?P<kind>(?i:lesson|squawk))s?\s+(?:no\.?\s*)?(?P<number>\d{1,6})\b(?!\.\d)"
    r"|(?=[A-Za-z]*+(?:[0-9]|[_./\-]\w))"
    r"(?P<word>[A-Za-z0-9][\w.\-]*(?:/[A-Za-z0-9][A-Za-z0-9\-]*)?)(?![\w/]))"
)
_EXPLICIT = re.compile(r"\]\(\s*(?P<scheme>[a-z]+):(?P<name>[^)\s]+)\s*\)")
# Code spans end inside their paragraph. Bounded repeats keep the search linear in any text.
_CODE = re.compile(
    r"(?ms)^(```|~~~).*?(?:^\1[`~]*[ \t]*$|\Z)"
    r"|(?<!`)(`+)(?!`)(?:(?!\n[ \t]*\n).){1,2000}?(?<!`)\2(?!`)"
)
_URL = re.compile(r"(?:https?://|www\.|mailto:)\S+|\]\([^)\n]{0,300}\)|<[^<>\n]{0,300}>")


class Found(NamedTuple):
    """All names in one Markdown text."""

    mentions: tuple[Mention, ...]
    dead: tuple[DeadMention, ...]


def names_of(book: Book) -> "Names":
    """Give the names of a book, gathered once."""
    names = book.__dict__.get("names")
    if not isinstance(names, Names):
        names = book.__dict__["names"] = Names(book)
    return names


def share_names(book: Book, earlier: Book) -> None:
    """Let a book that is read again have the names of the earlier one, if they are the same.

    What is known of the texts then stays known, and only changed texts are searched.
    """
    names = names_of(earlier)
    if names.fits(book):
        book.__dict__["names"] = names


class Names:
    """Every name that prose can mention, looked up in one step a word."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._in_texts: dict[str, Found] = {}
        self._words: dict[str, tuple[str, str | int]] = {}
        for label in book.piece_by_label:
            self._words[label] = ("pieces", label)
        for number in book.parts:
            # A number made of letters only is a word like any other, one of digits only a count:
            # link such ones explicitly, so that a part called `rib` does not make a link of
            # every rib.
            if not re.fullmatch(r"[A-Za-z]+|[0-9]+", number):
                self._words[number] = ("parts", number)
        for name in book.steps:
            self._words[name] = ("steps", name)
        self._shapes = {_shape(n) for n in book.parts if re.search(r"[A-Za-z].*\d|\d.*[A-Za-z]", n)}

    def fits(self, book: Book) -> bool:
        """Tell whether a book has the same names in the same order."""
        return all(
            list(_names(self.book, kind)) == list(_names(book, kind))
            for kind in LINK_SCHEMES.values()
        )

    def in_text(self, text: str) -> Iterator[Mention]:
        """Yield what a plain text mentions, in order."""
        words, book = self._words, self.book
        for found in _TOKEN.finditer(text):
            word = found["word"]
            if word is not None:
                if word not in words:
                    word = word.rstrip(".-")  # the sentence's own punctuation
                if target := words.get(word):
                    yield Mention(*target, found.start(), found.start() + len(word))
            else:
                kind, number = f"{found['kind'].lower()}s", int(found["number"])
                if number in (book.lessons if kind == "lessons" else book.squawks):
                    yield Mention(kind, number, found.start(), found.end())

    def in_markdown(self, text: str) -> Found:
        """Find what a Markdown text mentions outside code, what it links to, and dead names."""
        found = self._in_texts.get(text)
        if found is None:
            bare = blank_code(text)
            links = list(_EXPLICIT.finditer(bare))
            plain = _blank(_URL, bare)
            found = self._in_texts[text] = Found(
                (*self._linked(links), *self.in_text(plain)),
                (*self._dead_links(links), *self._dead_in_text(plain)),
            )
        return found

    def _linked(self, links: list[re.Match[str]]) -> Iterator[Mention]:
        for found in links:
            to = LINK_SCHEMES.get(found["scheme"])
            if to and (name := self.explicit(to, found["name"])) is not None:
                yield Mention(to, name, found.start(), found.end())

    def explicit(self, to: str, name: str) -> str | int | None:
        """Return the identity an explicit link means, or None when there is no such record."""
        book = self.book
        if to in ("lessons", "squawks"):
            known = book.lessons if to == "lessons" else book.squawks
            return int(name) if name.isdecimal() and int(name) in known else None
        if to == "photos":
            return name if name in book.photo_files else None
        if to == "clips":
            name = _cited_clip(name)
        if to == "pieces":
            return name if name in book.piece_by_label else None
        return name if name in getattr(book, to) else None

    def _dead_links(self, links: list[re.Match[str]]) -> Iterator[DeadMention]:
        for found in links:
            scheme, name = found["scheme"], found["name"]
            to = LINK_SCHEMES.get(scheme)
            if to and self.explicit(to, name) is None:
                if to in ("lessons", "squawks"):
                    said, advice = self._no_number(scheme, name)
                else:
                    said = f"there is no {scheme} `{name}`"
                    advice = did_you_mean(name, map(str, self._known(to)))
                yield DeadMention("dead-link", to, said, advice, *found.span("name"), certain=True)

    def _dead_in_text(self, text: str) -> Iterator[DeadMention]:
        for found in _TOKEN.finditer(text):
            if found["kind"]:
                kind, number = found["kind"].lower(), int(found["number"])
                known = self.book.lessons if kind == "lesson" else self.book.squawks
                if number not in known:
                    said, advice = self._no_number(kind, str(number))
                    yield DeadMention(
                        "dead-link", f"{kind}s", said, advice, *found.span(), certain=True
                    )
            elif found["word"] not in self._words:
                yield from self._dead_word(found["word"].rstrip(".-"), found.start())

    def _no_number(self, kind: str, number: str) -> tuple[str, str]:
        highest = max(self.book.lessons if kind == "lesson" else self.book.squawks, default=0)
        advice = f"the highest number is {highest}" if highest else f"the book has no {kind}s yet"
        return f"there is no {kind} {number}", advice

    def _dead_word(self, word: str, start: int) -> Iterator[DeadMention]:
        """Yield the problem when a word has the form of a name, and is none."""
        if word in self._words:
            return
        head, slash, _ = word.partition("/")
        if slash and head in self.book.sections:
            to, said = "steps", f"there is no step `{word}`"
        elif not slash and _shape(word) in self._shapes:
            to, said = "parts", f"`{word}` looks like a part number, and there is no such part"
        else:
            return
        advice = did_you_mean(word, map(str, self._known(to)))
        yield DeadMention("dead-link", to, said, advice, start, start + len(word), certain=False)

    def _known(self, to: str) -> "list[str | int]":
        return list(_names(self.book, to))


def _cited_clip(name: str) -> str:
    """Spell the time code after a clip's file as its chapters do: `drilling.mp4@01:20`."""
    file, at, code = name.rpartition("@")
    with suppress(ValueError):
        return f"{file}@{parse_time_code(code)}" if at else name
    return name


def _names(book: Book, kind: str) -> Iterable[str | int]:
    if kind == "photos":
        return sorted(book.photo_files)
    names: Iterable[str | int] = getattr(book, "piece_by_label" if kind == "pieces" else kind)
    return names


def _shape(word: str) -> str:
    """Reduce a part number to its letters and the places of its digits: ST-014 is ST-999."""
    return re.sub(r"\d", "9", word)


def blank_code(text: str) -> str:
    """Replace the code in a Markdown text by spaces: names in it are not mentions."""
    return _blank(_CODE, text)


def _blank(pattern: re.Pattern[str], text: str) -> str:
    """Replace matches by spaces, so that offsets stay."""
    return pattern.sub(lambda m: re.sub(r"[^\n]", " ", m.group()), text)


PROSE_FIELDS = frozenset(("notes", "text", "next", "how", "intro", "about"))
"""Names of the fields that hold Markdown."""


def prose_of(record: Record) -> Iterator[tuple[str, Place]]:
    """Yield every prose text of a record and of the records inside it, with its place."""
    for attribute, name in _prose_fields(type(record)):
        if value := getattr(record, attribute):
            yield value, record.place.at(name)
    for attribute, _ in record.inside:
        value = getattr(record, attribute)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Record):
                yield from prose_of(item)


@cache
def _prose_fields(model: type[Record]) -> tuple[tuple[str, str], ...]:
    """Return the fields that hold prose: attribute, and name in the file."""
    fields = model.model_fields.items()
    return tuple((n, f.alias or n) for n, f in fields if n in PROSE_FIELDS)
