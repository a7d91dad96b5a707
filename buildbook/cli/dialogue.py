"""The questions of `buildbook write`: what a session needs, a few things it may have."""

import json
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from pathlib import Path

from buildbook.cli.asking import Question, ask, yes
from buildbook.cli.words import there_is_no
from buildbook.files import make_folder, write_whole
from buildbook.ledger.progress import StepState, step_progress
from buildbook.records.book import Book
from buildbook.records.dates import parse_date
from buildbook.records.names import slugify
from buildbook.records.session import SHORT_FORM
from buildbook.writing.days import day_at_start
from buildbook.writing.draft import Fields, in_order, private_folder, prose, slug_of
from buildbook.writing.notes import time_fields
from buildbook.writing.yamltext import CannotWriteError, Plain, clean

Answers = dict[str, str]

_PIECES = "pieces of "


@dataclass(slots=True)
class Kept:
    """Answers on the disk, from the first key press on."""

    path: Path
    answers: Answers = field(default_factory=dict)

    @classmethod
    def beside(cls, content: Path, name: str = "session.json") -> "Kept":
        """Open the answers kept beside a book; none when there are none, or they are damaged."""
        kept = cls(private_folder(content) / "drafts" / name)
        with suppress(OSError, ValueError):
            stored = json.loads(kept.path.read_bytes())
            if isinstance(stored, dict):
                kept.answers = {str(k): str(v) for k, v in stored.items()}
        return kept

    def put(self, name: str, answer: str, *, durable: bool = True) -> None:
        """Keep one answer."""
        self.answers[name] = answer
        make_folder(self.path.parent)
        text = json.dumps(self.answers, indent=2, ensure_ascii=False)
        write_whole(self.path, text.encode("utf-8", "replace"), durable=durable)

    def since(self) -> str:
        """Tell when they were kept, as `2025-03-08 21:40`."""
        return f"{datetime.fromtimestamp(self.path.stat().st_mtime).astimezone():%Y-%m-%d %H:%M}"

    def set_aside(self) -> Path:
        """Keep them under another name, so that a new session can be begun; return their file."""
        n, aside = 1, self.path.with_stem("session-1")
        while aside.exists():
            n += 1
            aside = self.path.with_stem(f"session-{n}")
        self.path.replace(aside)
        self.answers = {}
        return aside

    def forget(self) -> None:
        """Take them away, as they are saved."""
        self.path.unlink(missing_ok=True)
        self.answers = {}


def ask_session(book: Book, given: Fields, kept: Kept) -> dict[str, Plain]:
    """Ask for what a session needs and return its fields. What is given already is not asked for.

    Everything typed is kept as it is typed. Raises KeyboardInterrupt and EOFError.
    """
    fields: dict[str, Plain] = dict(given)
    _ask(book, fields, _questions(book, fields, only_needed=bool(given)), kept)
    if not given:
        _ask_finished(book, fields)
    return in_order(fields)


def ask_another(book: Book, given: Fields, kept: Kept) -> dict[str, Plain]:
    """Ask for one more piece of work of a session, and return all of the session's fields.

    What it said of its only piece of work so far moves into the first entry of `work`, and the
    time too when the new piece has a time of its own. Raises KeyboardInterrupt and EOFError.
    """
    session = dict(given)
    works = [dict(work) for work in session.pop("work", ()) if isinstance(work, Mapping)]
    if not works:
        works = [{name: session.pop(name) for name in _OF_WORK if name in session}]
    together = bool(session.keys() & _TIMES)
    piece: dict[str, Plain] = {"date": session["date"]}
    questions = _of_piece(book, piece, together=together, second=len(works) == 1)
    _ask(book, piece, questions, kept, f"work {len(works) + 1}: ")
    _ask_finished(book, piece)
    del piece["date"]
    if together and piece.keys() & _TIMES:
        works[0] |= {name: session.pop(name) for name in _TIMES if name in session}
    session["work"] = [in_order(work) for work in (*works, piece)]
    return in_order(session)


_OF_WORK = (*SHORT_FORM, "knowingly", "notes")
_TIMES = ("from", "to", "break", "hours")


def _ask(
    book: Book,
    fields: dict[str, Plain],
    questions: Iterator[Question],
    kept: Kept,
    before: str = "",
) -> None:
    """Ask, and put the answers into fields; they are kept under their names with `before`."""
    for question in questions:
        name = question.name
        known = f"{before}{name}"
        default = kept.answers.get(known, "" if before else _default(book, name))
        answer = ask(question, default, partial(kept.put, known, durable=False))
        kept.put(known, answer)
        _take(book, fields, name, answer)


def _ask_finished(book: Book, fields: dict[str, Plain]) -> None:
    may = _may_finish(book, str(fields["step"]))
    if may and yes("Is the step finished?", default=False):
        fields["finished"] = "yes"


def _questions(book: Book, fields: Fields, *, only_needed: bool) -> Iterator[Question]:
    """Yield the questions that are still open; each looks at the answers before it."""
    if "date" not in fields:
        yield Question("date", "Date:", partial(_wrong_date, book))
    if "step" not in fields:
        yield _step(book)
    if not fields.keys() & {"hours", "from"}:
        yield Question("hours", "How long (2h30, or 19:30 to 22:00, break 15 min):", _wrong_time)
    if only_needed:
        return
    people = [(name, person.name) for name, person in book.people.items()]
    wrong = partial(_some_unknown, "person", book.people)
    yield Question("who", "Who:", wrong, partial(list, people), several=True)
    yield from _doing(book, fields)
    yield Question("notes", "What was done (an empty line ends it):\n", _wrong_text, long=True)
    yield Question("next", "What comes next (empty for nothing):", _wrong_text)
    if slug_of(fields) in book.sessions:
        words = "There is a session of this date already. What shall this one be called:"
        yield Question("title", words, partial(_wrong_title, book, fields))


