"""The site's own words in other languages: nothing missing, nothing missed.

Dates and numbers are held against the Unicode consortium's data on locales (CLDR), through Babel's
own functions for whole dates and numbers, which the program does not call.
"""

import gettext
import html
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import get_args

import pytest
from babel import Locale
from babel.dates import format_date
from babel.messages.catalog import Message
from babel.numbers import format_currency, format_decimal, format_percent
from babel.units import format_unit
from parsed import article
from sites import BASE, FOUR_LINES, ROOT, SETTINGS, Site, SmallSite, build

from buildbook.languages.gather import catalogue_of, compiled, gather, read
from buildbook.pages import words
from buildbook.pages.formwords import WORDS, form_words
from buildbook.pages.words import ENGLISH, FOLDER, drawn, say, say_n, speaking
from buildbook.records.bookfile import Language, language_of
from buildbook.records.cost import CostKind
from buildbook.records.part import Hand, Side
from buildbook.records.person import Role
from buildbook.records.sayings import Saying, counted
from buildbook.records.squawk import Decision
from buildbook.reference import authorities

OTHERS = [language for language in get_args(Language) if language != ENGLISH]
ASSETS = ROOT / "plugins" / "mkdocs_buildbook" / "assets"


def choices_of(kinds: object) -> tuple[str, ...]:
    return get_args(get_args(kinds)[0])


def texts(of: str | Iterable[str]) -> list[str]:
    return [of] if isinstance(of, str) else list(of)


def messages(language: str) -> Iterator[Message]:
    return (message for message in read(language) if message.id)


# The catalogues.


def test_there_is_a_language_to_test() -> None:
    assert "de" in OTHERS


@pytest.mark.parametrize("language", OTHERS)
def test_every_message_is_said(language: str) -> None:
    """What the sources say now, all of it and no more: `python3 run.py words` brings it in."""
    wanted = {str(texts(message.id)) for message in gather() if message.id}
    there = {str(texts(message.id)) for message in messages(language)}
    assert wanted - there == set()
    assert there - wanted == set()
    number = read(language).num_plurals
    for message in messages(language):
        said = texts(message.string)
        assert all(text.strip() for text in said), message.id
        assert len(said) == (number if isinstance(message.id, tuple) else 1), message.id
        assert "fuzzy" not in message.flags, message.id


PLACE = re.compile(r"%\((\w+)\)s")
TAG = re.compile(r"<[^>]*>")


@pytest.mark.parametrize("language", OTHERS)
def test_values_and_tags_are_those_of_the_english(language: str) -> None:
    for message in messages(language):
        english = texts(message.id)
        places = {*PLACE.findall(english[0]), *PLACE.findall(english[-1])}
        for text in texts(message.string):
            assert set(PLACE.findall(text)) <= places, message.id
            assert set(PLACE.findall(text)) >= set(PLACE.findall(english[0])), message.id
            assert sorted(TAG.findall(text)) == sorted(TAG.findall(english[-1])), message.id
            for edge in (0, -1):
                assert text[edge].isspace() == english[0][edge].isspace(), message.id
            if places:
                assert text % dict.fromkeys(places, "1")
                assert text.count("%%") == english[-1].count("%%"), message.id


@pytest.mark.parametrize("language", OTHERS)
def test_the_compiled_catalogue_is_that_of_the_text(language: str) -> None:
    made = catalogue_of(language).with_suffix(".mo")
    known = [
        {said: text for said, text in gettext.GNUTranslations(file)._catalog.items() if said}  # type: ignore[attr-defined]
        for file in (BytesIO(made.read_bytes()), BytesIO(compiled(read(language))))
    ]
    assert known[0] == known[1]
    assert made == FOLDER / language / "LC_MESSAGES" / "buildbook.mo"


@pytest.mark.parametrize("language", OTHERS)
def test_plural_forms_are_those_of_the_locale(language: str) -> None:
    """CLDR's plural rules against gettext's, number by number."""
    rule = Locale.parse(language).plural_form
    chosen: dict[int, set[str]] = {}
    for n in range(200):
        chosen.setdefault(words._catalogue(language).plural(n), set()).add(rule(n))  # type: ignore[attr-defined]
    assert all(len(forms) == 1 for forms in chosen.values())


def test_scripts_say_what_the_page_gives_them() -> None:
    """The words of the scripts are in the sources, so that the catalogues have them."""
    known = {text for message in messages("de") for text in texts(message.id)}
    said = set()
    for script in ASSETS.glob("*.js"):
        said |= set(re.findall(r'\bsaid\("([^"]+)"\)', script.read_text(encoding="utf-8")))
    assert "Previous" in said
    assert said <= known
    head = (ROOT / "plugins" / "mkdocs_buildbook" / "head.py").read_text(encoding="utf-8")
    assert all(f'mark("{text}")' in head for text in said)


