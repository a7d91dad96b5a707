"""The kinds of record, and which file holds which."""

from dataclasses import dataclass
from difflib import get_close_matches

from buildbook.records.balance import Balance
from buildbook.records.bookfile import BookFile
from buildbook.records.cost import Cost
from buildbook.records.equipment import Equipment
from buildbook.records.lesson import Lesson
from buildbook.records.lot import Lot
from buildbook.records.notice import Notice
from buildbook.records.operation import Operation
from buildbook.records.part import Part
from buildbook.records.person import Person
from buildbook.records.record import Record
from buildbook.records.recurring import Recurring
from buildbook.records.section import Section
from buildbook.records.session import Session
from buildbook.records.signoff import SignOff
from buildbook.records.squawk import Squawk
from buildbook.records.task import Task
from buildbook.records.tool import Tool
from buildbook.records.weighing import Weighing


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of record. It is written in `<name>.yml` or anywhere in the folder `<name>/`."""

    name: str
    """Name of its file or folder, in the plural."""
    one: str
    """What one of them is called."""
    model: type[Record]
    identity: str
    """The field that names a record; dates and steps may need a second one to tell two apart."""
    several: bool = True
    """A file may hold a list of them."""


KINDS = {
    k.name: k
    for k in (
        Kind("book", "book", BookFile, "title", several=False),
        Kind("people", "person", Person, "person"),
        Kind("operations", "operation", Operation, "operation"),
        Kind("tools", "tool", Tool, "tool"),
        Kind("lots", "lot", Lot, "lot"),
        Kind("sections", "section", Section, "section", several=False),
        Kind("parts", "part", Part, "part"),
        Kind("sessions", "session", Session, "date", several=False),
        Kind("lessons", "lesson", Lesson, "lesson"),
        Kind("squawks", "squawk", Squawk, "squawk"),
        Kind("signoffs", "sign-off", SignOff, "step"),
        Kind("weighings", "weighing", Weighing, "date"),
        Kind("notices", "notice", Notice, "notice"),
        Kind("costs", "cost", Cost, "what"),
        Kind("balance", "balance sheet", Balance, "datum"),
        Kind("tasks", "task", Task, "task"),
        Kind("equipment", "item of equipment", Equipment, "equipment"),
        Kind("recurring", "recurring task", Recurring, "recurring"),
    )
}


def kind_of(file: str) -> Kind | None:
    """Tell the kind of record from a file's path in the content folder; None if it is no record."""
    top, _, rest = file.partition("/")
    if rest:
        return KINDS.get(top) if top != "book" else None
    return KINDS.get(top.rsplit(".", 1)[0])


def nearest_kind(file: str) -> str:
    """Return the file or folder name most like this one, or an empty string."""
    top = file.partition("/")[0].rsplit(".", 1)[0]
    return next(iter(get_close_matches(top, KINDS, n=1)), "")
