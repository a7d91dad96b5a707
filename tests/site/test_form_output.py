"""What the page makes of everything that can be entered, in a real browser at a phone's size.

The file is read back by the book's reader, and checked against the session's JSON Schema (Draft
2020-12) by the `jsonschema` package. What is entered walks the schema, so a field that a model
gains is entered too.
"""

import random
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from forms import PAGE, WITH_FORM, Form, Tree, opened
from jsonschema import Draft202012Validator
from pydantic import ValidationError
from sites import BASE, Site, SmallSite

from buildbook.pages.formfields import FormField, form_records
from buildbook.records.kinds import KINDS
from buildbook.records.problems import Place
from buildbook.records.read import read
from buildbook.records.record import Record, record_in
from buildbook.records.schema import schema_of
from buildbook.records.session import Session
from buildbook.records.validate import validate
from buildbook.records.yamlfile import read_yaml

sys.path.append(str(Path(__file__).parents[1] / "published"))
from test_schemas import parse  # values by the core schema of YAML 1.2, as editors read them

SCHEMA = Draft202012Validator(schema_of(KINDS["sessions"]))
FIELDS = form_records(schema_of(KINDS["sessions"]), "Session")

TRAPS = (
    *(
        "no",
        "Yes",
        "on",
        "null",
        "~",
        "9:30",
        "010",
        "0x1F",
        "1e3",
        "12.5",
        "2025-03-08",
        "=",
        "<<",
    ),
    *("a: b", "a:b", "a #b", "#40 drill", "- x", "-x", "? x", ": x", "|", ">", "{a: b}", "[a, b]"),
    *("*a", "&a b", "!a", "!!str a", "%a", "@a", "`a`", "'a'", '"a"', 'say "no"', "a\\b", "\\n"),
    *("---", "...", "--- a", "a\tb", "\ta", "  a", "a  ", "a, b", "a; b", "ada & ben", "a and b"),
    *("Ünïcödé", "日本語", "שלום", "a\u0301", "\u200ba", "\u00a0a", "🛩️ 👩🏽‍🔧", "½ × 3 ≥ 1"),
    *("<b>bold</b>", "</script><script>alert(1)</script>", "{{ x }}", "${x}", "a" * 290),
)
"""Texts that YAML, HTML or a script could take for something else."""
LINES = (
    *(
        "a\nb",
        "a\n\n\nb",
        "\n\na",
        "a\n\n",
        "  a\n b",
        "a\n  b\n c",
        "\ta\n\tb",
        "a \n b ",
        "- a\n- b",
    ),
    *("a: b\nc: d", "# a\nb", "|\n>", "---\na\n...", "a\n#b", "a\n   \nb", "🛩️\n日本", "\"a\"\n'b'"),
    "Fluted the ribs. " * 12,
)
"""The same, in several lines."""

TOOLS = "\n".join(f"- tool: tool-{n}\n  title: Tool {n}" for n in range(9))
FILES: dict[str, str | bytes] = {
    **BASE,
    "tools.yml": TOOLS,
    "lots.yml": "- lot: primer\n  title: Primer\n",
    "lessons.yml": "- lesson: 3\n  title: Label first\n",
    "squawks.yml": "- squawk: 7\n  title: A scratch\n  found: 2025-01-02\n",
    "notices.yml": "- notice: SB-1\n  title: Look at the rivets\n  issued: 2025-01-01\n",
}
KNOWN = {
    "steps": "fin/skeleton",
    "operations": "drill",
    "people": "ada",
    "parts": "FN-01",
    "pieces": "FN-02-L-01",
    "tools": "tool-8",
    "lots": "primer",
    "notices": "SB-1",
    "lessons": "3",
    "squawks": "7",
    "photos": "2025/spar.jpg",
    "clips": "2025/spar.mp4",
}
OF_A_KIND = {"date": "2025-03-08", "time": "19:30", "duration": "10 min", "yes-no": "yes"}
EXAMPLES = ("0.190 in", "17 °C", "55 %", "2 mm", "https://book.example/clip", "10 min", "0:12", "3")


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    return small_site(FILES, settings=WITH_FORM)


@pytest.fixture
def form(site: Site, browser) -> Iterator[Form]:
    with opened(browser, site.folder / PAGE) as page:
        yield page
        assert all(url.startswith("file:") for url in page.asked)


def models(model: type[Record]) -> dict[str, type[Record]]:
    found = {model.__name__: model}
    for info in model.model_fields.values():
        if (inner := record_in(info.annotation)) and inner.__name__ not in found:
            found |= {k: v for k, v in models(inner).items() if k not in found}
    return found


MODELS = models(Session)


