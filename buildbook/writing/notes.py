"""Rough notes: lines typed or dictated in a hurry, made into drafts of sessions.

What is taken out of them is recognised by exact identity: a step of the book, a date, a length of
time with its unit, a part number, a label. Nothing is guessed from how a word sounds or where it
stands. All else stays in the notes, word for word, and what looks like a name and is none is told.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from zoneinfo import ZoneInfo

from buildbook.records.book import Book
from buildbook.records.clock import parse_clock
from buildbook.records.durations import parse_duration
from buildbook.records.mentions import Names, names_of
from buildbook.records.problems import Place, did_you_mean
from buildbook.records.record import fold
from buildbook.records.references import references
from buildbook.records.session import Session
from buildbook.records.validate import validate
from buildbook.writing.days import day_at_start
from buildbook.writing.draft import Fields, in_order, prose
from buildbook.writing.yamltext import Plain, clean

_LINE_FIELDS = frozenset(Session.spellings) - {
    *("work", "photos", "squawks", "readings", "amendments", "mixed")
}
"""Fields that a line of a note may give, as `next: ...`; the others are more than a line."""

_TIME = r"\d{1,2}[:.]\d{2}(?:\s*[ap]\.?m\.?)?"
_LENGTH = (
    r"\d{1,3}h\d{2}(?:\s*min)?\b"
    r"|\d{1,3}(?:[.,]\d{1,2})?\s*(?:hours?|hrs?|h)\b(?:\s*(?:and\s+)?\d{1,2}\s*(?:minutes?|mins?|m)\b)?"
    r"|\d{1,4}\s*(?:minutes?|min)\b"
    r"|P(?:\d+D)?T\d+[HM](?:\d+M)?\b"
)
_HEADER = (
    (
        "span",
        rf"(?:from\s+)?(?P<start>{_TIME})\s*(?:to|-|\N{{EN DASH}})\s*(?P<end>{_TIME})(?![\w:])",
    ),
    ("break", rf"(?:break|pause)(?:\s+of)?\s+(?P<pause>{_LENGTH})"),
    ("hours", rf"(?P<length>{_LENGTH})"),
    ("step", r"(?P<step>[a-z0-9-]+/[a-z0-9-]+)(?![\w/])"),
    ("with", r"with\s+(?P<names>[a-z0-9-]+(?:(?:\s*[,&+]\s*|\s+and\s+)[a-z0-9-]+)*)(?![\w/])"),
    ("operation", r"(?P<operation>[a-z0-9-]+)(?![\w/-])"),
)
_TOKENS = [(name, re.compile(pattern, re.ASCII)) for name, pattern in _HEADER]
_PART_TO = re.compile(r"[\s,;:]*")
_LONE_TIME = re.compile(r"(?<![\w:.])\d{1,2}:\d{2}(?![\w:])", re.ASCII)
_ANY_LENGTH = re.compile(rf"(?<![\w.,])(?:{_LENGTH})", re.ASCII)
_NAMED = re.compile(r"(?P<name>[A-Za-z][A-Za-z _-]{1,20}):\s+(?P<value>\S.*)")


@dataclass(slots=True)
class Noted:
    """What one note says."""

    fields: dict[str, Plain] = field(default_factory=dict)
    """Fields of a session, as its file would hold them."""
    taken: list[tuple[str, str]] = field(default_factory=list)
    """What was recognised: the field, and the words."""
    said: list[str] = field(default_factory=list)
    """What was not, in sentences without a full stop."""

    def take(self, name: str, value: Plain, words: str) -> None:
        """Set a field, and remember the words it was taken from."""
        self.fields[name] = value
        self.taken.append((name, words.strip()))


def read_notes(text: str, book: Book) -> list[Noted]:
    """Make a draft of every dated note in a text; what stands before the first date is one too.

    Raises CannotWriteError for characters that cannot be seen.
    """
    names = names_of(book)
    notes = [_Reader(book, names).read(lines) for lines in parted(clean(text), book.zone)]
    return [note for note in notes if note.fields or note.said]


def read_line(text: str, book: Book, day: date) -> Noted:
    """Make a draft of one line, as `fin/skeleton 2h30 match-drilled the hinge brackets`.

    `day` is the date when the line does not start with one. Raises CannotWriteError for
    characters that cannot be seen.
    """
    reader = _Reader(book, names_of(book))
    return reader.read([" ".join(clean(text).split())], default=day.isoformat())


def read_note(text: str, book: Book, given: Fields) -> Noted:
    """Make a draft of one note of which some fields are known, whatever dates stand in it.

    Raises CannotWriteError for characters that cannot be seen.
    """
    reader = _Reader(book, names_of(book))
    reader.note.fields |= given
    return reader.read(clean(text).split("\n"))


def time_fields(text: str) -> dict[str, Plain]:
    """Read the answer to how long work took: `2h30`, `2.5`, or `19:30 to 22:00, break 15 min`.

    Raises ValueError with a sentence.
    """
    span, pause = _TOKENS[0][1].match(text.strip()), None
    if span is None:
        parse_duration(text)
        return {"hours": " ".join(text.split())}
    rest = text.strip()[span.end() :].strip(" ,;")
    if rest and not (pause := _TOKENS[1][1].fullmatch(rest)):
        raise ValueError(f"`{rest}` is no time off; write `break 15 min`")
    for end in ("start", "end"):
        parse_clock(span[end])
    fields: dict[str, Plain] = {"from": span["start"], "to": span["end"]}
    if pause:
        parse_duration(pause["pause"])
        fields["break"] = " ".join(pause["pause"].split())
    return fields


def wrong_with(name: str, value: Plain, book: Book) -> str:
    """Tell what is wrong with the value of a session's field; empty when it can be taken."""
    around = {"from": "0:00", "to": "12:00"} if name in ("from", "to", "break") else {}
    probe = {"date": "2000-01-01", "step": "a/b", **around, name: value}
    record, problems = validate(Session, probe, Place("note"))
    own = [p for p in problems if p.place.path[:1] == (name,)]
    if own:
        return own[0].message
    for cited in references(record) if record else ():
        known = getattr(book, cited.to, {})
        if cited.place.path[:1] == (name,) and cited.name not in known:
            advice = did_you_mean(str(cited.name), map(str, known))
            return f"there is no `{cited.name}`{f'; {advice}' if advice else ''}"
    return ""


