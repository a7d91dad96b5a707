"""Short names of records that say what an edition does not: under other ones in it."""

from collections.abc import Callable, Iterable, Mapping

from buildbook.handover.fieldplan import field_plans
from buildbook.records.book import Book
from buildbook.records.kinds import KINDS
from buildbook.records.names import slugify
from buildbook.records.record import Record
from buildbook.records.tags import find_tags

_NAMELESS = "renamed"


def renamed(records: Iterable[Record], text: Callable[[str], str]) -> dict[str, str]:
    """Find new short names for those in which a text of the edition would be another one.

    `text` puts a text right. A name that several kinds share is renamed in all of them; no two
    become alike.
    """
    old = list(dict.fromkeys(name for record in records for name in _names_in(record)))
    found: dict[str, str] = {}
    taken = set(old)
    for name in old:
        words = text(name)
        if words == name:
            continue
        new = wanted = slugify(words) or _NAMELESS
        number = 1
        while new in taken:
            number += 1
            new = f"{wanted}-{number}"
        taken.add(new)
        found[name] = new
    return found


def _names_in(record: Record) -> Iterable[str]:
    for plan in field_plans(type(record)):
        value = getattr(record, plan.attribute)
        if plan.is_short_name:
            yield value
        elif plan.holds_records:
            for item in value if isinstance(value, tuple) else (value,):
                if isinstance(item, Record):
                    yield from _names_in(item)


def by_kind(book: Book, names: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """Sort new short names by the kinds that are cited: old to new. People are not among them."""
    found = {
        kind.name: dict(names)
        for kind in KINDS.values()
        if kind.name != "people"
        and any(p.is_short_name and p.name == kind.identity for p in field_plans(kind.model))
    }
    return {**found, "steps": {step: in_step(step, names) for step in book.steps}}


def in_step(name: str, names: Mapping[str, str]) -> str:
    """Rename `section/step`, or a short name by itself."""
    return "/".join(names.get(part, part) for part in name.split("/"))


def in_tags(text: str, names: Mapping[str, str]) -> str:
    """Rename what the tags of a hand-written page are about."""
    for tag in reversed(list(find_tags(text)) if names else []):
        new = in_step(tag.argument, names)
        if new != tag.argument:
            written = text[tag.start : tag.end].replace(tag.argument, new)
            text = f"{text[: tag.start]}{written}{text[tag.end :]}"
    return text
