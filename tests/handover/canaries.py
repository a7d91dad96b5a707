"""A book with a unique word in everything that may be private, and what finds them again.

The words are planted by walking the models: a field that a model gains is covered without a change
here. `FORMATS` names everything an edition is written as; a new format is a function added there.
"""

import gzip
import io
import re
import subprocess
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

import yaml
from PIL import ExifTags, Image
from pydantic import TypeAdapter, ValidationError
from sites import SETTINGS, build

from buildbook.handover.editions import edition
from buildbook.handover.exports import export
from buildbook.handover.fieldplan import FieldPlan, field_plans
from buildbook.handover.package import Wish, hand_over, prepared
from buildbook.handover.pdf import set_book
from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.records.air import Conditions
from buildbook.records.balance import Case, Change
from buildbook.records.clip import Clip
from buildbook.records.editions import Editions, Held
from buildbook.records.kinds import KINDS
from buildbook.records.photo import Marker
from buildbook.records.problems import Place
from buildbook.records.read import read
from buildbook.records.record import HIDING, Record, record_in
from buildbook.records.session import SHORT_FORM, Session
from buildbook.records.validate import validate
from mkdocs_buildbook.whole import build_whole

WORD = re.compile(rb"qx[a-z]{4}jz", re.IGNORECASE)
"""What every planted word looks like."""
_FIRST_DAY = date(2021, 1, 1)

Path_ = tuple[FieldPlan, ...]
"""The way from a record to a field of it, or of a record inside it."""

SAMPLES = (
    *("12 mm", "10 min", "17 °C", "55 %", "34 kg", "08:00", "0.4, 0.6", "0.1, 0.2, 0.3, 0.4"),
    *("yes", "Europe/Copenhagen", "EUR", "https://book.example/plane", "swarf", "90 days"),
    *("48 EUR", "10 to 30 °C", "20 to 75 %", "0.72 kg/l", "2", "2021-05-05", "430 kg at 64 in"),
)
"""Something for every field that takes no free text."""

BESIDE: dict[type[Record], dict[str, Any]] = {
    Session: {"step": "fin/skeleton"},
    Marker: {"at": "0.4, 0.6"},
    Clip: {"file": "shared.mp4"},
    Change: {"added": "A beacon"},
    Case: {"load": {"seats": "80 kg"}},
    Conditions: {"margin": "3 °C"},
}
"""What a record needs beside its required fields to be one."""

WITH: dict[str, dict[str, Any]] = {
    "from": {"from": "08:00", "to": "09:30"},
    "to": {"from": "08:00", "to": "09:30"},
    "break": {"from": "08:00", "to": "09:30"},
    "maker": {"maker": "10"},
    "help": {"help": "10"},
    "assembly": {"assembly": "10"},
    "fabrication": {"fabrication": "10"},
    "lemac": {"mac": "50 in"},
    "mac": {"lemac": "50 in"},
    "min": {"min": "2 mm"},
    "max": {"max": "90 mm"},
    "uncertainty": {"uncertainty": "1 mm"},
    "removed": {"removed": "0.5 mm"},
}
"""What some fields need beside them, or as their value."""

CITED = {
    "people": "ada",
    "operations": "drill",
    "tools": "gun",
    "lots": "glue",
    "sections": "fin",
    "steps": "fin/skeleton",
    "parts": "P-01",
    "pieces": "P-01-01",
    "lessons": "1",
    "squawks": "1",
    "notices": "N-1",
    "equipment": "radio",
    "photos": "shared.jpg",
    "clips": "shared.mp4",
}
"""What records cite: each is in the book and not private."""


@dataclass(frozen=True, slots=True)
class Canary:
    """A planted word, and which editions may hold it."""

    where: str
    """Kind of record and field, for whoever reads a failure."""
    held: Callable[[str, Held], bool]
    """Asked with an edition and what it holds."""
    exported: bool = True
    """It stands in a field of a record: an export of an edition that may hold it has it."""


@dataclass
class Flock:
    """All that was planted, and the files of the book."""

    canaries: dict[str, Canary] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    fields: set[tuple[str, str]] = field(default_factory=set)
    """Every field that took a word, as model and attribute."""
    slug: str = ""
    """Short name of somebody, which stands in short names of other things too."""

    def word(self, where: str, held: Callable[[str, Held], bool], *, exported: bool = True) -> str:
        """Make a word that is nowhere else."""
        number, letters = len(self.canaries), ""
        for _ in range(4):
            number, digit = divmod(number, 26)
            letters += chr(ord("a") + digit)
        word = f"qx{letters}jz"
        self.canaries[word] = Canary(where, held, exported)
        return word

    def allowed(self, name: str, held: Held) -> set[str]:
        """List the words an edition may hold."""
        return {word for word, c in self.canaries.items() if c.held(name, held)}