def parted(text: str, zone: ZoneInfo) -> Iterator[list[str]]:
    """Yield the lines of each dated note of a text, those before the first date too."""
    lines: list[str] = []
    for line in text.split("\n"):
        if lines and _begins(line, zone):
            yield lines
            lines = []
        lines.append(line)
    if any(line.strip() for line in lines):
        yield lines


def _begins(line: str, zone: ZoneInfo) -> bool:
    found = _NAMED.fullmatch(line.strip())
    start = found["value"] if found and fold(found["name"]) == "date" else line.lstrip("#*- \t")
    return day_at_start(start, zone) is not None


class _Reader:
    """Reads one note."""

    def __init__(self, book: Book, names: Names) -> None:
        self.book, self.names = book, names
        self.note = Noted()
        self.kept: list[str] = []

    def read(self, lines: list[str], *, default: str = "") -> Noted:
        first = at_top = True
        for line in lines:
            if (at_top and not line.strip()) or self._named(line):
                continue
            rest = self._header(line, first=first) if at_top else line
            first = False
            at_top = at_top and not rest
            if not at_top:
                self.kept.append(rest)
        if default and not any(f.startswith("the date") for f in self.note.said):
            self.note.fields.setdefault("date", default)
        text = prose("\n".join(self.kept))
        if text:
            given = str(self.note.fields.get("notes", ""))
            self.note.fields["notes"] = prose(f"{given}\n\n{text}") if given else text
        self._in_prose(text)
        self._missing(text)
        self.note.fields = in_order(self.note.fields)
        return self.note

    def _named(self, line: str) -> bool:
        """Take a line that gives a field, as `next: prime the ribs`; False if it is prose."""
        found = _NAMED.fullmatch(line.strip())
        name = fold(found["name"]) if found else ""
        if not found or name not in _LINE_FIELDS:
            return False
        value = found["value"].strip()
        if name == "date":
            return self._date(value) == ""
        if name in self.note.fields:
            self.note.said.append(f"`{name}` is given twice; the second stays in the notes")
            return False
        if wrong := wrong_with(name, value, self.book):
            self.note.said.append(f"`{line.strip()}` stays in the notes: {wrong}")
            return False
        self.note.take(name, value, value)
        return True

    def _date(self, text: str) -> str:
        """Take the date a text starts with; return what follows it, all of it if there is none."""
        found = day_at_start(text, self.book.zone)
        if found is None:
            return text
        if found.day is None:
            self.note.said.append(f"the date is not clear: {found.said}")
            return text
        if "date" in self.note.fields:
            return text
        self.note.take("date", found.day.isoformat(), text[: found.end])
        return text[found.end :].lstrip(" \t:,;.-\N{EN DASH}")

    def _header(self, line: str, *, first: bool) -> str:
        """Take date, step, times and people off the start of a line; return the rest as written.

        On later lines only a line that is nothing else is taken, so that no sentence loses its
        beginning.
        """
        start = line.strip().lstrip("#*- \t") if first else line.strip()
        rest = self._date(start) if "date" not in self.note.fields else start
        dated = rest != start
        tokens, at = list(self._tokens(rest)), 0
        while tokens and tokens[-1][0] == "operation":  # it may be the sentence's first word
            tokens.pop()
        at = tokens[-1][2].end() if tokens else 0
        after = rest[at:].lstrip(" \t:,;.-\N{EN DASH}") if tokens else rest
        if after and not (dated or first):
            return line
        for name, _, found in tokens:
            self._token(name, found)
        if after and tokens and (word := _TOKENS[-1][1].match(after)):
            self._operation(word["operation"])
        return after

    def _tokens(self, text: str) -> Iterator[tuple[str, str, re.Match[str]]]:
        at, seen = 0, set[str]()
        while at < len(text):
            at = _skip(text, at)
            for name, pattern in _TOKENS:
                found = pattern.match(text, at)
                if found and name not in seen and self._is_known(name, found):
                    seen.add(name)
                    yield name, found.group(), found
                    at = found.end()
                    break
            else:
                return

    def _is_known(self, name: str, found: re.Match[str]) -> bool:
        try:
            if name == "span":
                parse_clock(found["start"])
                parse_clock(found["end"])
            elif name in ("hours", "break"):
                parse_duration(found["length" if name == "hours" else "pause"])
        except ValueError as error:
            self.note.said.append(str(error))
            return False
        if name == "step":
            return found["step"] in self.book.steps and "step" not in self.note.fields
        if name == "operation":
            return found["operation"] in self.book.operations
        if name == "with":
            return "who" not in self.note.fields and all(
                person in self.book.people for person in _people(found["names"])
            )
        return {"span": "from"}.get(name, name) not in self.note.fields

    def _token(self, name: str, found: re.Match[str]) -> None:
        note = self.note
        if name == "span":
            note.take("from", found["start"], found.group())
            note.fields["to"] = found["end"]
        elif name == "with":
            people = dict.fromkeys((self.book.file.builder, *_people(found["names"])))
            note.take("who", list(people), found.group())
        elif name == "operation":
            self._operation(found["operation"])
        else:
            value = {"hours": "length", "break": "pause"}.get(name, name)
            note.take(name, " ".join(found[value].split()), found.group())

    def _operation(self, word: str) -> None:
        if word in self.book.operations and "operation" not in self.note.fields:
            self.note.take("operation", word, word)

    def _in_prose(self, text: str) -> None:
        """Take step, parts and pieces that the sentences name; the sentences stay as they are."""
        note = self.note
        mentions, dead_mentions = self.names.in_markdown(text)
        steps = list(dict.fromkeys(str(m.name) for m in mentions if m.to == "steps"))
        if "step" not in note.fields and len(steps) == 1:
            note.take("step", steps[0], steps[0])
        elif "step" not in note.fields and steps:
            note.said.append(f"several steps are named, {', '.join(steps)}: say which it was")
        found: dict[str, list[str]] = {}
        for mention in mentions:
            self._pieces(text, mention.to, str(mention.name), mention.end, found)
        self._put_parts(found)
        for dead in dead_mentions:
            advice = f"; {dead.advice}" if dead.advice else ""
            note.said.append(f"{dead.said}{advice}")

    def _pieces(self, text: str, to: str, name: str, end: int, found: dict[str, list[str]]) -> None:
        """Note a part, and the pieces that the words behind its number name."""
        piece = self.book.piece_by_label.get(name) if to == "pieces" else None
        if piece is None and to != "parts":
            return
        part = piece.part if piece else name
        pieces = found.setdefault(part, [])
        if piece:
            run = re.compile(r"\s+to\s+(?P<last>[\w.-]*\w)").match(text, end)
            words = f"{piece.mark} to {run['last']}" if run else piece.mark
        else:
            run = re.compile(r",?\s+(?P<run>\d+\s+to\s+\d+)(?![\w.-]*\w)").match(text, end)
            words = run["run"] if run else ""
        try:
            if words and self.book.finders[part].find(words):
                pieces.append(" ".join(words.split()))
        except ValueError as error:
            if not piece:
                self.note.said.append(f"`{name} {words}`: {error.args[0]}")
            else:
                pieces.append(piece.mark)

    def _put_parts(self, found: dict[str, list[str]]) -> None:
        note = self.note
        step = self.book.steps.get(str(note.fields.get("step", "")))
        for part in [p for p in found if step and step.parts and p not in step.parts]:
            note.said.append(f"{part} is no part of this step: it stays a mention in the notes")
            del found[part]
        if found and "parts" not in note.fields:
            note.take(
                "parts", list(found) if len(found) > 1 else next(iter(found)), ", ".join(found)
            )
        named = {part: list(dict.fromkeys(words)) for part, words in found.items() if words}
        if not named or "pieces" in note.fields:
            return
        shown = "; ".join(f"{part} {', '.join(words)}" for part, words in named.items())
        if "operation" not in note.fields:
            note.said.append(
                f"{shown}: named, and not counted as done, as no operation is; add `operation: ...`"
            )
            return
        short = {part: words[0] if len(words) == 1 else words for part, words in named.items()}
        note.take(
            "pieces",
            short[part] if len(found) == 1 and (part := next(iter(found))) else short,
            shown,
        )

    def _missing(self, text: str) -> None:
        """Tell what a session needs and the note does not give."""
        note, given = self.note, self.note.fields
        if "date" not in given and not any("date" in s for s in note.said):
            note.said.append("no date was found; write it first, as `2025-03-08`")
        if "step" not in given and not any("several steps" in s for s in note.said):
            note.said.append("no step was found; write it as the book does, as `fin/skeleton`")
        if "hours" not in given and "from" not in given:
            stand = [m.group() for m in _ANY_LENGTH.finditer(text)]
            stand += [m.group() for m in _LONE_TIME.finditer(text)]
            where = f"; `{stand[0]}` stands in a sentence, and may be anything" if stand else ""
            note.said.append(f"no hours were found{where}; write them beside the date, as `2h30`")


def _skip(text: str, at: int) -> int:
    found = _PART_TO.match(text, at)
    return found.end() if found else at


def _people(words: str) -> list[str]:
    return re.split(r"\s*[,&+]\s*|\s+and\s+", words)
