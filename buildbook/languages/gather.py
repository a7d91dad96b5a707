"""Gather the site's own words into the catalogues: `python3 run.py words`, after words changed.

What is new waits in `LANGUAGE/LC_MESSAGES/buildbook.po` to be said in that language; the file
beside it, `buildbook.mo`, is what a site is made with, and is written from it.
"""

import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import get_args

from babel import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import DEFAULT_KEYWORDS, extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from buildbook.handover.cutting import kind_of
from buildbook.handover.editions import in_words
from buildbook.ledger.forecast import NoForecast
from buildbook.ledger.notices import NoticeState
from buildbook.ledger.pace import NoCurve
from buildbook.ledger.progress import StepState
from buildbook.ledger.routes import CellState
from buildbook.pages.reference import INTROS, paragraphs
from buildbook.pages.words import ENGLISH, FOLDER
from buildbook.records.bookfile import Language
from buildbook.records.limits import Verdict
from buildbook.records.part import Side
from buildbook.records.person import Role
from buildbook.records.problems import Severity
from buildbook.records.record import Record
from buildbook.records.squawk import Decision
from buildbook.reference import (
    authorities,
    balance,
    bends,
    dewpoint,
    rivets,
    sheetmetal,
    shelflife,
    spacing,
    tempers,
    torque,
)
from buildbook.reference.answers import STANDING, UNVERIFIED
from buildbook.reference.hazards import FIRST, HAZARDS
from buildbook.reference.rivetcodes import ALLOYS, COUNTERSUNK, UNIVERSAL
from buildbook.reference.rules import RULES
from buildbook.reference.shares import MEANS
from buildbook.reference.source import Source, Sure

SOURCES = FOLDER.parent
TEMPLATES = SOURCES.parent / "plugins" / "mkdocs_buildbook"
"""In the repository; an installed program has no need to gather."""
_CALLS = {
    **DEFAULT_KEYWORDS,
    "say": None,
    "mark": None,
    "Saying": None,
    "counted": (1, 2),
    "say_n": (1, 2),
}
_WIDTH = 100


def catalogue_of(language: str) -> Path:
    """Say where a language's catalogue is."""
    return FOLDER / language / "LC_MESSAGES" / "buildbook.po"


def read(language: str) -> Catalog:
    """Read a language's catalogue; an empty one where there is none yet."""
    file = catalogue_of(language)
    if not file.is_file():
        return Catalog(locale=language, domain="buildbook", fuzzy=False)
    with file.open("rb") as opened:
        return read_po(opened, locale=language, domain="buildbook")


def gather() -> Catalog:
    """Collect every message of the sources, the templates and the tables that pages show."""
    found = Catalog(domain="buildbook", project="buildbook")
    for folder, methods in (
        (SOURCES, [("**.py", "python")]),
        (TEMPLATES, [("**.py", "python"), ("templates/**.html", "jinja2.ext:babel_extract")]),
    ):
        rows = extract_from_dir(
            folder,
            methods,
            {"templates/**.html": {"trimmed": "false", "silent": "false"}},
            keywords=_CALLS,
            strip_comment_tags=True,
        )
        for name, _, message, _, _ in rows:
            if message and not (isinstance(message, tuple) and not message[0]):
                one = message[0] if isinstance(message, tuple) and not message[1:2][0] else message
                found.add(one, locations=[(f"{folder.name}/{name}", 0)])
    for text in of_tables():
        found.add(text, locations=[("tables", 0)])
        found[text].flags.discard("python-format")  # a per cent sign of a table is one
    return found