def in_private(name: str, held: Held) -> bool:
    del name
    return held.private_notes


def everywhere(name: str, held: Held) -> bool:
    del name, held
    return True


def nowhere(name: str, held: Held) -> bool:
    del name, held
    return False


# Making records from their models.


def record(model: type[Record]) -> dict[str, Any]:
    """Make the least that is a record of a kind."""
    beside = BESIDE.get(model, {})
    needed = (p for p in field_plans(model) if p.required and p.name not in beside)
    return {**{plan.name: value(model, plan, "words") for plan in needed}, **beside}


def value(model: type[Record], plan: FieldPlan, text: str) -> Any:
    """Find a value that a field takes, with the text in it if it takes any."""
    info = model.model_fields[plan.attribute]
    inner = record_in(info.annotation)
    if inner:
        nested = record(inner)
        return [nested] if _is_list(info.annotation) else nested
    adapter: TypeAdapter[Any] = TypeAdapter(Annotated[(info.annotation, "", *info.metadata)])  # type: ignore[valid-type]
    for candidate in _candidates(info.annotation, plan, text):
        try:
            adapter.validate_python(candidate)
        except ValidationError:
            continue
        return candidate
    raise AssertionError(f"nothing fits {model.__name__}.{plan.name}")


def _candidates(annotation: Any, plan: FieldPlan, text: str) -> Iterator[Any]:
    if plan.refers:
        cited = CITED[plan.refers]
        yield from (cited, [cited], {cited: text}, {cited: [text]})
    yield from next((get_args(a) for a in _inside(annotation) if get_origin(a) is Literal), ())
    yield from ([text], text)
    yield from SAMPLES


def _inside(annotation: Any) -> Iterator[Any]:
    yield annotation
    for inner in get_args(annotation):
        yield from _inside(inner)


def _is_list(annotation: Any) -> bool:
    return any(get_origin(a) is tuple for a in _inside(annotation))


def paths(model: type[Record], seen: tuple[type[Record], ...] = ()) -> Iterator[Path_]:
    """Yield every field of a kind of record and of the records inside it, by the way to it."""
    for plan in field_plans(model):
        if model is Session and seen and plan.attribute == "work":
            continue
        inner = record_in(model.model_fields[plan.attribute].annotation)
        yield (plan,)
        if inner and inner not in seen and inner is not Editions:
            yield from ((plan, *way) for way in paths(inner, (*seen, model)))


def plant(model: type[Record], way: Path_, text: str, *, mark: bool) -> tuple[dict[str, Any], bool]:
    """Make a record with a text in a field, marked private there; tell whether it took the text."""
    made = record(model)
    plan, *rest = way
    inner = record_in(model.model_fields[plan.attribute].annotation)
    if rest and inner:
        nested, took = plant(inner, tuple(rest), text, mark=mark)
        is_list = _is_list(model.model_fields[plan.attribute].annotation)
        made[plan.name] = [nested] if is_list else nested
    else:
        made[plan.name] = value(model, plan, text)
        if mark:
            made["private"] = [plan.name]
        made = _standing(model, plan.name, made)
        took = text in str(made[plan.name])
    if model is Session and plan.name == "work":
        made = {k: v for k, v in made.items() if k not in SHORT_FORM}
    return made, took


def _standing(model: type[Record], name: str, made: dict[str, Any]) -> dict[str, Any]:
    """Mend what one field asks of the others, by one of the ways known here."""
    beside = BESIDE.get(model, {}).keys() - {name}
    ways = (
        made,
        {k: v for k, v in made.items() if k not in beside},
        {**made, **WITH.get(name, {})},
    )
    for way in ways:
        if not validate(model, way, Place("planted"))[1]:
            return way
    raise AssertionError((model, name, validate(model, made, Place("planted"))[1]))


def owner(model: type[Record], way: Path_) -> type[Record]:
    """Tell which kind of record holds the field at the end of a way."""
    for plan in way[:-1]:
        found = record_in(model.model_fields[plan.attribute].annotation)
        assert found
        model = found
    return model


# The book.


