"""Renaming: people, sessions and files under the names they have in an edition."""

import re
from collections.abc import Collection, Mapping
from pathlib import PurePosixPath
from typing import Any, TypeVar, cast

from buildbook.handover.fieldplan import FieldPlan, field_plans
from buildbook.handover.naming import Naming
from buildbook.records.book import Book
from buildbook.records.mentions import LINK_SCHEMES
from buildbook.records.record import Record
from buildbook.records.references import references

R = TypeVar("R", bound=Record)

_TELLING = 4
"""Letters that an address or a serial number must have to be looked for in texts."""
LEFT_OUT = "left-out"
"""Stands in a link for what an edition has not."""
_SCHEMES = "|".join(LINK_SCHEMES)
_LINK = re.compile(rf"!?\[([^\[\]\n]{{0,300}})\]\(\s*({_SCHEMES}):([^)\s]+)\s*\)")
_CITED = re.compile(rf"(?<![\w/])({_SCHEMES}):([^)\s\]>\"']+)")


class Renaming:
    """Gives records the names of an edition.

    `names` are the new names by kind and old name, `gone` what the edition has not, by kind, and
    `words` what no text of it is to hold.
    """

    def __init__(
        self,
        names: Mapping[str, Mapping[str, str]],
        gone: Mapping[str, frozenset[Any]],
        naming: Naming,
        words: Collection[str] = (),
    ) -> None:
        self._names = {
            kind: {old: new for old, new in some.items() if old != new}
            for kind, some in names.items()
        }
        self._gone = gone
        self._naming = naming
        told = sorted((w for w in words if len(w) >= _TELLING), key=lambda w: (-len(w), w))
        spelled = "|".join(re.escape(w).replace(r"\ ", r"\s+") for w in told)
        self._words = re.compile(rf"(?<!\w)(?:{spelled})(?!\w)") if spelled else None
        self._cites = any(self._names.values()) or any(gone.values())
        self._short: Mapping[str, str] = {}

    def know_short(self, names: Mapping[str, str]) -> None:
        """Take new short names, whatever they are the names of."""
        self._short = names

    def name(self, kind: str, name: Any) -> Any:
        """Return what something is cited by."""
        return self._names.get(kind, {}).get(name, name)

    def know(self, kind: str, names: Mapping[str, str]) -> None:
        """Take new names of another kind."""
        self._names[kind] = {old: new for old, new in names.items() if old != new}
        self._cites = self._cites or bool(self._names[kind])

    def record(self, record: R, known: dict[int, Record]) -> R:
        """Return a record under the names of the edition; `known` are those done before."""
        key = id(record)
        if key not in known:
            known[key] = self._renamed(record, known)
            known[id(known[key])] = known[key]
        return cast("R", known[key])

    def _renamed(self, record: R, known: dict[int, Record]) -> R:
        update = {}
        for plan in field_plans(type(record)):
            value = getattr(record, plan.attribute)
            if value is None or value == ():
                continue
            other = self._value(plan, value, known)
            if other is not value:
                update[plan.attribute] = other
        if not update:
            return record
        copy = record.model_copy(update=update)
        for name in copy.__dict__.keys() - type(copy).model_fields.keys() - {"place"}:
            del copy.__dict__[name]
        return copy

    def _value(self, plan: FieldPlan, value: Any, known: dict[int, Record]) -> Any:
        if isinstance(value, Record):
            return self.record(value, known)
        if isinstance(value, tuple):
            items = tuple(self._value(plan, item, known) for item in value)
            same = all(a is b for a, b in zip(items, value, strict=True))
            return value if same else items
        if isinstance(value, dict):
            words = {
                self._key(plan, k): _in_words(v, self.text) if plan.is_text else v
                for k, v in value.items()
            }
            return value if words == value else words
        if plan.refers:
            return self._name(plan.refers, value)
        if plan.is_short_name:
            return self._short.get(value, value)
        return self.text(value) if plan.is_text and isinstance(value, str) else value

    def _key(self, plan: FieldPlan, name: Any) -> Any:
        # What a load is at is a short name too, though of a station that stands beside it.
        return self._name(plan.refers, name) if plan.refers else self._short.get(name, name)

    def _name(self, kind: str, name: Any) -> Any:
        return self._naming.slug(name) if kind == "people" else self.name(kind, name)

    def text(self, text: str) -> str:
        """Rename what a text cites by link, and the people it names."""
        other = self._naming.in_text(self.citations(text))
        if self._words:
            other = self._words.sub("(left out)", other)
        return text if other == text else other

    def citations(self, text: str) -> str:
        """Rename what a text cites by link; a link to what is not there becomes plain words."""
        if not self._cites or ":" not in text:
            return text
        text = _LINK.sub(self._link, text)
        return _CITED.sub(lambda found: f"{found[1]}:{self._cited(found[1], found[2])}", text)

    def _link(self, found: re.Match[str]) -> str:
        name = self._cited(found[2], found[3])
        return found[1] if name == LEFT_OUT else found[0].replace(found[3], name)

    def _cited(self, scheme: str, name: str) -> str:
        kind = LINK_SCHEMES[scheme]
        file, at, code = name.partition("@") if kind == "clips" else (name, "", "")
        gone = self._gone.get(kind, ())
        if file in gone or (file.isdecimal() and int(file) in gone):
            return LEFT_OUT
        return f"{self._names.get(kind, {}).get(file, file)}{at}{code}"


def _in_words(value: Any, text: Any) -> Any:
    if isinstance(value, str):
        return text(value)
    if isinstance(value, tuple):
        return tuple(_in_words(item, text) for item in value)
    return value


def renamed_files(book: Book) -> dict[str, str]:
    """Name pictures and clips by the day of the session that shows them first, and their place."""
    found: dict[str, str] = {}
    counts: dict[str, int] = {}

    def name(file: str, after: str) -> None:
        if file in found or file not in known:
            return
        counts[after] = counts.get(after, 0) + 1
        found[file] = f"{after}-{counts[after]:02}{PurePosixPath(file).suffix.lower()}"

    known = book.photo_files | book.clip_files | book.withheld
    for session in book.sessions.values():
        for file in (*(p.file for p in session.photos), *(c.file for c in session.clips)):
            name(file or "", str(session.date))
    for record in (*book.sessions.values(), *book.squawks.values(), *book.lots.values()):
        for cited in references(record):
            if cited.to in ("photos", "clips"):
                name(cited.name, "picture")
    for file in sorted(known):
        name(file, "picture")
    return found