def of_tables() -> Iterator[str]:
    """Yield what pages show of states, choices and published tables, which know of no language."""
    for states in (
        Verdict, CellState, StepState, NoticeState, NoCurve, NoForecast, Severity, Sure, torque.Nut
    ):  # fmt: skip
        yield from (state.value for state in states)
    yield from ("open", "decided", "closed", "kit", "lot", "tool", "service", "other")
    for choices in (Role, Decision, Side):
        yield from get_args(get_args(choices)[0])
    yield from in_words(dict.fromkeys(("private field", "squawk not closed", "piece entry"), 1))
    yield from in_words({kind_of(one): 1 for one in _records(Record) if one.can_be_private})
    yield from ("dew point", "frost point", STANDING, UNVERIFIED, FIRST, *MEANS)
    for hazard in HAZARDS.values():
        yield from (hazard.title, *hazard.sentences)
    for cautions in (
        balance.CAUTIONS, bends.CAUTIONS, dewpoint.CAUTIONS, rivets.CAUTIONS, torque.CAUTIONS,
        sheetmetal.BLEND_CAUTIONS, sheetmetal.DEBURR_CAUTIONS, sheetmetal.SETBACK_CAUTIONS,
        shelflife.CAUTIONS, spacing.BOLT_CAUTIONS, tempers.CAUTIONS,
    ):  # fmt: skip
        yield from cautions
    for anchor in INTROS:
        yield from paragraphs(anchor)
    for metal, stamp in ALLOYS.values():
        yield from (metal, stamp)
    yield from (UNIVERSAL.name, COUNTERSUNK.name)
    yield from (temper.words for temper in tempers.TEMPERS.values())
    yield from (tempers.after_forming(alloy).words for alloy in tempers.AFTER_FORMING)
    for code in shelflife.CODES_BY_LETTER.values():
        yield shelflife.code_facts(code)[1].words
    yield from (rule.words for rule in RULES.values())
    yield from sorted({source.note for source in _sources() if source.note})
    for rule in (authorities.UNITED_STATES, *authorities.RULES):
        yield from (rule.place, rule.words)


def _records(of: type[Record]) -> Iterator[type[Record]]:
    for one in of.__subclasses__():
        yield one
        yield from _records(one)


def _sources() -> Iterator[Source]:
    """Yield what published values rest on, as far as it has a name of its own."""
    for module in (bends, dewpoint, rivets, sheetmetal, shelflife, spacing, tempers, torque):
        for value in vars(module).values():
            for one in value if isinstance(value, tuple | list) else (value,):
                if isinstance(one, Source):
                    yield one
                elif isinstance(found := getattr(one, "source", None), Source):
                    yield found
    for hazard in HAZARDS.values():
        yield from hazard.sources


def compiled(catalogue: Catalog) -> bytes:
    """Give a catalogue as programs read it: the same bytes for the same catalogue."""
    made = BytesIO()
    write_mo(made, catalogue)
    return made.getvalue()


def update(language: str) -> int:
    """Bring a language's catalogue up to date; count what it does not say yet."""
    catalogue, file = read(language), catalogue_of(language)
    catalogue.update(gather(), no_fuzzy_matching=True, update_creation_date=False)
    catalogue.obsolete.clear()
    catalogue.header_comment = f"# The site's own words, in {Locale.parse(language).english_name}."
    catalogue.project, catalogue.version, catalogue.fuzzy = "buildbook", "", False
    catalogue.last_translator = catalogue.language_team = catalogue.msgid_bugs_address = ""
    for message in catalogue:
        message.locations = []  # they would change with every line above a message
    file.parent.mkdir(parents=True, exist_ok=True)
    written = BytesIO()
    write_po(written, catalogue, width=_WIDTH, sort_output=True, omit_header=False)
    file.write_bytes(written.getvalue())
    file.with_suffix(".mo").write_bytes(compiled(read(language)))
    return sum(bool(m.id) and not _is_said(m) for m in catalogue)


def _is_said(message: Message) -> bool:
    return not message.fuzzy and all(_texts(message.string or ""))


def _texts(string: str | tuple[str, ...] | list[str]) -> tuple[str, ...]:
    return (string,) if isinstance(string, str) else tuple(string)


def main() -> int:
    """Bring every catalogue up to date, and tell how many messages wait."""
    waiting = 0
    for language in get_args(Language):
        if language != ENGLISH:
            count = update(language)
            sys.stdout.write(f"{catalogue_of(language)}: {count} messages are not said yet\n")
            waiting += count
    return 1 if waiting else 0


if __name__ == "__main__":
    raise SystemExit(main())