def test_the_forms_scripts_say_what_the_form_gives_them() -> None:
    """Every word of the scripts is in the list they get, and no other."""
    said = set()
    for script in (ASSETS / "form").glob("*.js"):
        text = script.read_text(encoding="utf-8")
        said |= set(re.findall(r'\bform\.say\("((?:[^"\\]|\\.)+)"', text))
    assert said == set(WORDS)
    assert form_words() == {}
    with speaking("de"):
        assert form_words()["Remove"] == "Entfernen"


# Saying.


def test_english_is_what_is_written() -> None:
    assert say("%(n)s of %(all)s", n=1, all=2) == "1 of 2"
    assert say_n("%(n)s step", "%(n)s steps", 1) == "1 step"
    assert say_n("%(n)s step", "%(n)s steps", 0) == "0 steps"


def test_a_language_holds_inside_its_block_only() -> None:
    with speaking("de"):
        assert say("Parts") == "Teile"
        with speaking("en"):
            assert say("Parts") == "Parts"
        assert say("Parts") == "Teile"
    assert say("Parts") == "Parts"


def test_what_nobody_translated_is_said_in_english() -> None:
    with speaking("de"):
        assert say("Nobody ever wrote %(this)s", this="that") == "Nobody ever wrote that"
        assert say("") == ""


def test_a_saying_is_english_and_can_be_said_again() -> None:
    low = Saying("at least %(low)s", low="3 °C")
    said = Saying("the air is %(value)s, and %(limit)s is asked for", value="1 °C", limit=low)
    assert said == "the air is 1 °C, and at least 3 °C is asked for"
    with speaking("de"):
        assert say(said) == "die Luft hat 1 °C, verlangt ist mindestens 3 °C"


@pytest.mark.parametrize(("n", "there"), [(1, "1 piece of FN-01"), (4, "4 pieces of FN-01")])
def test_a_counted_saying_chooses_by_its_number(n: int, there: str) -> None:
    said = counted(
        "%(n)s piece of %(part)s to do: %(title)s",
        "%(n)s pieces of %(part)s to do: %(title)s",
        n=n,
        part="FN-01",
        title="Drill",
    )
    assert said.startswith(there)
    with speaking("de"):
        assert say(said) == f"{n} Stück von FN-01 noch offen: Drill"


def test_what_a_builder_wrote_stays_text_in_a_template() -> None:
    with speaking("de"):
        assert drawn("Plans: %(plans)s.", plans="<b>&") == "Pläne: &lt;b&gt;&amp;."


# Dates and numbers.

DAYS = [date(2025, 3, 8), date(2024, 2, 29), date(2025, 11, 30), date(1999, 5, 1)]


@pytest.mark.parametrize("day", DAYS)
def test_german_dates(day: date) -> None:
    with speaking("de"):
        assert words.show_date(day) == format_date(day, "long", locale="de")
        assert words.weekday(day) == format_date(day, "EEEE", locale="de")
        assert words.show_month(f"{day:%Y-%m}") == format_date(day, "MMMM y", locale="de")
        assert words.compact_date(day) == format_date(day, "medium", locale="de")
        assert words.month_name(day.month) == Locale("de").months["stand-alone"]["wide"][day.month]
        assert words.show_date(None) == ""


@pytest.mark.parametrize("value", [0.032, 12.5, 1234.5, 25, 0.1])
def test_german_numbers(value: float) -> None:
    with speaking("de"):
        assert words.number(f"{value:,.3f}") == format_decimal(value, "#,##0.000", locale="de")
        assert words.show_number(0.032) == "0,032"
        share = format_percent(0.255, "#,##0.0\xa0%", locale="de").replace("\xa0", " ")
        assert words.number("25.5 %") == share


def test_german_money() -> None:
    """The amount as CLDR has it; the currency stays the code in which it was paid."""
    amount = Decimal("12345.60")
    with speaking("de"):
        shown = words.show_money(amount, "EUR")
        assert shown == format_currency(amount, "EUR", "#,##0.00 ¤¤", locale="de")
        assert words.show_money(Decimal(1480), "JPY") == "1.480 JPY"


@pytest.mark.parametrize(
    ("unit", "name"),
    [
        ("in", "length-inch"),
        ("mm", "length-millimeter"),
        ("kg", "mass-kilogram"),
        ("lb", "mass-pound"),
    ],
)
def test_units_have_the_same_signs_in_german(unit: str, name: str) -> None:
    with speaking("de"):
        assert f"{words.show_number(2.5)} {unit}" == format_unit(2.5, name, "short", locale="de")


