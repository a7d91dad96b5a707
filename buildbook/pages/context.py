"""What every page needs: the book, what it adds up to, and how things are named and linked."""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace
from functools import wraps
from typing import Any, TypeVar

from buildbook.ledger.hours import NOT_SAID, HoursTable
from buildbook.ledger.ledger import Ledger
from buildbook.ledger.links import Shot
from buildbook.ledger.time import Stint
from buildbook.ledger.written import Past
from buildbook.pages import paths
from buildbook.pages.page import Link
from buildbook.pages.prose import Prose
from buildbook.pages.views import (
    Figure,
    HoursLine,
    HoursView,
    LessonView,
    MarkerView,
    SquawkLine,
    WorkView,
)
from buildbook.pages.words import (
    inside_a_sentence,
    say,
    show_days,
    show_month,
    translated,
    written,
)
from buildbook.records.book import Book
from buildbook.records.labels import Piece
from buildbook.records.photo import Marker
from buildbook.records.quantities import Quantity, show_number
from buildbook.records.session import Session, Work

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


def once(make: "Callable[[Context, K], V]") -> "Callable[[Context, K], V]":
    """Make a view once for each thing in a book: the pages that show it share one."""
    name = make.__qualname__

    @wraps(make)
    def made(context: "Context", of: K) -> V:
        key = (name, of)
        if key not in context.made:
            context.made[key] = make(context, of)
        view: V = context.made[key]
        return view

    return made