def flock() -> Flock:
    """Plant the words."""
    made = Flock()
    records: dict[str, list[dict[str, Any]]] = {name: [] for name in KINDS}
    for kind in KINDS.values():
        if kind.name in ("book", "balance"):
            continue
        for way in paths(kind.model):
            _plant_field(made, records[kind.name], kind.model, way)
        _plant_whole(made, records[kind.name], kind.model)
        for number, one in enumerate(records[kind.name]):
            _name(kind.name, one, number)
    _plant_categories(made, records)
    _plant_names(made, records)
    made.files |= {name: text.encode() for name, text in _base(made).items()}
    for name, several in records.items():
        if KINDS[name].several:
            made.files[f"{name}/planted.yml"] = _yaml(several)
        else:
            for number, one in enumerate(several):
                made.files[f"{name}/planted-{number:03}.yml"] = _yaml(one)
    _plant_files(made)
    return made


def _plant_field(
    made: Flock, records: list[dict[str, Any]], model: type[Record], way: Path_
) -> None:
    plan, of = way[-1], owner(model, way)
    if plan.required or plan.name in HIDING or plan.holds_records:
        return  # cannot be private alone; what is inside has its own turn
    where = f"{of.__name__}.{plan.attribute} in {model.__name__}"
    text = made.word(where, in_private)
    one, took = plant(model, way, text, mark=True)
    _, problems = validate(model, one, Place("planted"))
    assert not problems, (where, problems)
    if took:
        made.fields.add((of.__name__, plan.attribute))
    else:
        del made.canaries[text]
        # The next word is another one all the same.
        made.canaries[f"-{len(made.canaries)}"] = Canary(where, nowhere, exported=False)
    records.append(one)


def _plant_whole(made: Flock, records: list[dict[str, Any]], model: type[Record]) -> None:
    """Mark a whole record private, and every record inside one, with words in all their texts."""
    for way in ((), *(w for w in paths(model) if w[-1].holds_records and not w[-1].refers)):
        inside = owner(model, (*way, *field_plans(model)[:1])) if way else model
        if not inside.can_be_private:
            continue
        filled = record(inside)
        for plan in field_plans(inside):
            if plan.is_text and plan.attribute not in ("file", "before", "hazards"):
                where = f"private {inside.__name__}.{plan.attribute} in {model.__name__}"
                text = made.word(where, in_private)
                one = value(inside, plan, text)
                _, wrong = validate(inside, {**filled, plan.name: one}, Place("planted"))
                if text in str(one) and not wrong:
                    filled[plan.name] = one
                else:
                    made.canaries[text] = Canary(where, nowhere, exported=False)
        filled["private"] = "yes"
        whole = filled
        for at in range(len(way), 0, -1):
            plan = way[at - 1]
            around = record(owner(model, way[:at]))
            kind = owner(model, way[:at])
            is_list = _is_list(kind.model_fields[plan.attribute].annotation)
            if kind is Session and plan.name == "work":
                around = {k: v for k, v in around.items() if k not in SHORT_FORM}
            whole = {**around, plan.name: [whole] if is_list else whole}
        records.append(whole)


def _name(kind: str, one: dict[str, Any], number: int) -> None:
    """Give a record an identity of its own."""
    identity = KINDS[kind].identity
    if kind == "sessions":
        one["date"] = str(_FIRST_DAY + timedelta(number))
    elif kind in ("lessons", "squawks"):
        one[identity] = str(number + 100)
    elif kind in ("parts", "notices"):
        one[identity] = f"X-{number + 100}"
    elif kind not in ("signoffs", "weighings", "costs"):
        one[identity] = f"planted-{kind}-{number}"
    if kind == "sessions":
        for field_name in ("lessons", "squawks"):
            for at, inner in enumerate(one.get(field_name, ())):
                if isinstance(inner, dict):
                    inner[field_name[:-1]] = str(5000 + number * 10 + at)
    if kind == "squawks" and "closed" not in one:
        one["closed"] = {"date": "2021-05-05", "by": "ada"}