class Maker:
    """Makes records with a value in as many fields as go together."""

    def __init__(self) -> None:
        self.lines = self._forever((*TRAPS,))
        self.texts = self._forever((*LINES, *TRAPS))
        self.used: set[tuple[str, str]] = set()

    def _forever(self, texts: tuple[str, ...]) -> Iterator[str]:
        while True:
            yield from texts

    def several(self, name: str) -> list[Tree]:
        """Make records until every field was in one of them."""
        fields = FIELDS[name]
        made: list[Tree] = []
        missing = [f.name for f in fields]
        while missing:
            first = missing[0]
            order = sorted(fields, key=lambda f: (f.name != first, not f.needed))
            record = self._record(name, order)
            assert first in record, f"{name}: {first} cannot be entered"
            made.append(record)
            missing = [n for n in missing if n not in record]
        self.used |= {(name, f.name) for f in fields}
        return made

    def _record(self, name: str, order: list[FormField]) -> Tree:
        """Take the first field and those that must be, and of the others what goes with them."""
        record: Tree = {}
        for field in order:
            candidate = {**record, field.name: self._value(name, field)}
            must = field is order[0] or field.needed
            if must or faults(name, candidate) <= faults(name, record):
                record = candidate
        assert faults(name, record) == set(), name
        return record

    def _value(self, name: str, field: FormField) -> Any:  # noqa: C901, PLR0911 - a line a kind
        if field.kind == "pieces":
            return {"FN-02-L": ["01", "02", "03"]}
        if field.name == "parts" and any(f.kind == "pieces" for f in FIELDS[name]):
            return ["FN-01", "FN-02-L"]
        if field.kind == "record":
            records = self.several(field.record)
            if not field.several:
                return records[0]
            return [*records, KNOWN[field.refers]] if field.numbered else records
        if field.refers:
            return [KNOWN[field.refers]] if field.several else KNOWN[field.refers]
        if field.choices:
            return field.choices[0]
        if field.kind == "number":
            return "41"
        if value := OF_A_KIND.get(field.kind):
            return value
        if field.pattern or field.example:
            for value in (field.example, *EXAMPLES):
                entered = [value, value] if field.several else value
                if not any(
                    at[:1] == (field.name,) for at, _ in faults(name, {field.name: entered})
                ):
                    return entered
        if field.several:
            return [next(self.lines), next(self.lines)]
        return next(self.texts if field.kind == "prose" else self.lines)


def faults(name: str, record: Tree) -> set[tuple[tuple[str | int, ...], str]]:
    """Say where and what a model has against a record, what is not there yet left out."""
    try:
        MODELS[name].model_validate(as_file(name, record))
    except ValidationError as error:
        said = error.errors(include_url=False)
        return {(e["loc"], e["msg"]) for e in said if e["type"] != "missing"}
    return set()


def as_file(name: str, record: Tree) -> Tree:
    """Say what a file should hold once a record was entered."""
    written: Tree = {}
    for field in FIELDS[name]:
        if field.name not in record:
            continue
        value = record[field.name]
        if field.kind == "pieces":
            value = {"FN-02-L": "01 to 03"}
        elif field.kind == "record":
            values = value if isinstance(value, list) else [value]
            made = [v if isinstance(v, str) else as_file(field.record, v) for v in values]
            value = made if field.several else made[0]
        elif isinstance(value, str):
            value = typed(field, value)
        else:
            value = [typed(field, v) for v in value]
        written[field.name] = value
    return written


def typed(field: FormField, text: str) -> str:
    """A control of one line takes no line ends; blanks around a name are not part of it."""
    return text if field.kind == "prose" else text.strip() if field.pattern else text


def plain(value: Any) -> Any:
    """One entry may stand for a list of one."""
    if isinstance(value, dict):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return plain(value[0]) if len(value) == 1 else [plain(inner) for inner in value]
    return value


SESSIONS = Maker()
ALL = SESSIONS.several("Session")


def test_every_field_is_entered() -> None:
    """The sessions below have every field of every record of the schema but those none types."""
    schema = schema_of(KINDS["sessions"])["$defs"]
    left_out = {(r, f) for r in FIELDS for f in schema[r]["properties"]} - SESSIONS.used
    assert {f for _, f in left_out} == {"amendments"}
    assert len(ALL) >= 2  # in the short form, and with a list of work


@pytest.mark.parametrize("session", ALL, ids=lambda s: "work" if "work" in s else "short")
def test_all_fields_come_through(form: Form, session: Tree) -> None:
    form.enter(session)
    written = form.written()
    assert plain(written) == plain(as_file("Session", session))
    record, problems = validate(Session, written, Place("sessions/new.yml"))
    assert record is not None
    assert problems == []
    misfits = [f"{e.json_path}: {e.message}" for e in SCHEMA.iter_errors(parse(form.text()))]
    assert misfits == []


def test_the_draft_brings_all_fields_back(form: Form) -> None:
    form.enter(ALL[0])
    before = form.text()
    form.page.reload()
    form.page.locator("#bb-session:not([hidden])").wait_for()
    assert form.text() == before


