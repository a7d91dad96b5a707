"""Cutting records: what is private, not held, or cites what is not there any more goes out."""

from collections import Counter
from collections.abc import Mapping
from typing import Any, TypeVar, cast

from buildbook.handover.fieldplan import FieldPlan, field_plans
from buildbook.handover.naming import NOBODY, Naming
from buildbook.handover.times import hides_times, times_kept
from buildbook.records.amendment import Amendment
from buildbook.records.book import Book
from buildbook.records.editions import Held
from buildbook.records.person import Person
from buildbook.records.private import ADDRESSES, SERIAL_NUMBERS
from buildbook.records.record import Record
from buildbook.records.session import Session, Work
from buildbook.records.squawk import Squawk

R = TypeVar("R", bound=Record)

_SAID = {
    "correspondence": "letter",
    "addresses": "address",
    "serial numbers": "serial number",
    "costs": "cost",
}
"""What one of each thing that an edition may not hold is called."""
_GONE = object()
"""Stands for a value that cannot be without what was taken out of it."""


class Cutter:
    """Cuts the records of one book for one edition.

    `gone` names what is known not to be there, by the kinds that are cited. The same record is
    always cut to the same one, so that what is written in a session stays the one that is listed.
    """

    def __init__(
        self, book: Book, held: Held, naming: Naming, gone: Mapping[str, frozenset[Any]]
    ) -> None:
        self.book = book
        self.held = held
        self.naming = naming
        self.gone = gone
        self.left_out: Counter[str] = Counter()
        self.missed = False
        """Somebody is to be shown without being said who."""
        self.words: set[str] = set()
        """Addresses and serial numbers that no text is to hold either."""
        self._done: dict[int, Record | None] = {}
        self._secret: set[str] = set()

    def secret_files(self) -> set[str]:
        """List the pictures and clips of what is left out: nothing else shows them either."""
        return self._secret

    def cut(self, record: R) -> R | None:
        """Return what is left of a record; itself where that is all of it."""
        key = id(record)
        if key not in self._done:
            kind = self._not_for_it(record)
            left = None if kind else self._left_of(record)
            if left is None:
                self.left_out[kind or kind_of(type(record))] += 1
                self._forget(record)
            self._done[key] = left
        return cast("R | None", self._done[key])

    def _left_of(self, record: Record) -> Record | None:
        update = self._update(record)
        if update and isinstance(record, Session):
            update |= self._session(record, update.get("amendments", record.amendments))
        if not update:
            return None if update is None else record
        other = record.model_copy(update=update)
        for name in other.__dict__.keys() - type(other).model_fields.keys() - {"place"}:
            del other.__dict__[name]  # what was worked out of the record as it was
        if isinstance(record, Session) and record.work and not update.get("work", record.work):
            return None
        return other if _stands(other) else None

    def _not_for_it(self, record: Record) -> str:
        """Say what a record that is left out whole is called; nothing for any other."""
        # Somebody who is private is shown by role: a `who` without them would be untrue.
        whole = record.private is True and not isinstance(record, Person)
        if whole and not self.held.private_notes:
            return kind_of(type(record))
        if isinstance(record, Squawk) and not record.closed and not self.held.open_squawks:
            return "squawk not closed"
        if isinstance(record, Work) and record.step in self.gone.get("steps", ()):
            return kind_of(type(record))
        return ""

    def _forget(self, record: Record) -> None:
        """Leave out what is written inside a record that is left out."""
        if isinstance(record, Session):
            self._secret |= {photo.file for photo in record.photos}
            self._secret |= {clip.file for clip in record.clips if clip.file}
        elif file := getattr(record, "file", None):
            self._secret.add(file)
        for attribute, _ in record.inside:
            self._forget_in(getattr(record, attribute))
        self._done[id(record)] = None

    def _forget_in(self, value: Any) -> None:
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Record):
                self._forget(item)

    def _update(self, record: Record) -> dict[str, Any] | None:
        """Return the fields that change; None where the record cannot be without one of them."""
        hidden = () if self.held.private_notes else record.private_names
        update: dict[str, Any] = {}
        for plan in field_plans(type(record)):
            value = getattr(record, plan.attribute)
            if value == plan.empty and not plan.required:
                continue
            if plan.name in hidden:
                if record.all_or_nothing.get(plan.attribute) == 0:
                    return None  # without it the rest would say something else
                self.left_out["private field"] += 1
                self._forget_in(value)
                kept = self._hidden(record, plan)
            elif plan.kept_with and not self._holds(plan.kept_with):
                kept = self._not_held(plan, value)
            else:
                kept = self._kept(plan, value)
            if kept is _GONE:
                return None
            if kept is not value:
                update[plan.attribute] = kept
        if hidden or (record.private is not False and not self.held.private_notes):
            update["private"] = False
        return update

    def _holds(self, what: str) -> bool:
        return bool(getattr(self.held, what.replace(" ", "_")))

    def _not_held(self, plan: FieldPlan, value: Any) -> Any:
        if plan.required:
            return _GONE
        self.left_out[_SAID[plan.kept_with]] += 1
        if plan.kept_with in (ADDRESSES, SERIAL_NUMBERS):
            self.words.add(str(value))
        return plan.empty

    def _hidden(self, record: Record, plan: FieldPlan) -> Any:
        if plan.attribute == "who" and isinstance(record, Work):
            self.missed = True
            return (NOBODY,)  # no one said would mean the builder
        return plan.empty

    def _kept(self, plan: FieldPlan, value: Any) -> Any:
        """Return what is left of a field's value; the same object where that is all of it."""
        gone = self.gone.get(plan.refers, ()) if plan.refers else ()
        if isinstance(value, Record):
            kept: Any = self.cut(value)
        elif isinstance(value, tuple) and (plan.holds_records or gone):
            some = [
                self.cut(item) if isinstance(item, Record) else (None if item in gone else item)
                for item in value
            ]
            left = tuple(item for item in some if item is not None)
            same = len(left) == len(value) and all(a is b for a, b in zip(left, value, strict=True))
            kept = value if same else left
        elif isinstance(value, dict) and gone:
            kept = {k: v for k, v in value.items() if k not in gone}
            kept = value if len(kept) == len(value) else kept
        elif gone and not isinstance(value, (tuple, dict)):
            kept = None if value in gone else value
        else:
            return value
        if plan.required and (kept is None or kept == ()):
            return _GONE
        return plan.empty if kept is None else kept

    def _session(self, session: Session, amendments: tuple[Amendment, ...]) -> dict[str, Any]:
        """Keep the times of what is left as they were, and say nothing of what is not."""
        more: dict[str, Any] = {}
        works = [self.cut(work) for work in session.work]
        private = not self.held.private_notes
        if private and amendments and any(r.private is not False for r in with_inside(session)):
            more["amendments"] = tuple(map(_bare, amendments))
        if None in works or (private and hides_times(session)):
            more |= times_kept(self.book, session, works, private=private)
        return more


def with_inside(record: Record) -> list[Record]:
    """List a record and the records in it."""
    found = [record]
    for attribute, _ in record.inside:
        value = getattr(record, attribute)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Record):
                found += with_inside(item)
    return found


def _bare(amendment: Amendment) -> Amendment:
    """Take out of an amendment what stood there: it may be what is hidden."""
    return amendment.model_copy(update={"was": None, "why": None})


def kind_of(model: type[Record]) -> str:
    """Say what one such record is called: `session`, `sign-off`."""
    spelled = "".join(f" {c.lower()}" if c.isupper() else c for c in model.__name__)
    return {"work": "piece of work", "sign off": "sign-off"}.get(spelled.strip(), spelled.strip())


def _stands(record: Record) -> bool:
    """Tell whether what is left of a record still says what such a record must say."""
    validators = type(record).__pydantic_decorators__.model_validators
    try:
        for validator in validators.values():
            if validator.info.mode == "after":
                validator.func(record)
    except ValueError:
        return False
    return True