def test_hours_are_written_alike() -> None:
    with speaking("de"):
        assert words.show_minutes(150) == "2 h 30"
        assert words.show_minutes(60 * 1234) == "1.234 h"


def test_numbers_in_a_row_are_parted_by_no_decimal_sign() -> None:
    assert words.separator() == ", "
    with speaking("de"):
        assert words.separator() == "; "


# A book that says its language.


def german(files: dict[str, str | bytes]) -> dict[str, str | bytes]:
    return {**files, "book.yml": f"{BOOK}language: de\n"}


BOOK = """\
title: Das Fencroft-Buch
aircraft:
  model: Fencroft F-1
builder: ada
time zone: Europe/Copenhagen
"""

MEASURED = """\
date: 2025-03-08
step: fin/skeleton
hours: 2h30
notes: Holm gespannt.
readings:
  - reading: Randabstand
    values: 0.27 in, 0.24 in
    min: 0.25 in
    squawk: 1
squawks:
  - squawk: 1
    title: Zwei Niete zu nah am Rand
    found: 2025-03-08
    step: fin/skeleton
    text: Am Stringer.
"""


@pytest.fixture(scope="module")
def german_site(small_site: SmallSite) -> Site:
    return small_site(german({**BASE, "sessions/2025-03-08.yml": MEASURED}))


def test_the_pages_say_their_language(german_site: Site) -> None:
    for path, page in german_site.pages():
        assert page.one("html").attributes["lang"] == "de", path


@pytest.mark.parametrize(
    ("path", "there"),
    [
        ("index", ("2 h 30 nach der Uhr", "Neueste Sitzungen", "8. März 2025")),
        ("sections/fin", ("0 von 2 Schritten fertig", "1 angefangen", "Schritte")),
        ("sections/fin/skeleton", ("Angefangen.", "Was getan wurde", "8. März 2025")),
        ("sessions/2025-03-08", ("Samstag, 8. März 2025", "Messwerte", "Beanstandungen")),
        ("parts/FN-01", ("Schritte",)),
        ("readings/randabstand", ("mindestens 0,25 in", "außerhalb", "0,27; 0,24 in")),
        ("squawks/1", ("Beanstandung 1", "8. März 2025")),
    ],
)
def test_pages_speak_german(german_site: Site, path: str, there: tuple[str, ...]) -> None:
    text = article(german_site.page(path)).text
    for words_there in there:
        assert words_there in text


def test_search_finds_german_words(german_site: Site) -> None:
    index = (german_site.folder / "search" / "search_index.json").read_text(encoding="utf-8")
    assert '"lang":["de"]' in index
    assert "Alle Sitzungen nach Monaten" in index
    assert "All sessions by month" not in index


def test_english_is_unchanged(small_site: SmallSite) -> None:
    site = small_site({**BASE, "sessions/2025-03-08.yml": FOUR_LINES})
    page = site.page("sessions/2025-03-08")
    assert page.one("html").attributes["lang"] == "en"
    assert "Saturday, 8 March 2025" in article(page).text
    assert "bb-words" not in (site.folder / "index.html").read_text(encoding="utf-8")


def test_the_settings_come_before_the_book(small_site: SmallSite) -> None:
    settings = SETTINGS.replace("  font: false\n", "  font: false\n  language: fr\n")
    site = small_site(german(BASE), settings=settings)
    assert site.page("index").one("html").attributes["lang"] == "fr"
    assert "Sitzungen" in site.page("index").text


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("language: de\n", "de"),
        ("language: en\n", "en"),
        ("language: xx\n", "en"),
        ("title: x\n", "en"),
        ("- a list\n", "en"),
        ("language: [de]\n", "en"),
        ("language: {\n", "en"),
    ],
)
def test_the_language_is_known_before_the_book_is_read(
    tmp_path: Path, text: str, found: str
) -> None:
    (tmp_path / "book.yml").write_text(text, encoding="utf-8")
    assert language_of(tmp_path) == found


def test_a_book_that_is_not_there_speaks_english(tmp_path: Path) -> None:
    assert language_of(tmp_path) == "en"


# Words that were missed: every message is marked, and what is left must be the builder's.


