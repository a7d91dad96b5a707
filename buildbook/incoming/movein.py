"""Moving in: which entries are new, what each is called, and whether the book would take it.

Everything is made beforehand and read as `check` reads it; only then is anything written, one
whole file after the other, each with the mark of what it was made from. So whatever stops it in
between, the next run knows what is there and goes on.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field

from buildbook.incoming.brought import Brought
from buildbook.incoming.entries import Entry, marks_in
from buildbook.incoming.sessionwords import SessionWords
from buildbook.records.names import MAX_NAME
from buildbook.records.problems import Problem, Severity
from buildbook.records.read import Reading, read
from buildbook.records.record import fold
from buildbook.records.shelf import Shelf
from buildbook.writing.draft import (
    folder_for,
    free_file,
    in_order,
    private_folder,
    session_text,
    slug_of,
    with_free_title,
)

MAY_GO = frozenset(
    "operation parts pieces who tools lots air photos next finished break hours".split()
)
"""Fields that a session can do without: where they do not fit the book, their words are kept."""
_ROUNDS = 6


@dataclass(slots=True)
class Plan:
    """What is to become of each entry."""

    new: list[Brought] = field(default_factory=list)
    """Sessions that the book would take, each with its file."""
    drafts: list[Brought] = field(default_factory=list)
    """What is no session yet: it is kept beside the records."""
    known: list[tuple[Entry, str]] = field(default_factory=list)
    """Entries that were brought in before, with the file each is in."""
    twice: list[tuple[Entry, Entry]] = field(default_factory=list)
    """Entries that say what an earlier one says, with that one."""
    unfit: list[Brought] = field(default_factory=list)
    """What no record can hold."""
    settled: list[str] = field(default_factory=list)
    """Drafts of an earlier run that are among the sessions now."""


def plan(reading: Reading, entries: Iterable[Entry], words: SessionWords) -> Plan:
    """Say what is to become of entries. Nothing is written."""
    found, there = Plan(), _Known(reading)
    first: dict[str, Entry] = {}
    for entry in entries:
        if file := there.by_mark.get(entry.mark):
            found.known.append((entry, file))
        elif entry.mark in first:
            found.twice.append((entry, first[entry.mark]))
        else:
            first[entry.mark] = entry
            brought = words.read(entry)
            if brought.unfit:
                found.unfit.append(brought)
            elif file := there.same(brought):
                found.known.append((entry, file))
            else:
                (found.new if brought.is_whole else found.drafts).append(brought)
    _try_out(reading, found)
    for brought in found.drafts:
        if file := there.drafts.get(brought.entry.mark):
            found.known.append((brought.entry, file))
    found.drafts = [b for b in found.drafts if b.entry.mark not in there.drafts]
    found.settled = [there.drafts[b.entry.mark] for b in found.new if b.entry.mark in there.drafts]
    return found


class _Known:
    """What the book holds already: by the marks in its files, and by what its sessions say."""

    def __init__(self, reading: Reading) -> None:
        self.by_mark: dict[str, str] = {}
        self.drafts: dict[str, str] = {}
        self.said: dict[str, list[tuple[dict[str, object], str]]] = {}
        folder = reading.book.folder
        for name, file in reading.files.items():
            shown = (folder / name).as_posix()
            if name.startswith("sessions"):
                self.by_mark.update(dict.fromkeys(marks_in(file.text), shown))
                if isinstance(file.data, dict):
                    data = {fold(str(key)): value for key, value in file.data.items()}
                    self.said.setdefault(str(data.get("date", "")), []).append((data, shown))
        drafts = private_folder(folder) / "drafts"
        for path in sorted(drafts.glob("*.yml")) if drafts.is_dir() else ():
            with suppress(OSError):  # one that cannot be read is not known, and nothing is lost
                text = path.read_text(encoding="utf-8", errors="replace")
                for mark in marks_in(text):
                    self.drafts.setdefault(mark, path.as_posix())

    def same(self, brought: Brought) -> str:
        """Return the file of a session that says the same, its title aside; else nothing."""
        mine = _bare(brought.fields)
        for data, file in self.said.get(str(brought.fields.get("date", "")), ()):
            if _bare(data) == mine:
                return file
        return ""


def _bare(fields: Mapping[str, object]) -> dict[str, object]:
    return {
        name: value.strip() if isinstance(value, str) else value
        for name, value in fields.items()
        if name != "title"
    }


def text_of(brought: Brought, file: str) -> str:
    """Write the file of a session or a draft, with the line that says where it comes from."""
    first, _, rest = session_text(brought.fields, file).partition("\n")
    return f"{first}\n{brought.entry.origin}\n{rest}"


def _try_out(reading: Reading, found: Plan) -> None:
    """Read the book with all new files in it; what it would not take is kept as words.

    A field that a session can do without goes to its notes; else the entry stays a draft.
    """
    known, shelf = Counter(map(_told, _errors(reading))), Shelf()
    for _ in range(_ROUNDS):
        _name(reading, found.new)
        texts = {b.file: text_of(b, b.file).encode() for b in found.new}
        after = read(reading.book.folder, reading.today, instead=texts, shelf=shelf)
        errors = [*_beyond(_errors(after), known)]
        if not errors:
            return
        _mend(found, errors)
    for brought in found.new:  # it does not come to an end: nobody shall find errors in the book
        brought.refuse("not-in-the-book", "the book would have errors with it")
    found.drafts += found.new
    found.new = []


def _errors(reading: Reading) -> list[Problem]:
    return [p for p in reading.problems if p.severity is Severity.ERROR]


def _told(problem: Problem) -> tuple[str, ...]:
    return problem.code, problem.place.file, problem.message


def _beyond(errors: Iterable[Problem], known: Counter[tuple[str, ...]]) -> Iterator[Problem]:
    """Yield the errors that were not there before."""
    left = known.copy()
    for error in errors:
        told = _told(error)
        if left[told] > 0:
            left[told] -= 1
        else:
            yield error


def _name(reading: Reading, new: list[Brought]) -> None:
    """Give each session a title where it needs one, and a file that none has."""
    book = reading.book
    slugs = {slug.casefold() for slug in book.sessions}
    files = {session.place.file.casefold() for session in book.sessions.values()}
    folder = folder_for(book)
    for brought in new:
        brought.fields = with_free_title(brought.fields, book, slugs)
        brought.file = free_file(brought.fields, book, folder, files)
        slugs.add(slug_of(brought.fields))
        files.add(brought.file.casefold())


def _mend(found: Plan, errors: Iterable[Problem]) -> None:
    by_file = {brought.file: brought for brought in found.new}
    out: dict[int, Brought] = {}
    for error in errors:
        own = by_file.get(error.place.file)
        for brought in [own] if own else _blamed(error, found.new):
            name = str(error.place.path[0]) if own and error.place.path else ""
            can_go = name in MAY_GO and name in brought.origin
            if name == "hours" and "from" not in brought.fields:
                can_go = False
            if can_go:
                brought.give_up(name, f"{name}: {error.message}", error.advice)
                brought.fields = in_order(brought.fields)
            elif not own or name not in MAY_GO or name in brought.fields:
                cell = brought.origin.get(name)
                brought.refuse(error.code, error.message, error.advice, cell)
                out[id(brought)] = brought
    found.new = [brought for brought in found.new if id(brought) not in out]
    found.drafts += out.values()


def _blamed(error: Problem, new: list[Brought]) -> list[Brought]:
    """Find the sessions because of which a record that was there before has an error."""
    named = [b for b in new if b.file in error.message]
    dated = [b for b in new if str(b.fields["date"]) in f"{error.message} {error.place.file}"]
    return named or dated or list(new)


def draft_name(brought: Brought, slug: str) -> str:
    """Name the file in which an entry is kept that is no session yet."""
    return f"{slug[:MAX_NAME].strip('-') or 'note'}-line-{brought.entry.line}.yml"