def _of_piece(book: Book, piece: Fields, *, together: bool, second: bool) -> Iterator[Question]:
    """Yield the questions about one more piece of work; the time may be that of all together."""
    yield _step(book)
    if not together:
        yield Question("hours", "How long did it take (2h30, or 19:30 to 22:00):", _wrong_time)
    elif second:
        words = "How long did this take of it (empty: the time is for both together):"
        yield Question("hours", words, lambda text: _wrong_time(text) if text else "")
    yield from _doing(book, piece)
    yield Question(
        "notes", "What was done in it (an empty line ends it):\n", _wrong_text, long=True
    )


def _step(book: Book) -> Question:
    steps = [(name, step.title) for name, step in book.steps.items()]
    return Question("step", "Step:", partial(_unknown, "step", book.steps), partial(list, steps))


def _doing(book: Book, fields: Fields) -> Iterator[Question]:
    """Ask for the operation, the parts and the pieces of one piece of work."""
    step = book.steps[str(fields["step"])]
    first = book.operations_of(step)
    operations = [(n, book.operations[n].title) for n in first if n in book.operations]
    operations += [(n, o.title) for n, o in book.operations.items() if n not in first]
    yield Question(
        "operation",
        "Operation (empty for none):",
        partial(_unknown, "operation", ["", *book.operations]),
        partial(list, operations),
    )
    parts = [(n, book.parts[n].name) for n in step.parts if n in book.parts]
    wrong = partial(_some_unknown, "part", book.parts)
    yield Question("parts", "Parts (empty for none):", wrong, partial(list, parts), several=True)
    yield from _pieces(book, fields)


def _pieces(book: Book, fields: Fields) -> Iterator[Question]:
    """Ask which pieces were finished, part by part; without an operation none are."""
    if "operation" not in fields:
        return
    for part in fields.get("parts", ()):
        pieces = [p for p in book.pieces[str(part)] if not p.scrapped]
        if len(pieces) < 2:  # noqa: PLR2004 - with one piece there is nothing to choose
            continue
        sides = dict.fromkeys(p.side for p in pieces if p.side)
        offered = [("all", "every piece"), *((side, "that side") for side in sides)]
        offered += [(p.mark, p.label) for p in pieces]
        yield Question(
            f"{_PIECES}{part}",
            f"Pieces of {part} finished in {fields['operation']} (all, 01 to 04; empty for none):",
            partial(_wrong_pieces, book, fields, str(part)),
            partial(list, offered),
            several=True,
        )


def _default(book: Book, name: str) -> str:
    if name == "date":
        return datetime.now(book.zone).date().isoformat()
    return book.file.builder if name == "who" else ""


def _take(book: Book, fields: dict[str, Plain], name: str, answer: str) -> None:
    """Put an answer that was found good into the fields."""
    if not answer:
        return
    if name == "date":
        fields["date"] = _day(book, answer)
    elif name == "hours":
        fields.update(time_fields(answer))
    elif name == "who":
        if (people := _words(answer)) != [book.file.builder]:
            fields["who"] = people
    elif name == "parts":
        fields["parts"] = _words(answer)
    elif name.startswith(_PIECES):
        words = _words(answer)
        short: Plain = words[0] if len(words) == 1 else words
        there = fields.get("pieces", {})
        if len(fields["parts"]) == 1:
            fields["pieces"] = short
        elif isinstance(there, dict):
            fields["pieces"] = {**there, name.removeprefix(_PIECES): short}
    else:
        fields[name] = (
            prose(answer) if name in ("notes", "next") else " ".join(clean(answer).split())
        )


def _words(answer: str) -> list[str]:
    return [w for w in (part.strip() for part in answer.replace("&", ",").split(",")) if w]


def _day(book: Book, text: str) -> str:
    found = day_at_start(text, book.zone)
    if found and found.said:
        raise ValueError(found.said)
    if found is None or found.day is None or text[found.end :].strip():
        raise ValueError(f"`{text}` is not a date; write `2025-03-08`")
    return parse_date(found.day.isoformat()).isoformat()


def _wrong_date(book: Book, text: str) -> str:
    try:
        _day(book, text)
    except ValueError as error:
        return str(error)
    return ""


def _wrong_time(text: str) -> str:
    try:
        time_fields(text)
    except ValueError as error:
        return str(error)
    return ""


def _wrong_text(text: str) -> str:
    try:
        clean(text)
    except CannotWriteError as error:
        return str(error)
    return ""


def _unknown(noun: str, known: Collection[str], name: str) -> str:
    if name in known:
        return ""
    return there_is_no(noun, name, known)


def _some_unknown(noun: str, known: Collection[str], text: str) -> str:
    return next(filter(None, (_unknown(noun, known, name) for name in _words(text))), "")


def _wrong_pieces(book: Book, fields: Fields, part: str, text: str) -> str:
    on = parse_date(str(fields["date"]))
    for words in _words(text):
        try:
            book.finders[part].find(words, on)
        except ValueError as error:
            return "; ".join(str(a) for a in error.args if a)
    return ""


def _wrong_title(book: Book, fields: Fields, text: str) -> str:
    if not slugify(text):
        return "write a few words"
    if slug_of({**fields, "title": text}) in book.sessions:
        return "there is a session of that title on this date too"
    return _wrong_text(text)


def _may_finish(book: Book, step: str) -> bool:
    return step_progress(book, {})[step].state is not StepState.FINISHED