class Context:
    """Names and links of everything, and the views that several pages share."""

    def __init__(self, book: Book, ledger: Ledger) -> None:
        self.book = book
        self.ledger = ledger
        self.made: dict[tuple[str, Hashable], Any] = {}
        """What `once` keeps: views by their maker and what they show."""
        self.past: Past | None = None
        """What the version history says; None where nobody wants to know."""
        self._orders: dict[str, tuple[list[Any], dict[Any, int]]] = {}
        self.prose = Prose(book, ledger.links)

    def beside(self, kind: str, name: K) -> "tuple[K | None, K | None]":
        """Give what comes before and after a thing among those of its kind."""
        if kind not in self._orders:
            known = getattr(self.book, kind)
            order = list(known) if kind == "sessions" else sorted(known)
            self._orders[kind] = order, {one: at for at, one in enumerate(order)}
        order, places = self._orders[kind]
        at = places[name]
        return order[at - 1] if at else None, order[at + 1] if at + 1 < len(order) else None

    # Links, each with the name the reader knows.

    def section_link(self, name: str) -> Link:
        """Link to a section by its title."""
        section = self.book.sections.get(name)
        return Link(section.title if section else name, paths.section(name))

    def step_link(self, name: str) -> Link:
        """Link to a step by its title."""
        step = self.book.steps.get(name)
        return Link(step.title if step else name, paths.step(name))

    def part_link(self, number: str) -> Link:
        """Link to a part by its number."""
        return Link(number, paths.part(number))

    def operation_link(self, name: str) -> Link:
        """Link to an operation by its title."""
        operation = self.book.operations.get(name)
        return Link(operation.title if operation else name, paths.operation(name))

    def person_link(self, name: str) -> Link:
        """Link to a person by name."""
        person = self.book.people.get(name)
        return Link(person.name if person else name, paths.person(name))

    def tool_link(self, name: str) -> Link:
        """Link to a tool by its title."""
        tool = self.book.tools.get(name)
        return Link(tool.title if tool else name, f"{paths.STORES}#tool-{name}")

    def lot_link(self, name: str) -> Link:
        """Link to a lot by its title."""
        lot = self.book.lots.get(name)
        return Link(lot.title, paths.lot(name)) if lot else Link(name, paths.STORES)

    def notice_link(self, number: str) -> Link:
        """Link to a notice by its number and title."""
        return Link(f"{number}: {self.book.notices[number].title}", paths.notice(number))

    @once
    def session_link(self, slug: str) -> Link:
        """Link to a session by its title."""
        return Link(self.session_title(self.book.sessions[slug]), paths.session(slug))

    def lesson_link(self, number: int) -> Link:
        """Link to a lesson by its number and title."""
        return Link(
            say(
                "Lesson %(number)s: %(title)s", number=number, title=self.book.lessons[number].title
            ),
            paths.lesson(number),
        )

    def squawk_link(self, number: int) -> Link:
        """Link to a squawk by its number and title."""
        return Link(
            say(
                "Squawk %(number)s: %(title)s", number=number, title=self.book.squawks[number].title
            ),
            paths.squawk(number),
        )

    @once
    def note_link(self, file: str) -> Link:
        """Link to a hand-written page by its first heading."""
        text = self.book.notes[file]
        heading = next((ln[2:].strip() for ln in text.split("\n") if ln.startswith("# ")), file)
        return Link(heading, paths.note(file))

    def session_title(self, session: Session) -> str:
        """Name a session: its title, else the steps it worked on."""
        if session.title:
            return session.title
        steps = dict.fromkeys(w.step for w in session.entries if w.step)
        return ", ".join(self.step_in_section(name) for name in steps) or str(session.date)

    def step_in_section(self, name: str) -> str:
        """Name a step together with its section: `Fin: skeleton`."""
        step, section = self.book.steps.get(name), self.book.sections.get(name.partition("/")[0])
        if not step or not section:
            return name
        return f"{section.title}: {inside_a_sentence(step.title)}"

    # Views that several pages show.

    def figure(self, shot: Shot) -> Figure:
        """Make the view of a photo."""
        caption = shot.photo.caption
        return Figure(
            file=shot.photo.file,
            caption=self.prose.inline(caption),
            alt=caption,
            session=self.session_link(shot.session),
            date=self.book.sessions[shot.session].date,
            number=shot.number,
            parts=tuple(map(self.part_link, shot.parts)),
            step=self.step_link(shot.step) if shot.step else None,
            who=tuple(map(self.person_link, shot.photo.who)),
            markers=tuple(self._marker(n, m) for n, m in enumerate(shot.photo.markers, 1)),
            before=self._before(shot.photo.before),
        )

    def _before(self, file: str | None) -> Figure | None:
        """Make the view of the picture before; its own picture before is not shown again."""
        shot = self.ledger.links.shot_of_file.get(file) if file else None
        if not shot or file not in self.book.photo_files:
            return None
        photo = shot.photo.model_copy(update={"before": None})
        return self.figure(replace(shot, photo=photo))

    def _marker(self, number: int, marker: Marker) -> MarkerView:
        link = self.part_link(marker.part) if marker.part else None
        if marker.squawk in self.book.squawks and marker.squawk is not None:
            link = self.squawk_link(marker.squawk)
        return MarkerView(number, marker.area, self.prose.inline(marker.caption), link)

    def figures(self, shots: Iterable[Shot]) -> tuple[Figure, ...]:
        """Make the views of photos that are there."""
        return tuple(self.figure(s) for s in shots if s.photo.file in self.book.photo_files)

    @once
    def work(self, stint: Stint) -> WorkView:
        """Make the view of a piece of work."""
        session = self.book.sessions[stint.session]
        work = session.entries[stint.index]
        return WorkView(
            session=self.session_link(stint.session),
            date=stint.date,
            minutes=stint.minutes,
            person_minutes=stint.person_minutes,
            who=tuple(map(self.person_link, stint.who)),
            operation=self.operation_link(stint.operation) if stint.operation else None,
            step=self.step_link(stint.step) if stint.step else None,
            section=self.section_link(stint.section) if stint.section else None,
            parts=tuple(map(self.part_link, stint.parts)),
            pieces=self._pieces(work),
            tools=tuple(map(self.tool_link, work.tools)),
            lots=tuple(map(self.lot_link, work.used_lots)),
            finished=work.finished,
            reopened=self.prose.inline(work.reopened),
            notes=self.prose.html(work.notes),
            span=say("%(start)s to %(end)s", start=work.start, end=work.end)
            if work.start and work.end
            else "",
        )

    def _pieces(self, work: Work) -> tuple[tuple[Link, str], ...]:
        return tuple(
            (self.part_link(part), ", ".join(words))
            for part, words in work.piece_words.items()
            if part in self.book.parts
        )

    @once
    def lesson(self, number: int) -> LessonView:
        """Make the view of a lesson."""
        lesson = self.book.lessons[number]
        links = self.ledger.links
        home = links.session_of_lesson.get(number)
        return LessonView(
            number=number,
            title=self.prose.inline(lesson.title),
            text=self.prose.html(lesson.text),
            session=self.session_link(home) if home else None,
            operations=tuple(map(self.operation_link, lesson.operations)),
            parts=tuple(map(self.part_link, lesson.parts)),
            tools=tuple(map(self.tool_link, lesson.tools)),
            steps=tuple(Link(self.step_in_section(s), paths.step(s)) for s in lesson.steps),
            cited=tuple(
                self.session_link(s) for s in links.of("lessons", number).sessions if s != home
            ),
        )

    @once
    def squawk_line(self, number: int) -> SquawkLine:
        """Make the view of a squawk in a list."""
        squawk = self.book.squawks[number]
        facts = self.ledger.squawks.of[number]
        return SquawkLine(
            number=number,
            title=self.prose.inline(squawk.title),
            link=Link(say("Squawk %(number)s", number=number), paths.squawk(number)),
            state=squawk.state,
            state_words=translated(squawk.state),
            age=show_days(facts.days),
            found=facts.found,
            closed=squawk.closed.date if squawk.closed else None,
            decision=translated(squawk.disposition.decision) if squawk.disposition else "",
            step=self.step_link(squawk.step) if squawk.step else None,
            parts=tuple(map(self.part_link, squawk.parts)),
        )

    def limit(self, low: Quantity | None, high: Quantity | None) -> str:
        """Say a limit in words."""
        if low and high:
            return say("%(low)s to %(high)s", low=self.quantity(low), high=self.quantity(high))
        if low:
            return say("at least %(low)s", low=self.quantity(low))
        return say("at most %(high)s", high=self.quantity(high)) if high else ""

    @once
    def quantity(self, quantity: Quantity) -> str:
        """Show a quantity in the book's unit, with what was written when that differs."""
        units = self.book.file.units
        unit = getattr(units, quantity.dimension, None)
        if unit is None:
            return written(quantity.written)
        shown = f"{show_number(quantity.to(unit))} {unit}"
        as_written = " ".join(quantity.written.split())
        if _same(as_written, shown):
            return written(as_written)
        return f"{written(shown)} ({written(as_written)})"

    def piece_words(self, piece: Piece) -> str:
        """Say where a piece belongs."""
        words = [
            translated(piece.side or ""),
            say("position %(position)s", position=piece.position) if piece.position else "",
        ]
        return ", ".join(w for w in words if w)

    def hours(
        self, caption: str, head: str, table: HoursTable, kind: str, *, not_said: str = ""
    ) -> HoursView:
        """Make the view of a table of hours; `kind` says what the keys are.

        Steps of several sections are named together with their section.
        """
        sections = {row.key.partition("/")[0] for row in table.rows if row.key != NOT_SAID}
        naming = "steps of sections" if kind == "steps" and len(sections) > 1 else kind
        lines = tuple(
            HoursLine(
                self._label(naming, row.key)
                if row.key != NOT_SAID
                else not_said or say("not said"),
                row.clock,
                row.person,
                row.sessions,
                self._estimate(kind, row.key),
            )
            for row in table.rows
        )
        estimates = any(line.estimate for line in lines)
        return HoursView(caption, head, lines, table.clock, table.person, estimates)

    def _label(self, kind: str, key: str) -> Link | str:  # noqa: PLR0911 - a line a kind
        match kind:
            case "sections":
                return self.section_link(key)
            case "steps":
                return self.step_link(key)
            case "steps of sections":
                return Link(self.step_in_section(key), paths.step(key))
            case "operations":
                return self.operation_link(key)
            case "parts":
                return Link(f"{key} {self.book.parts[key].name}", paths.part(key))
            case "people":
                return self.person_link(key)
        return show_month(key)

    def _estimate(self, kind: str, key: str) -> int | None:
        if kind == "steps" and key in self.book.steps:
            return self.book.steps[key].estimate
        if kind == "sections" and key in self.ledger.progress.sections:
            return self.ledger.progress.sections[key].estimate or None
        return None


def every_month(worked: Iterable[str]) -> list[str]:
    """List all months, as `2025-03`, from the first to the last given, idle ones too."""
    numbers = [int(m[:4]) * 12 + int(m[5:]) - 1 for m in worked]
    if not numbers:
        return []
    return [f"{n // 12:04}-{n % 12 + 1:02}" for n in range(min(numbers), max(numbers) + 1)]


def _same(written: str, shown: str) -> bool:
    """Tell whether two spellings of a quantity need not stand side by side."""

    def plain(text: str) -> str:
        return text.replace(" ", "").replace("·", "-").casefold()

    def number(text: str) -> str:
        return text.split(maxsplit=1)[0].lstrip("0").rstrip("0").rstrip(".") if " " in text else ""

    same_unit = written.partition(" ")[2] == shown.partition(" ")[2]
    return plain(written) == plain(shown) or (same_unit and number(written) == number(shown))
