"""People under other names: initials or roles, the same in every citation and in every text."""

import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from buildbook.records.editions import PeopleShown
from buildbook.records.names import slugify
from buildbook.records.person import Person

NOBODY = "not-named"
"""Short name of whoever is not said in an edition."""
_NOBODY_NAME = "not named here"

# Given names that are everyday words too: in small letters the word is meant, not the person.
_EVERYDAY = frozenset(
    "art bill bob chuck cliff dale dean drew earl faith forest frank glen grace grant heath hope "
    "ivy jack jade joy june mark may miles norm olive pat peg penny rich rob rod rose ray reed "
    "rusty sandy skip stone summer sunny ted tip victor wade ward will".split()
)
_SHORTEST = 2


@dataclass(frozen=True, slots=True)
class _Shown:
    """How one person appears."""

    slug: str
    name: str


class Naming:
    """What everybody is called in an edition. `unnamed` are shown by their role in any case."""

    def __init__(
        self, people: Mapping[str, Person], shown: PeopleShown, unnamed: Collection[str] = ()
    ) -> None:
        self._people = people
        self._kept = frozenset(people) - set(unnamed) if shown == "names" else frozenset[str]()
        self.changes = len(self._kept) < len(people)
        """Somebody appears under another name."""
        self.missed = False
        """Somebody was asked for whom the book does not know, or who is not to be said."""
        self._shown = self._name_all(shown, frozenset(unnamed))
        self._words, self._pattern = self._in_texts()

    def _name_all(self, shown: PeopleShown, unnamed: frozenset[str]) -> dict[str, _Shown]:
        roles = Counter(p.role for name, p in self._people.items() if name not in self._kept)
        taken = {NOBODY, *self._kept}
        found: dict[str, _Shown] = {}
        counted: Counter[str] = Counter()
        for name, person in self._people.items():
            if name in self._kept:
                continue
            if shown == "initials" and name not in unnamed:
                wanted = initials(person.name)
                counted[wanted] += 1
                words = wanted if counted[wanted] == 1 else f"{wanted} ({counted[wanted]})"
            else:
                counted[person.role] += 1
                number = f" {counted[person.role]}" if roles[person.role] > 1 else ""
                words = f"{person.role.capitalize()}{number}"
            slug = slugify(words) or "person"
            number_of = 2
            while slug in taken:
                slug = f"{slugify(words) or 'person'}-{number_of}"
                number_of += 1
            taken.add(slug)
            found[name] = _Shown(slug, words)
        return found

    def slug(self, name: str) -> str:
        """Return the short name somebody is cited by."""
        if name in self._kept:
            return name
        if name in self._shown:
            return self._shown[name].slug
        if not self.changes:
            return name  # a slip that `check` tells of, and nobody's name is hidden
        self.missed = True
        return NOBODY

    def person(self, person: Person) -> tuple[str, str]:
        """Return the short name and the name that somebody is shown by."""
        shown = self._shown.get(person.person)
        return (shown.slug, shown.name) if shown else (person.person, person.name)

    def is_named(self, person: Person) -> bool:
        """Tell whether somebody is shown by name."""
        return person.person in self._kept

    def in_text(self, text: str) -> str:
        """Replace the names of people, whole or in parts, wherever they are words of a text."""
        return self._pattern.sub(self._other, text) if self._pattern else text

    def finds(self, text: str) -> bool:
        """Tell whether a text names somebody who is not shown by name."""
        return self.in_text(text) != text

    def _other(self, found: re.Match[str]) -> str:
        word = found[0]
        if word.casefold() in _EVERYDAY and word == word.lower():
            return word
        other = self._words.get(_key(word), "(name)")
        # An initial at the end of a sentence has its point already.
        ends = other.endswith(".") and found.string[found.end() : found.end() + 1] == "."
        return other[:-1] if ends else other

    def _in_texts(self) -> tuple[dict[str, str], re.Pattern[str] | None]:
        owners: dict[str, list[_Shown]] = {}
        words: dict[str, str] = {}
        for name, shown in self._shown.items():
            person = self._people[name]
            parts = _parts(person.name)
            # `José Ríos` is `jose` and `rios` in short names and in file names.
            plain = [s for s in map(slugify, parts) if len(s) >= _SHORTEST]
            for part in {*map(_key, (*parts, *plain, name))}:
                owners.setdefault(part, []).append(shown)
            words[_key(person.name)] = shown.name
            words.setdefault(slugify(person.name) or name, shown.name)
        # A family name that somebody is shown by gives nobody away.
        known = {_key(p) for name in self._kept for p in _parts(self._people[name].name)}
        for part, several in owners.items():
            one = len(set(several)) == 1
            if part not in known:
                words.setdefault(part, several[0].name if one else _of_several(several))
        if not words:
            return {}, None
        # A letter with an accent may be written as one character or as two.
        forms = {f for w in words for f in (w, unicodedata.normalize("NFD", w))}
        longest_first = sorted(forms, key=lambda w: (-len(w), w))
        spaced = "|".join(re.escape(w).replace(r"\ ", r"\s+") for w in longest_first)
        return words, re.compile(rf"(?<![^\W_])(?:{spaced})(?=s?(?![^\W_]))", re.IGNORECASE)


def initials(name: str) -> str:
    """Return `M. L.` for `Maren Lind`; a particle in small letters has none."""
    firsts = [part[0].upper() for part in name.split() if part[0].isalpha() and not part.islower()]
    return " ".join(f"{letter}." for letter in firsts) or f"{name[:1].upper()}."


def _parts(name: str) -> list[str]:
    """Return the words of a name that name somebody on their own."""
    words = re.split(r"[\s,]+", name)
    return [w for w in words if len(w.strip(".")) >= _SHORTEST and not w.islower()]


def _of_several(several: list[_Shown]) -> str:
    """Name a family: its members' last initial where they have one and the same."""
    lasts = {shown.name.split()[-1] for shown in several}
    last = next(iter(lasts))
    return last if len(lasts) == 1 and len(last) == _SHORTEST and last[1] == "." else "(name)"


def _key(words: str) -> str:
    return " ".join(unicodedata.normalize("NFC", words).casefold().split())


def nobody() -> Person:
    """Make the person who stands for everybody that an edition does not say."""
    return Person.model_validate({"person": NOBODY, "name": _NOBODY_NAME})
