"""What several pages show: photos, pieces of work, lessons, squawks, tables of hours.

`Context` makes these views, each once for all pages.
"""

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from buildbook.pages import paths
from buildbook.pages.page import Link
from buildbook.pages.words import say
from buildbook.records.areas import Area


@dataclass(frozen=True, slots=True)
class MarkerView:
    """A numbered point or box on a photo."""

    number: int
    area: Area
    caption: Markup
    link: Link | None
    """The part or squawk it points at."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A photo to be drawn."""

    file: str
    """Path inside `photos/`; the host knows its derivatives."""
    caption: Markup
    alt: str
    session: Link
    """Where it was taken, or the squawk that shows it."""
    date: date | None
    number: int
    """Place among its session's photos, from 1."""
    parts: tuple[Link, ...] = ()
    step: Link | None = None
    who: tuple[Link, ...] = ()
    markers: tuple[MarkerView, ...] = ()
    before: "Figure | None" = None
    """The same thing before the work."""


@dataclass(frozen=True, slots=True)
class HoursLine:
    """One row of a table of hours, in minutes."""

    label: Link | str
    clock: int
    person: int
    sessions: int
    estimate: int | None = None


@dataclass(frozen=True, slots=True)
class HoursView:
    """A table of hours whose last line is the sum of the others."""

    caption: str
    head: str
    """Heading of the first column."""
    lines: tuple[HoursLine, ...]
    clock: int
    person: int
    estimates: bool = False

    @property
    def estimate(self) -> int:
        """Sum of the estimates shown."""
        return sum(line.estimate or 0 for line in self.lines)


@dataclass(frozen=True, slots=True)
class WorkView:
    """One piece of work, wherever it is shown."""

    session: Link
    date: date
    minutes: int
    person_minutes: int
    who: tuple[Link, ...]
    operation: Link | None
    step: Link | None
    section: Link | None
    parts: tuple[Link, ...]
    pieces: tuple[tuple[Link, str], ...]
    """Part, and its pieces in words."""
    tools: tuple[Link, ...]
    lots: tuple[Link, ...]
    finished: bool
    reopened: Markup
    """Why the step was opened again; empty where it was not."""
    notes: Markup
    span: str
    """Clock times, as `19:30 to 21:45`, or empty."""


@dataclass(frozen=True, slots=True)
class LessonView:
    """A lesson, wherever it is shown."""

    number: int
    title: Markup
    text: Markup
    session: Link | None
    operations: tuple[Link, ...]
    parts: tuple[Link, ...]
    tools: tuple[Link, ...]
    steps: tuple[Link, ...]
    cited: tuple[Link, ...]
    """Sessions that name it."""

    @property
    def link(self) -> Link:
        """Where it stands."""
        return Link(say("Lesson %(number)s", number=self.number), paths.lesson(self.number))


@dataclass(frozen=True, slots=True)
class SquawkLine:
    """A squawk in a list."""

    number: int
    title: Markup
    link: Link
    state: str
    """`open`, `decided` or `closed`."""
    state_words: str
    """The same in the language of the book."""
    age: str
    """Days from found to closed, or to the last session, in words; empty where not known."""
    found: date | None
    closed: date | None
    decision: str
    step: Link | None
    parts: tuple[Link, ...]