def _plant_categories(made: Flock, records: dict[str, list[dict[str, Any]]]) -> None:
    """Plant what is not marked, and that some editions hold and others do not."""
    letter = made.word("Disposition.correspondence", lambda _, held: held.correspondence)
    serial = made.word("Equipment.serial", lambda _, held: held.serial_numbers)
    spoken = made.word("a serial number in a text", lambda _, held: held.serial_numbers)
    paid = made.word("Cost.what", lambda _, held: held.costs)
    still = made.word("Squawk.title, not closed", lambda _, held: held.open_squawks)
    records["equipment"].append({"equipment": "beacon", "title": "Beacon", "serial": serial})
    records["equipment"].append({"equipment": "strobe", "title": "Strobe", "serial": spoken})
    records["squawks"] += [
        {"squawk": "900", "title": f"Open: {still}", "text": f"It is about {spoken}, and so on."},
        {
            "squawk": "901",
            "title": "Settled",
            "disposition": {
                "decision": "rework",
                "date": "2021-05-05",
                "by": "ada",
                "correspondence": f"Dear builder, {letter}.",
            },
            "closed": {"date": "2021-05-06", "by": "ada", "notes": f"Number {spoken} it was."},
        },
    ]
    records["costs"].append({"what": f"Kit {paid}", "cost": "48 EUR", "date": "2021-05-05"})


def _plant_names(made: Flock, records: dict[str, list[dict[str, Any]]]) -> None:
    """Plant names of people, in what they are called and in texts."""

    def by_name(_: str, held: Held) -> bool:
        return held.people == "names"

    given, family = made.word("Person.name", by_name), made.word("Person.name, last", by_name)
    slug = made.slug = made.word("Person.person", by_name)
    hidden = made.word("Person.name, private", in_private)
    records["people"] += [
        {"person": slug, "name": f"{given.capitalize()} {family.capitalize()}", "role": "helper"},
        {"person": f"{hidden}s", "name": f"{hidden.capitalize()} Smith", "private": "yes"},
    ]
    said = f"With {given.capitalize()}; {family.upper()}'s hand, {slug} said, {hidden} too."
    records["sessions"].append(
        {
            "date": "2023-02-01",
            "title": f"{given.capitalize()} bucks",
            "step": "fin/skeleton",
            "who": [slug, f"{hidden}s", "ada"],
            "hours": "2h",
            "notes": f"{said} [A link](person:{slug}), [another](session:2023-02-02-{given}).",
            "photos": [{"file": "shared.jpg", "caption": said, "who": slug}],
            "amendments": [{"date": "2023-02-03", "field": "who", "was": f"{slug}, {hidden}s"}],
        }
    )
    records["sessions"].append(
        {"date": "2023-02-02", "title": given, "step": "fin/skeleton", "notes": "Alone."}
    )
    _plant_short_names(made, records, slug)


def _plant_short_names(made: Flock, records: dict[str, list[dict[str, Any]]], slug: str) -> None:
    """Call something of every kind after somebody, and cite it in every way there is."""
    name = f"{slug}-{{}}".format
    for kind, field_name in (
        *(("tools", "tool"), ("operations", "operation"), ("lots", "lot")),
        *(("equipment", "equipment"), ("tasks", "task"), ("recurring", "recurring")),
    ):
        one = {**record(KINDS[kind].model), field_name: name(kind)}
        records[kind].append(
            {**one, "steps": [name("wing/") + name("jig")]} if "group" in one else one
        )
    jig = {
        "step": name("jig"),
        "title": "Jig",
        "parts": "P-02",
        "tools": name("tools"),
        "operations": [name("operations"), "drill"],
    }
    records["sections"].append({"section": name("wing"), "title": "Wing", "steps": [jig]})
    records["parts"].append(
        {"part": "P-02", "name": "Spar", "not needed": {name("operations"): "It was long done."}}
    )
    cited = ", ".join(
        f"[this]({scheme}:{name(to)})"
        for scheme, to in (("section", "wing"), ("operation", "operations"), ("lot", "lots"))
    )
    records["sessions"].append(
        {
            "date": "2023-02-04",
            "step": f"{name('wing')}/{name('jig')}",
            "operation": name("operations"),
            "tools": name("tools"),
            "lots": name("lots"),
            "hours": "1h",
            "notes": f"{cited}, [that](step:{name('wing')}/{name('jig')}), {name('wing')}.",
        }
    )
    made.files["wing.md"] = f"# Wing\n\n[[hours {name('wing')}]]\n".encode()


