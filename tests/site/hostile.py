"""A book with a hostile text in every field that takes a text, made by walking the models."""

import itertools
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

import yaml
from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from buildbook.records.balance import Change
from buildbook.records.clip import Clip
from buildbook.records.kinds import KINDS
from buildbook.records.photo import Marker
from buildbook.records.reading import Limit, Reading, RequiredReading, StepLimit
from buildbook.records.record import Record, record_in
from buildbook.records.references import Refers
from buildbook.records.session import Session
from buildbook.records.task import SHARES, Task
from buildbook.records.weighing import Scale, Weighing

PAYLOADS = [
    line.replace("\\n", "\n")
    for line in Path(__file__).with_name("payloads.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("# ")
]

FIRST_DAY = date(2020, 1, 1)

WORDS = (
    "12 mm",
    "10 min",
    "17 °C",
    "55 %",
    "34 kg",
    "08:00",
    "0.4, 0.6",
    "0.1, 0.2, 0.3, 0.4",
    "yes",
    "Europe/Copenhagen",
    "EUR",
    "https://book.example/plane",
    "swarf",
    "90 days",
    "48 EUR",
    "10 to 30 °C",
    "20 to 75 %",
    "0.72 kg/l",
    "1.0",
)
"""Something for every field that takes no free text."""


ONE_OF: dict[type[Record], tuple[tuple[str, ...], tuple[str, ...]]] = {
    # One piece of work, or several.
    Session: (
        ("step", "operation", "parts", "pieces", "finished", "reopened", "readings"),
        ("work",),
    ),
    **dict.fromkeys((Limit, StepLimit, RequiredReading, Reading), (("min", "max"), ("rule",))),
    Marker: (("at",), ("box",)),
    # A task is shared as a whole, or does not apply.
    Task: (("help", "assembly", "fabrication", "applies"), SHARES),
    Change: (("added",), ("removed",)),
    Scale: (("tare",), ("tare",)),
    Weighing: (("deduct", "of"), ("deduct",)),
    Clip: (("file", "poster", "blur", "silent"), ("link",)),
}
"""Fields that exclude each other: what to leave out in every other record."""


class Hostile:
    """Makes records: number `n` of a kind, with `texts` in its fields one after the other."""

    def __init__(self, n: int, texts: list[str], photos: list[str]) -> None:
        self.n = n
        self.name = f"name-{n}"
        self.texts = itertools.cycle(texts)
        self.photo = photos[n % len(photos)]
        self.fields: set[tuple[str, str]] = set()
        """Every field that took a text, as model and field."""

    def record(self, model: type[Record], *, number: int) -> dict[str, Any]:
        """Make a record with all its fields."""
        left_out = ONE_OF.get(model, ((), ()))[self.n % 2]
        made = {
            field.alias or name: self._field(model, name, field, number)
            for name, field in model.model_fields.items()
            if name not in left_out and name != "private"
        }
        return {name: value for name, value in made.items() if value is not None}

    def _field(self, model: type[Record], name: str, field: FieldInfo, number: int) -> Any:
        inner = record_in(field.annotation)
        if inner:
            nested = self.record(inner, number=number + 1000)
            # A squawk or a lesson is written out here or cited by its number.
            return [nested] if get_origin(field.annotation) is tuple else nested
        whole = Annotated[(field.annotation, "", *field.metadata)]  # type: ignore[valid-type]
        adapter: TypeAdapter[Any] = TypeAdapter(whole)
        text = next(self.texts)
        numbers = (str(number), str(FIRST_DAY + timedelta(self.n)))
        for value in (*self._values(whole, text), *WORDS, *numbers):
            try:
                adapter.validate_python(value)
            except ValidationError:
                continue
            if text in (value if isinstance(value, (list, str)) else ()):
                self.fields.add((model.__name__, name))
            return value
        raise AssertionError(f"nothing fits {model.__name__}.{name}")

    def _values(self, annotation: Any, text: str) -> Iterator[Any]:
        mark = next((m for m in _inside(annotation) if isinstance(m, Refers)), None)
        cited: Any = self._cited(mark.to) if mark else None
        if mark:
            yield from (cited, [cited], {cited: text}, {cited: [text]})
        elif any(get_origin(a) is dict for a in _inside(annotation)):
            yield from ({text: word} for word in WORDS)
        choices = next((get_args(a) for a in _inside(annotation) if get_origin(a) is Literal), ())
        yield from choices
        # Within a list the text is whole: on its own it might be spread at its commas.
        yield from ([text], text, self.name)

    def _cited(self, kind: str) -> str:
        match kind:
            case "steps":
                return f"{self.name}/{self.name}"
            case "photos":
                return self.photo
            case "lessons" | "squawks":
                return str(self.n + 1)
            case "pieces":  # what is there, or a text that names nothing
                return f"{self.name}-01" if self.n % 2 else next(self.texts)
        return self.name


def _inside(annotation: Any) -> Iterator[Any]:
    yield annotation
    for inner in get_args(annotation):
        yield from _inside(inner)


def hostile_book(
    texts: list[str], photos: list[str], count: int = 25
) -> tuple[dict[str, str | bytes], set[tuple[str, str]]]:
    """Write a book's files with `texts` in every field, and name the fields that took them.

    There are `count` records of each kind, each beginning at another text, so that one field has
    `count` of them and together the fields of one record have all.
    """
    files: dict[str, str | bytes] = {}
    fields: set[tuple[str, str]] = set()
    for kind in KINDS.values():
        records = []
        for n in range(1 if kind.name == "book" else count):
            maker = Hostile(n, texts[n * len(texts) // count :] + texts, photos)
            records.append(maker.record(kind.model, number=n + 1))
            fields |= maker.fields
        if kind.several:
            files[f"{kind.name}.yml"] = _yaml(records)
        elif kind.name == "book":
            records[0]["about"] = "\n\n".join(texts)
            files["book.yml"] = _yaml(records[0])
        else:
            for n, record in enumerate(records):
                files[f"{kind.name}/{n:03}.yml"] = _yaml(record)
    return files, fields


def _yaml(data: Any) -> str:
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, default_style='"')
