"""What words of another record mean in this book: its dates, times, steps, people and parts.

Names are recognised by their identity or their title, whatever their capitals and spaces, and by
nothing else. All that is not recognised stays in the notes under its heading, and is told.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

from buildbook.incoming.brought import Brought
from buildbook.incoming.entries import Cell, Entry
from buildbook.incoming.values import DayOrder, parse_day, parse_length
from buildbook.records.book import Book
from buildbook.records.photo import UNCAPTIONED
from buildbook.records.problems import Finding, did_you_mean
from buildbook.writing.days import day_at_start
from buildbook.writing.draft import in_order, prose
from buildbook.writing.notes import read_note, wrong_with
from buildbook.writing.yamltext import CannotWriteError, Plain, clean

NAME_DATE = "date of the file"
STEP_OR_TITLE = "step or title"
"""What the name of a file says, and the first heading of a note."""
_AS_WRITTEN = ("title", "pieces", "tools", "lots", "air", "finished", "from", "to", "break", "next")
"""Fields that take words as they are, when the book's reader takes them."""
_EXAMPLES = {"date": "2025-03-08", "step": "fin/skeleton", "hours": "2h30"}


def words_of(text: str) -> str:
    """Reduce a name to its words, for comparing: `Fin / Skeleton` is `fin skeleton`."""
    return " ".join(re.findall(r"\w+", text.casefold()))