class Marking(gettext.NullTranslations):
    """A language that is English between marks; the values in a message stand outside of them."""

    def gettext(self, message: str) -> str:
        return f"⟦{PLACE.sub(lambda place: f'⟧{place[0]}⟦', message)}⟧"

    def ngettext(self, one: str, many: str, n: int) -> str:
        return self.gettext(one if n == 1 else many)


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Site]]:
    """Build the good book of the checks' tests, every kind of record in it, all messages marked."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words, "_catalogue", lambda _: Marking())

        def make(options: str) -> Site:
            folder = tmp_path_factory.mktemp("marked")
            for file in RICH.rglob("*"):
                if file.is_file():
                    copy = folder / "content" / file.relative_to(RICH)
                    copy.parent.mkdir(parents=True, exist_ok=True)
                    copy.write_bytes(file.read_bytes())
            book = folder / "content" / "book.yml"
            book.write_text(book.read_text(encoding="utf-8") + "language: de\n", encoding="utf-8")
            settings = SETTINGS.replace("  - buildbook\n", f"  - buildbook:\n      {options}\n")
            (folder / "mkdocs.yml").write_text(settings, encoding="utf-8")
            return build(folder / "mkdocs.yml", folder / "site")

        yield make


RICH = ROOT / "tests" / "records" / "base"
CALENDAR = {
    part.casefold().strip(".")
    for names in (Locale("de").months, Locale("de").days)
    for context in names.values()
    for width in context.values()
    for part in width.values()
}
NAMES_OF_OTHERS = {"buildbook", "mkdocs", "material", "permanent", "link", "eur", "usd", "min"}
"""Programs that are named, Markdown's own mark beside a heading, and signs of units."""


CHOICES = "|".join(
    choice for kinds in (Role, Decision, Side, CostKind, Hand) for choice in choices_of(kinds)
)
"""What a builder chooses from is said in the language of the book."""


def letters(text: str) -> Iterator[str]:
    return (word.casefold() for word in re.findall(r"[^\W\d_]{3,}", html.unescape(text)))


def builders(folder: Path) -> set[str]:
    """Collect every word a builder wrote; what stands before a colon is the program's."""
    found = [str(file.relative_to(folder)) for file in folder.rglob("*")]
    for file in folder.rglob("*"):
        if file.suffix in (".yml", ".md"):
            text = file.read_text(encoding="utf-8")
            chosen = re.sub(rf"^([\s-]*[a-z ]+:\s)(?:{CHOICES})$", r"\1", text, flags=re.MULTILINE)
            found.append(re.sub(r"^[\s-]*[a-z ]+:(?=\s)", "", chosen, flags=re.MULTILINE))
    found += [source.words for rule in authorities.RULES for source in rule.sources]
    return set(letters(" ".join(found)))


def outside(text: str) -> str:
    """Leave out what is between marks, however deep; none reaches beyond a paragraph or a cell."""
    kept, depth = [], 0
    for letter in text:
        depth = 0 if letter == "\1" else depth + (letter == "⟦") - (letter == "⟧")
        if not depth and letter != "⟧":
            kept.append(letter)
        elif letter == "⟦" and depth == 1:
            kept.append("\0")
    return "".join(kept)


def unmarked(page: str, known: set[str]) -> Iterator[str]:
    """Yield what stands in a page and is neither ours nor the builder's, word by word."""
    body = page[page.index("<article") : page.index("</article>")]
    body += "".join(re.findall(r'<div class="bb-block">.*?</footer>', page, re.DOTALL))
    body = re.sub(r"<(script|style)\b.*?</\1>", "", body, flags=re.DOTALL)
    shown = re.findall(r'\s(?:aria-label|title|alt|placeholder)="([^"]*)"', body)
    body = re.sub(r"</(?:p|li|d[dt]|t[dhr]|h\d|caption|figcaption|div|svg|text)>", "\1", body)
    for text in (re.sub(r"<[^>]+>", "\0", body), *shown):
        for word in letters(outside(html.unescape(text))):
            if word not in known | CALENDAR | NAMES_OF_OTHERS:
                yield word


SYNTAX = ("reference", "404", "write-a-session")
"""Pages of names of documents and of what is typed at the command line; the theme's own page; and
one whose fields are named by the schema."""


@pytest.mark.parametrize("options", ["form: true", "edition: inspector", "edition: owner"])
def test_no_word_of_ours_is_missed(marked: Callable[[str], Site], options: str) -> None:
    site = marked(options)
    known = builders(site.folder.parent / "content")
    missed = {
        (path, word)
        for file in sorted(site.folder.rglob("*.html"))
        if (path := file.relative_to(site.folder).with_suffix("").as_posix()) not in SYNTAX
        for word in unmarked(file.read_text(encoding="utf-8"), known)
    }
    assert missed == set()


def test_the_marks_find_what_is_missed() -> None:
    """The check itself, on a page with words of every sort."""
    page = (
        '<article><p aria-label="Not marked">⟦Steps: ⟦two⟧ of⟧ a rib</p>'
        "<p>8. März 2025, 2 h 30</p><b>⟦Parts⟧</b> Forgotten words</article>"
    )
    assert list(unmarked(page, {"rib"})) == ["forgotten", "words", "not", "marked"]
