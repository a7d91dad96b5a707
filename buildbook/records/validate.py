"""From what a file says to a record: every field checked, and as much kept as is right."""

from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from buildbook.records.problems import Place, Problem, Step
from buildbook.records.record import HIDING, Record, fold, put_place
from buildbook.records.words import explain, plain_path

Path = tuple[Step, ...]
_ROUNDS = 8
MAX_TOLD = 100
"""Of one record, so many problems are told: more is not a record gone wrong but another file."""


def validate(model: type[Record], data: Any, place: Place) -> tuple[Record | None, list[Problem]]:
    """Make a record; what is wrong is left out of it and told.

    A wrong field costs that field, a wrong entry of a list that entry, and only when a record
    cannot stand without what is wrong is there none. So one mistake hides no other, and what
    refers to the record is not blamed for it.
    """
    try:
        record = model.model_validate(data)
    except ValidationError as first:
        return _Salvage(model, data, place).run(first)
    put_place(record, place)
    return record, []


class _Salvage:
    """Leaves wrong values out of one record until it stands or nothing is left."""

    def __init__(self, model: type[Record], data: Any, place: Place) -> None:
        self.model, self.data, self.place = model, data, place
        self.problems: list[Problem] = []
        self.dropped: set[Path] = set()
        """What is left out, by the keys as written."""
        self.hurt: set[Path] = set()
        """Every value told about and every record it is in, by the names of the fields."""
        self.moved: dict[Path, list[int]] = {}
        """For a list that lost entries: the index each remaining one had."""

    def run(self, error: ValidationError) -> tuple[Record | None, list[Problem]]:
        for _ in range(_ROUNDS):
            for detail in error.errors(include_url=False):
                self._leave_out(detail)
            if () in self.dropped:
                break
            self.moved = {}
            kept = self._kept(self.data, (), ())
            try:
                record = self.model.model_validate(kept)
            except ValidationError as next_error:
                error = next_error
                continue
            put_place(record, self.place, {self.place.path + p: i for p, i in self.moved.items()})
            return record, self.problems
        return None, self.problems

    def _leave_out(self, detail: ErrorDetails) -> None:
        path = self._as_written(plain_path(detail))
        field = detail.get("ctx", {}).get("field")
        at = (*path, field) if field else path
        is_missing = detail["type"] == "missing"
        # What lacks something that was left out, or does not fit without it, was told already.
        # So was a list that is too short because its entries were left out.
        lacking = is_missing or detail["type"] == "too_short"
        echo = (field is not None and path in self.hurt) or (lacking and at in self.hurt)
        if not echo and len(self.problems) < MAX_TOLD:
            empty = is_missing and self._is_left_empty(at)
            self.problems.append(explain(detail, self.model, self.place.at(*at), is_empty=empty))
        self.hurt.update(at[:i] for i in range(len(at) + 1))
        for hiding in HIDING:  # what was to be hidden must not be published because of a slip
            at = at[: at.index(hiding)] if hiding in at else at
        left_out = at[:-1] if is_missing else at
        if at and (kept := self.model.all_or_nothing.get(str(at[0]))) is not None:
            left_out = left_out[:kept]
        self.dropped.add(self._key_path(left_out))

    def _as_written(self, path: Path) -> Path:
        """Undo the shift of indexes that left-out entries caused."""
        written: Path = ()
        for step in path:
            kept = self.moved.get(written)
            written = (*written, kept[step] if kept and isinstance(step, int) else step)
        return written

    def _is_left_empty(self, path: Path) -> bool:
        """Tell whether the field is there, with nothing after its colon."""
        return len(self._key_path(path)) == len(path)

    def _key_path(self, path: Path) -> Path:
        """Say the way to a value by the keys as written, as far as there is one."""
        node, keys = self.data, []
        for step in path:
            key: Step | None = None
            if isinstance(node, dict) and isinstance(step, str):
                key = step if step in node else next((k for k in node if fold(k) == step), None)
            elif isinstance(node, list) and isinstance(step, int) and step < len(node):
                key = step
            elif isinstance(node, (dict, list)):  # one entry in place of a list; a bare list
                continue
            if key is None:  # inside a value written short: it is about the value as a whole
                break
            keys.append(key)
            node = node[key]
        return tuple(keys)

    def _kept(self, data: Any, keys: Path, names: Path) -> Any:
        """Copy `data` without what is left out, noting which entries of lists remain."""
        if isinstance(data, dict):
            return {
                key: self._kept(value, (*keys, key), (*names, fold(key)))
                for key, value in data.items()
                if (*keys, key) not in self.dropped
            }
        if isinstance(data, list):
            indexes = [i for i in range(len(data)) if (*keys, i) not in self.dropped]
            if len(indexes) < len(data):
                self.moved[names] = indexes
            return [self._kept(data[i], (*keys, i), (*names, i)) for i in indexes]
        return data