def _plant_files(made: Flock) -> None:
    """Plant names of pictures, what their cameras wrote, and hand-written pages."""
    name = made.word("file name", lambda _, held: held.original_photos)
    own = made.word("file name of a private photo", in_private)
    camera = made.word("metadata", nowhere, exported=False)
    assets = made.word("assets/private", in_private, exported=False)
    made.files |= {
        "photos/shared.jpg": picture(camera, 1),
        f"photos/2023/{name}.jpg": picture(camera, 2),
        f"photos/2023/{own}.jpg": picture(camera, 3),
        f"assets/private/{assets}.txt": assets.encode(),
        "sessions/with-photos.yml": _yaml(
            {
                "date": "2023-03-01",
                "step": "fin/skeleton",
                "hours": "1h",
                "notes": f"[Seen](photo:2023/{name}.jpg), [unseen](photo:2023/{own}.jpg).",
                "photos": [
                    {"file": f"2023/{name}.jpg", "caption": "To be seen"},
                    {"file": f"2023/{own}.jpg", "caption": "Not to be seen", "private": "yes"},
                ],
            }
        ),
    }
    for head, held in {
        "private: yes": in_private,
        "editions: owner": lambda name, _: name in ("owner", "full"),
        "editions: [inspector, public]": lambda name, _: name != "owner",
        "private: perhaps": lambda name, _: name == "full",
        "title: For all": everywhere,
    }.items():
        word = made.word(f"page, {head}", held, exported=False)
        made.files[f"{word}.md"] = f"---\n{head}\n---\n# Page {word}\n\nText {word}.\n".encode()


def picture(secret: str, number: int) -> bytes:
    """A picture as a camera writes it, with words of its own in it."""
    image = Image.new("RGB", (64, 48), (number * 40 % 256, 90, 120))
    exif = image.getexif()
    exif[ExifTags.Base.ImageDescription] = secret
    exif[ExifTags.Base.Artist] = secret
    written = io.BytesIO()
    image.save(written, "JPEG", exif=exif, comment=secret)
    return written.getvalue()


def _base(made: Flock) -> dict[str, str]:
    """What is there for the planted records to cite, with a word that every edition holds."""
    shown = made.word("Session.notes, not private", everywhere)
    workshop = made.word("BookFile.workshop", lambda _, held: held.addresses)
    serial = made.word("Aircraft.serial", lambda _, held: held.serial_numbers)
    book = {
        "title": "The Fencroft book",
        "aircraft": {"model": "Fencroft F-1", "serial": serial},
        "builder": "ada",
        "time zone": "Europe/Copenhagen",
        "address": "https://book.example/plane/",
        "workshop": workshop,
        "show costs": "yes",
        "about": f"Built at {workshop}, number {serial}.",
        "editions": {
            "public": {"costs": "no"},
            "inspector": {"people": "roles", "costs": "no"},
            "owner": {"private notes": "yes", "original photos": "yes"},
        },
    }
    for way in paths(KINDS["book"].model):
        plan, of = way[-1], owner(KINDS["book"].model, way)
        takes_words = plan.is_text and not plan.refers and plan.name != "about"
        if takes_words and not plan.required and not plan.kept_with:
            where = f"{of.__name__}.{plan.attribute} in BookFile"
            holder = book
            for step in way[:-1]:
                holder = holder.setdefault(step.name, {})  # type: ignore[assignment, arg-type]
            holder[plan.name] = made.word(where, in_private)
            holder.setdefault("private", []).append(plan.name)  # type: ignore[attr-defined]
    balance: dict[str, Any] = {
        "datum": "The firewall",
        "stations": [
            {"station": "seats", "title": "Seats", "arm": "60 in"},
            {"station": f"{made.slug}-shelf", "title": "Shelf", "arm": "90 in"},
        ],
        "notes": made.word("Balance.notes", in_private),
        "private": ["notes"],
        "cases": [{"case": "Alone", "load": {"seats": "80 kg", f"{made.slug}-shelf": "1 kg"}}],
    }
    balance["cases"].append(
        {
            "case": made.word("private Case.case", in_private),
            "load": {"seats": "90 kg"},
            "private": "yes",
        }
    )
    return {
        "book.yml": _yaml(book).decode(),
        "balance.yml": _yaml(balance).decode(),
        "people/base.yml": "- person: ada\n  name: Ada Fen\n  role: builder\n",
        "operations/base.yml": "- operation: drill\n  title: Drill\n",
        "tools/base.yml": "- tool: gun\n  title: Rivet gun\n",
        "lots/base.yml": "- lot: glue\n  title: Glue\n",
        "equipment/base.yml": "- equipment: radio\n  title: Radio\n",
        "notices/base.yml": "- notice: N-1\n  title: Look at it\n  issued: 2021-01-01\n",
        "lessons/base.yml": "- lesson: 1\n  title: Look twice\n",
        "squawks/base.yml": (
            "- squawk: 1\n  title: A dent\n  closed: {date: 2021-05-05, by: ada}\n"
        ),
        "parts/base.yml": "- part: P-01\n  name: Rib\n  quantity: 2\n  label: P-01-{n:02}\n",
        "sections/base.yml": (
            "section: fin\ntitle: Fin\nsteps:\n"
            "  - step: skeleton\n    title: Skeleton\n    parts: P-01\n"
            "  - step: close\n    title: Close\n    parts: P-01\n"
        ),
        "sessions/base.yml": (
            f"date: 2023-01-01\nstep: fin/skeleton\nhours: 2h\nnotes: Seen by all, {shown}.\n"
        ),
    }


