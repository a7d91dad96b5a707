"""A list of parts held against the book: what is new, the same, different, or doubtful."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from buildbook.incoming.partlist import ListedPart
from buildbook.ledger.shortage import Shortage, shortage
from buildbook.records.part import Part
from buildbook.records.quantities import Quantity

_SAME_THICKNESS = 1e-6
"""Millimetres."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A part that the book has and the list speaks of differently."""

    listed: ListedPart
    ours: Part
    fields: tuple[tuple[str, Any, Any], ...]
    """Field, what the book says (None: nothing), what the list says."""

    @property
    def contradicts(self) -> bool:
        """Whether both say something, and not the same."""
        return any(ours is not None for _, ours, _ in self.fields)


@dataclass(frozen=True, slots=True)
class Similar:
    """A part number so like another that it is probably the same one, mistyped."""

    listed: ListedPart
    other: str
    line: int | None
    """Line of the list where the other stands; None when the book has it."""
    only_capitals: bool
    """They differ in capitals only: a book cannot have both."""


@dataclass(slots=True)
class Comparison:
    """Every row of a list, sorted by what it means for the book."""

    new: list[ListedPart] = field(default_factory=list)
    same: list[ListedPart] = field(default_factory=list)
    differing: list[Difference] = field(default_factory=list)
    similar: list[Similar] = field(default_factory=list)
    repeated: list[list[ListedPart]] = field(default_factory=list)
    """Rows of one part, together: nothing says whether they add up."""
    unclear: list[ListedPart] = field(default_factory=list)
    short: list[Shortage] = field(default_factory=list)

    @property
    def doubtful(self) -> int:
        """How many rows a person has to decide about before they can be written."""
        return len(self.similar) + len(self.unclear) + sum(map(len, self.repeated))

    @property
    def contradicting(self) -> int:
        """How many parts the list and the book say different things about."""
        return sum(d.contradicts for d in self.differing)


def compare(rows: Iterable[ListedPart], ours: Mapping[str, Part]) -> Comparison:
    """Hold the rows of a list against the book's parts, by number."""
    result = Comparison()
    alike: dict[str, tuple[str, int | None]] = {}
    for number in ours:
        alike.setdefault(_look(number), (number, None))
    by_number: dict[str, list[ListedPart]] = {}
    for row in rows:
        if row.part is None:
            result.unclear.append(_with_advice(row, alike.get(_look(row.number))))
        else:
            by_number.setdefault(row.number, []).append(row)
    for number, group in by_number.items():
        row = group[0]
        assert row.part is not None
        other = alike.get(_look(number))
        if len(group) > 1:
            result.repeated.append(group)
        elif number in ours:
            _hold_against(row, row.part, ours[number], result)
        elif other:
            result.similar.append(
                Similar(row, *other, only_capitals=other[0].casefold() == number.casefold())
            )
        elif row.lacks:
            result.unclear.append(replace(row, wrong=row.lacks))
        else:
            alike[_look(number)] = number, row.line
            result.new.append(row)
            _note_shortage(row.part, result)
    result.unclear.sort(key=lambda row: row.line)
    return result


def _with_advice(row: ListedPart, other: tuple[str, int | None] | None) -> ListedPart:
    if not other or other[0] == row.number:
        return row
    return replace(row, wrong=(*row.wrong, f"did you mean `{other[0]}`, which the book has?"))


def _look(number: str) -> str:
    """Reduce a part number to what is left when capitals, hyphens, O and 0, I and 1 look alike."""
    return re.sub(r"[-_. ]", "", number.casefold()).replace("o", "0").replace("i", "1")


def _hold_against(row: ListedPart, theirs: Part, ours: Part, result: Comparison) -> None:
    fields = []
    for name in row.said:
        if name == "part":
            continue
        written, said = getattr(ours, name), getattr(theirs, name)
        if name not in ours.model_fields_set and name != "quantity":
            written = None
        if not _is_same(written, said) and not (written is None and said == 0):
            fields.append((name, written, said))
    if fields:
        result.differing.append(Difference(row, ours, tuple(fields)))
    else:
        result.same.append(row)
    merged = {name: getattr(theirs, name) for name in (*row.said, "received") if name != "name"}
    _note_shortage(ours.model_copy(update=merged), result)


def _is_same(ours: Any, theirs: Any) -> bool:
    if isinstance(ours, Quantity) and isinstance(theirs, Quantity):
        return abs(ours.to("mm") - theirs.to("mm")) < _SAME_THICKNESS
    if isinstance(ours, str) and isinstance(theirs, str):
        return ours.casefold() == theirs.casefold()
    return bool(ours == theirs)


def _note_shortage(part: Part, result: Comparison) -> None:
    if found := shortage(part):
        result.short.append(found)