class SessionWords:
    """Understands entries by the names of one book."""

    def __init__(
        self,
        book: Book,
        order: DayOrder = DayOrder.UNKNOWN,
        step: str = "",
        read_as: Mapping[str, str] | None = None,
    ) -> None:
        """Take `step` where an entry names none; `read_as` gives other words for names."""
        self.book, self.order, self.step = book, order, step
        self.read_as = {words_of(words): name for words, name in (read_as or {}).items()}
        self.sections = _index((s, (s, section.title)) for s, section in book.sections.items())
        self.steps = _index(_step_words(book))
        self.people = _index((p, (p, person.name)) for p, person in book.people.items())
        self.operations = _index((o, (o, one.title)) for o, one in book.operations.items())
        self.part_names = _index((p, (part.name,)) for p, part in book.parts.items())
        self.numbers = {number.casefold(): number for number in book.parts}
        self.pictures = _index((f, (f, f.rpartition("/")[2])) for f in book.photo_files)

    def read(self, entry: Entry) -> Brought:
        """Make a draft of an entry, and tell what it lacks."""
        brought = Brought(entry)
        try:
            for cell in entry.cells:
                clean(cell.words + cell.heading)
            clean(entry.body)
        except CannotWriteError as error:
            brought.refuse("hidden-character", str(error))
            brought.unfit = True
            return brought
        by_field: dict[str, list[Cell]] = {}
        for cell in entry.cells:
            by_field.setdefault(cell.field, []).append(cell)
        for cell in by_field.get("notes", ()):
            brought.add_notes(cell.words)
        body = self._date(brought, by_field)
        self._step(brought, by_field)
        self._step_or_title(brought, by_field)
        for name, read in self._readers().items():
            for cell in by_field.get(name, ()):
                self._take(brought, name, cell, read)
        self._fit(brought)
        for cell in by_field.get("", ()):
            brought.keep(cell)
        if body.strip():
            self._body(brought, body)
        if entry.torn:
            said = "the head between the lines `---` cannot be read; it stays in the notes"
            brought.findings.append(entry.finding("not-understood", said))
        brought.fields = in_order(brought.fields)
        self._lacks(brought, by_field)
        return brought

    def _readers(self) -> dict[str, Callable[[Cell], dict[str, Plain]]]:
        return {
            "hours": lambda cell: parse_length(cell.words, cell.heading),
            "operation": lambda cell: {
                "operation": self._one(cell.words, self.operations, "operation")
            },
            "who": self._who,
            "parts": self._parts,
            "photos": self._photos,
            **{name: self._plain(name) for name in _AS_WRITTEN},
        }

    def _take(
        self, brought: Brought, name: str, cell: Cell, read: Callable[[Cell], dict[str, Plain]]
    ) -> None:
        try:
            fields = read(cell)
        except ValueError as error:
            brought.keep(cell, f"{name}: {error}")
            return
        for one, value in fields.items():
            if one not in brought.fields:
                brought.fields[one] = value
                brought.origin[one] = cell
            elif brought.fields[one] != value:
                brought.keep(cell, f"{name}: `{one}` is given twice")
                return

    def _date(self, brought: Brought, by_field: Mapping[str, list[Cell]]) -> str:
        """Take the date from head, name or text, which must agree; return the text behind it."""
        entry, zone, found = brought.entry, self.book.zone, {}
        for cell in (*by_field.get("date", ()), *by_field.get(NAME_DATE, ())):
            try:
                found[parse_day(cell.words, zone, self.order)] = cell
            except ValueError as error:
                moment = day_at_start(cell.words.replace(" ", "T", 1), zone)
                if moment and moment.day:  # a day with its time: the time is only kept
                    found[moment.day] = cell
                    brought.keep(cell)
                    continue
                brought.refuse("no-date", str(error), self._date_advice(cell.words), cell)
                brought.keep(cell)
        first, end, rest = entry.body.partition("\n")
        start = first.lstrip("#*- \t")
        begins, body = day_at_start(start, zone), entry.body
        if begins:
            cell = Cell("date", "text", first, entry.body_line, 1, first)
            written = start[: begins.end].strip()
            try:
                found.setdefault(begins.day or parse_day(written, zone, self.order), cell)
                behind = start[begins.end :].lstrip(" \t:,;.-\N{EN DASH}")
                body = f"{behind}{end}{rest}" if behind else rest
            except ValueError as error:
                if not found:
                    brought.refuse("no-date", str(error), self._date_advice(written), cell)
        if len(found) > 1:
            days = ", ".join(str(day) for day in sorted(found))
            said = f"the head, the name and the text of the note do not agree: {days}"
            brought.refuse("no-date", said, "write the right date in all of them")
            for cell in (*by_field.get("date", ()), *by_field.get(NAME_DATE, ())):
                brought.keep(cell)
            return entry.body
        for day, cell in found.items():
            brought.fields["date"] = day.isoformat()
            brought.origin["date"] = cell
        return body

    def _date_advice(self, words: str) -> str:
        if self.order is DayOrder.UNKNOWN and re.match(r"\s*\d{1,2}\s*[-/.]", words):
            return "say which way: --dates day-first or --dates month-first"
        return "write year-month-day, as `2025-03-08`"

    def _step(self, brought: Brought, by_field: Mapping[str, list[Cell]]) -> None:
        """Take the step by what it is called, in its section where that is named too."""
        [section] = by_field.get("section", [None])[:1] or [None]
        [step] = by_field.get("step", [None])[:1] or [None]
        given = [cell for cell in (section, step) if cell and words_of(cell.words)]
        for cell in (section, step):
            if cell and cell not in given:  # nothing but signs
                brought.keep(cell)
        words = [self._said(cell.words) for cell in given]
        together = " / ".join(cell.words for cell in given)
        if words_of(together) in self.read_as:
            words = [self._said(together)]
        found, said = self._find_step(*words) if words else (set(), "")
        if len(found) == 1:
            name = brought.fields["step"] = found.pop()
            brought.origin["step"] = given[-1]
            sections = self.sections.get(words_of(words[0]), set())
            if len(words) > 1 and name.partition("/")[0] not in sections:
                brought.keep(given[0], f"section: {name} is not in `{given[0].words}`")
        elif given:
            named = f"; it is taken for {self.step}" if self.step else ""
            finding = brought.entry.finding(
                "no-step", said + named, self._step_advice(given), given[-1], error=not self.step
            )
            brought.findings.append(finding)
            for cell in given:
                brought.keep(cell)

    def _step_or_title(self, brought: Brought, by_field: Mapping[str, list[Cell]]) -> None:
        """Take a heading or a file's name for the step, if it names one, else for the title."""
        for cell in by_field.get(STEP_OR_TITLE, ()):
            names = self._find_step(self._said(cell.words))[0]
            if len(names) == 1 and "step" not in brought.fields:
                brought.fields["step"] = names.pop()
                brought.origin["step"] = cell
            elif "title" not in brought.fields and not by_field.get("title"):
                self._take(brought, "title", cell, self._plain("title"))
            elif words_of(cell.words) != words_of(str(brought.fields.get("title", ""))):
                brought.keep(cell)

    def _find_step(self, *words: str) -> tuple[set[str], str]:
        """Return the steps that words may mean, and why it is not just one."""
        step = words_of(words[-1])
        if words[-1] in self.book.steps:
            return {words[-1]}, ""
        found = set(self.steps.get(words_of(" ".join(words)), ()))
        if not found and len(words) > 1:
            sections = self.sections.get(words_of(words[0]), set())
            found = {s for s in self.steps.get(step, ()) if s.partition("/")[0] in sections}
            if not sections and len(self.steps.get(step, ())) == 1:
                return set(), f"there is no section `{words[0]}`"
        shown = " / ".join(words)
        if len(found) > 1:
            return found, f"`{shown}` may be {', '.join(sorted(found))}"
        if not found and len(words) == 1 and step in self.sections:
            [section] = self.sections[step] if len(self.sections[step]) == 1 else [""]
            steps = [s for s in self.book.steps if s.partition("/")[0] == section]
            return found, f"`{shown}` is a section: it may be {', '.join(steps)}"
        return found, f"there is no step `{shown}`"

    def _step_advice(self, given: Sequence[Cell]) -> str:
        words = " ".join(" / ".join(cell.words for cell in given).split())
        close = did_you_mean(words, self.book.steps)
        name = next(iter(self.book.steps), "section/step")
        return f"{close} " * bool(close) + f'say which it is: --read-as "{words}={name}"'

    def _said(self, words: str) -> str:
        return self.read_as.get(words_of(words), words)

    def _plain(self, name: str) -> Callable[[Cell], dict[str, Plain]]:
        def read(cell: Cell) -> dict[str, Plain]:
            value = clean(cell.words).strip()
            if name == "title":
                value = " ".join(value.split())
            if name == "break":
                value = str(parse_length(value, cell.heading).get("hours", value))
            if name in ("from", "to"):
                value = re.sub(r"^(\d{1,2}[:.]\d{2}):\d{2}", r"\1", value)
            if wrong := wrong_with(name, value, self.book):
                raise ValueError(wrong)
            return {name: prose(value) if name == "next" else value}

        return read

    def _one(self, words: str, index: Mapping[str, set[str]], what: str) -> str:
        found = index.get(words_of(self._said(words)), set())
        if len(found) == 1:
            return next(iter(found))
        if found:
            raise ValueError(f"`{words}` may be {', '.join(sorted(found))}")
        close = did_you_mean(words, index)
        raise ValueError(f"there is no {what} `{words}`{f'; {close}' if close else ''}")

    def _who(self, cell: Cell) -> dict[str, Plain]:
        named = map(str.strip, re.split(r"[,;&+\n]|\s+and\s+", cell.words))
        return {
            "who": _short([self._one(words, self.people, "person") for words in named if words])
        }

    def _parts(self, cell: Cell) -> dict[str, Plain]:
        tries = ([cell.words], re.split(r"[,;\n]", cell.words), cell.words.split())
        for words in tries:
            named = [w.strip() for w in words if w.strip()]
            if named and all(self._part(word) for word in named):
                return {"parts": _short([self._part(word) for word in named])}
        unknown = next(w.strip() for w in tries[1] if w.strip() and not self._part(w.strip()))
        close = did_you_mean(unknown, self.book.parts)
        raise ValueError(f"there is no part `{unknown}`{f'; {close}' if close else ''}")

    def _part(self, words: str) -> str:
        words = self._said(words)
        names = self.part_names.get(words_of(words), set())
        return self.numbers.get(words.casefold()) or (next(iter(names)) if len(names) == 1 else "")

    def _photos(self, cell: Cell) -> dict[str, Plain]:
        files = []
        for words in filter(None, map(str.strip, re.split(r"[,;\n]", cell.words))):
            found = self.pictures.get(words_of(words.replace("\\", "/")), set())
            if len(found) != 1:
                among = f"`{words}` may be {', '.join(sorted(found))}"
                raise ValueError(
                    among
                    if found
                    else f"there is no picture `{words}` in the book; bring it in "
                    "with `buildbook photos add`"
                )
            files.append(next(iter(found)))
        return {"photos": [{"file": f, "caption": UNCAPTIONED} for f in dict.fromkeys(files)]}

    def _fit(self, brought: Brought) -> None:
        """Let go of what the book's reader would not take beside the rest."""
        fields = brought.fields
        for one, other in (("from", "to"), ("to", "from")):
            if one in fields and other not in fields:
                brought.give_up(one, f"{one}: there is no `{other}` beside it")
        if "break" in fields and "from" not in fields:
            brought.give_up("break", "break: there is no `from` and `to` beside it")
        step = self.book.steps.get(str(fields.get("step", self.step)))
        listed = fields.get("parts", ())
        parts = [listed] if isinstance(listed, str) else [str(part) for part in listed]
        if astray := [p for p in parts if step and step.parts and p not in step.parts]:
            brought.give_up("parts", f"parts: {astray[0]} is no part of {fields.get('step')}")
        hours = fields.get("hours")
        if hours is not None and (wrong := wrong_with("hours", hours, self.book)):
            brought.give_up("hours", f"hours: {wrong}")

    def _body(self, brought: Brought, body: str) -> None:
        """Read running text: its first lines may say more, the rest are the notes."""
        given = {n: v for n, v in brought.fields.items() if n != "notes"}
        default = {"step": self.step} if self.step and "step" not in given else {}
        noted = read_note(body, self.book, given)
        kept = brought.fields.pop("notes", "")
        brought.fields |= noted.fields
        if kept:
            text = str(brought.fields.pop("notes", ""))
            if text:
                brought.add_notes(text)
            brought.add_notes(str(kept))
        if default and "step" not in brought.fields:
            brought.fields |= default
        for said in noted.said:
            if not said.startswith(("no date", "no step", "no hours", "the date is not clear")):
                brought.findings.append(self._at(brought.entry, said))

    def _at(self, entry: Entry, said: str) -> Finding:
        """Tell what was said of a text at the line that it is about."""
        word = re.search(r"`([^`]+)`", said)
        lines = entry.body.split("\n")
        for n, line in enumerate(lines):
            if word and (at := line.find(word[1])) >= 0:
                cell = Cell("", "", "", entry.body_line + n, at + 1, line)
                return entry.finding("not-understood", said, cell=cell)
        cell = Cell("", "", "", entry.body_line, 1, lines[0])
        return entry.finding("not-understood", said, cell=cell)

    def _lacks(self, brought: Brought, by_field: Mapping[str, list[Cell]]) -> None:
        fields = brought.fields
        if "step" not in fields and self.step:
            brought.fields = fields = in_order({**fields, "step": self.step})
        told = {f.code for f in brought.findings}
        lacking = [n for n in ("date", "step") if n not in fields and f"no-{n}" not in told]
        # What says how long it took and was not understood has been told.
        if not any(fields.get(n) or by_field.get(n) for n in ("hours", "from", "to")):
            lacking.append("hours")
        if lacking:
            *most, last = lacking
            named = f"{', '.join(most)} and {last}" if most else last
            advice = "write it" if not most else "write them"
            advice += f", as `{' '.join(_EXAMPLES[n] for n in lacking)}`"
            if "step" in lacking:
                advice += "; --step gives a step to all that name none"
            brought.refuse("not-a-session", f"it does not say its {named}", advice)


def _index(named: Iterable[tuple[str, Iterable[str]]]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for name, words in named:
        for one in words:
            found.setdefault(words_of(one), set()).add(name)
    return found


def _step_words(book: Book) -> Iterable[tuple[str, tuple[str, ...]]]:
    for name, step in book.steps.items():
        section, _, own = name.partition("/")
        title = book.sections[section].title if section in book.sections else section
        yield name, (name, own, step.title, f"{title} {step.title}", f"{section} {step.title}")


def _short(names: Sequence[str]) -> Plain:
    unique = list(dict.fromkeys(names))
    return unique[0] if len(unique) == 1 else unique