def test_every_text_comes_through(form: Form) -> None:
    """Thousands of texts, in a title, in notes, in lists, and deep inside."""
    chance = random.Random(20250308)
    alphabet = "ab 09:#-?|>{}[]*&!%@`'\",;=<~.\\/\t\n\n  é日🛩\u0301\u00a0\u200b"
    alphabet += "\u0007\u0085\u2028\ufeff\x7f"
    texts = ["".join(chance.choices(alphabet, k=chance.randint(1, 14))) for _ in range(4000)]
    texts = [t for t in (*texts, *TRAPS, *LINES) if t.strip()]
    files = form.page.evaluate(
        """texts => texts.map(text => bbForm.yaml({
             title: text, notes: text, squawks: [{ size: text, text, pieces: [text, text] }, '12'],
             pieces: { 'FN-01': [text] }, next: text }))""",
        texts,
    )
    for text, written in zip(texts, files, strict=True):
        file = read_yaml("sessions/new.yml", written.encode())
        assert file.problems == (), (text, written)
        inner = {"size": text, "text": text, "pieces": [text, text]}
        assert file.data == {
            "title": text,
            "notes": text,
            "squawks": [inner, "12"],
            "pieces": {"FN-01": text if plain_alone(text) else [text]},
            "next": text,
        }, written


def plain_alone(text: str) -> bool:
    """A text that a reader would part into several stays in its list."""
    return not any(sign in text for sign in (",", ";", "&", "+", "\n", " and "))


def test_half_a_letter_becomes_a_sign(form: Form) -> None:
    """No file can hold half of a surrogate pair (Unicode 15.0, 3.9, D75 and D79)."""
    written = form.page.evaluate("bbForm.yaml({ title: 'a\\ud83db' })")
    assert read_yaml("x.yml", written.encode()).data == {"title": "a\ufffdb"}


def test_other_programs_read_the_same(form: Form) -> None:
    """PyYAML by YAML 1.1 takes no text for a boolean, a number or a date either."""
    texts = [t for t in TRAPS if t.strip() == t]
    files = form.page.evaluate("texts => texts.map(title => bbForm.yaml({ title }))", texts)
    assert [yaml.safe_load(file) for file in files] == [{"title": text} for text in texts]


FULL: Tree = {
    "date": "2025-03-09",
    "title": "Spar drilled: the second time",
    "step": "fin/skeleton",
    "operation": "drill",
    "pieces": {"FN-02-L": ["01", "02", "03", "04"]},
    "from": "19:30",
    "to": "21:45",
    "break": "15 min",
    "who": ["ada", "ben"],
    "tools": ["tool-1", "tool-8"],
    "notes": "Drilled #40.\n\n- deburred: no\n- cleaned: yes",
    "readings": [
        {"reading": "edge distance", "values": ["0.25 in", "0.26 in"], "min": "0.2 in"},
    ],
    "photos": [{"file": "2025/spar.jpg", "caption": "The spar, clamped", "parts": ["FN-01"]}],
    "lessons": [{"lesson": "4", "title": "Clamp: first", "operations": ["drill"]}, "3"],
    "squawks": [
        {
            "squawk": "8",
            "title": "A dent",
            "pieces": ["FN-02-L-03"],
            "disposition": {"decision": "use as is", "date": "2025-03-09", "by": "ada"},
        },
        "7",
    ],
    "air": {"temperature": "17 °C", "humidity": "55 %"},
    "next": "Deburr.",
}
ROUTED = (
    FILES["parts.yml"].replace("quantity: 4", "quantity: 4\n  route: drill, deburr")  # type: ignore[union-attr,arg-type]
)


def test_check_has_nothing_to_say(small_site: SmallSite, browser, tmp_path: Path) -> None:
    """Saved unchanged, a full and usual session gives no problem, nor the book anywhere else."""
    from forms import jpeg  # noqa: PLC0415

    files = {**FILES, "parts.yml": ROUTED, "photos/2025/spar.jpg": jpeg()}
    site = small_site(files, settings=WITH_FORM, folder=tmp_path)
    content = tmp_path / "content"
    before = {f.message for f in read(content).findings()}
    with opened(browser, site.folder / PAGE) as page:
        page.enter(FULL)
        page.page.locator("#bb-download").click()
        assert page.page.locator("#bb-problems").is_hidden()
        with page.page.expect_download() as download:
            page.page.locator("#bb-download").click()
        name = download.value.suggested_filename
        assert name == "2025-03-09-spar-drilled-the-second-time.yml"
        (content / "sessions").mkdir()
        download.value.save_as(content / "sessions" / name)
        assert (content / "sessions" / name).read_text(encoding="utf-8") == page.text()
    reading = read(content)
    assert {f.message for f in reading.findings()} <= before
    session = reading.book.sessions["2025-03-09-spar-drilled-the-second-time"]
    assert session.notes == FULL["notes"]
    assert session.piece_words == {"FN-02-L": ("all",)}