def _yaml(data: Any) -> bytes:
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, default_style='"').encode()


def write(made: Flock, folder: Path) -> Path:
    """Write the book into a folder of records, and return it."""
    content = folder / "content"
    for name, data in made.files.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return content


# What an edition is written as.

Written = Iterator[tuple[str, bytes]]
"""Names of files, and what is in them: each is searched, the names too."""


def site(content: Path, name: str, to: Path) -> Written:
    """The site, with its search index, feed and site map."""
    settings = SETTINGS.replace("  - buildbook\n", f"  - buildbook:\n      edition: {name}\n")
    config = content.parent / f"{name}.yml"
    config.write_text(settings, encoding="utf-8")
    build(config, to)
    assert (to / "sitemap.xml").is_file()
    yield from files_in(to)


def tables(content: Path, name: str, to: Path) -> Written:
    """The exports: CSV, JSON and SQLite."""
    book = edition(read(content).book, name)
    export(book, derive(book), to)
    yield from files_in(to)


def printed(content: Path, name: str, to: Path) -> Written:
    """The PDF: what it shows, its structure and metadata, and the pictures in it."""
    book = edition(read(content).book, name)
    cache = content.parent / "cache"
    pictures, problems = prepared(book, cache)
    assert not problems
    to.mkdir()
    context = Context(book, derive(book))
    for volume in set_book(context, pictures, cache / "pictures", to):
        yield from pdf_parts(volume.file)


def pdf_parts(file: Path) -> Written:
    """Yield the text of a PDF, and all its objects with nothing left packed."""
    text = subprocess.run(["pdftotext", file, "-"], capture_output=True, check=True).stdout
    assert len(text) > 500
    yield f"text of {file.name}", text
    options = ("--qdf", "--object-streams=disable", "--stream-data=uncompress")
    # 3 says that it warns, of a thing it mended: the word is in the output all the same.
    unpacked = subprocess.run(["qpdf", *options, file, "-"], capture_output=True, check=True)
    yield file.name, unpacked.stdout


def archived(content: Path, name: str, to: Path) -> Written:
    """The archive, as a ZIP file, with what is beside it and all that is in it."""
    book = edition(read(content).book, name)
    config = content.parent / f"{name}-archive.yml"
    config.write_text(SETTINGS, encoding="utf-8")
    to.mkdir()
    wish = Wish(frozenset(("archive",)), packed=True)
    context = Context(book, derive(book))
    hand_over(context, wish, to, lambda into: build_whole(config, into, name), content.parent / "c")
    packed = next((to / "archive").iterdir())
    yield packed.name, packed.read_bytes()
    with zipfile.ZipFile(packed) as found:
        found.extractall(to / "unpacked")
    for path, data in files_in(to / "unpacked"):
        yield path, data
        if path.endswith(".pdf"):
            yield from pdf_parts(to / "unpacked" / path)
    yield from files_in(to)


FORMATS: dict[str, Callable[[Path, str, Path], Written]] = {
    "site": site,
    "exports": tables,
    "pdf": printed,
    "archive": archived,
}
"""Every format: given the folder of records, an edition and a folder to write into, a function
that yields what is written. Whatever is packed is yielded unpacked, metadata and names too."""


def files_in(folder: Path) -> Written:
    """Yield every file of a folder, unpacked where it is packed."""
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            data = path.read_bytes()
            packed = path.suffix == ".gz"
            yield path.relative_to(folder).as_posix(), gzip.decompress(data) if packed else data


def found_in(written: Written) -> dict[str, str]:
    """Find planted words: each with the first file it is in."""
    found: dict[str, str] = {}
    for name, data in written:
        for word in {*WORD.findall(data), *WORD.findall(name.encode())}:
            found.setdefault(word.decode().lower(), name)
    return found


def leaks(made: Flock, found: Mapping[str, str], name: str, held: Held) -> dict[str, str]:
    """List what was found and is not for an edition: where it was planted, and where it was."""
    allowed = made.allowed(name, held)
    return {made.canaries[word].where: file for word, file in found.items() if word not in allowed}
