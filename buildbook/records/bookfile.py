"""The book file: what is being built, by whom, and how the book counts and shows."""

import re
from pathlib import Path
from typing import Annotated, Literal, get_args
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from pydantic import AfterValidator, Field

from buildbook.records.editions import Editions
from buildbook.records.names import Line, Looks, Prose, YesNo, bad
from buildbook.records.private import ADDRESSES, SERIAL_NUMBERS, Private
from buildbook.records.problems import did_you_mean
from buildbook.records.record import Record
from buildbook.records.references import PersonRef, PhotoRef
from buildbook.records.storage import Storage
from buildbook.records.yamlfile import read_yaml


def _zone(value: str) -> str:
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        advice = did_you_mean(value, available_timezones())
        advice = advice or "write an IANA name, as `Europe/Copenhagen`"
        raise bad("time-zone", f"`{value}` is not a time zone", advice) from None
    return value


def _currency(value: str) -> str:
    if re.fullmatch(r"[A-Z]{3}", value):
        return value
    raise bad("currency", f"`{value}` is not a currency", "write three capitals, as `EUR`")


def _address(value: str) -> str:
    example = "write it as the browser shows it, as `https://example.org/our-book/`"
    try:
        parts = urlsplit(value)
        whole = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        whole = False
    if not whole or not re.fullmatch(r"[!-~]+", value):
        raise bad("address", f"`{value}` is not the address of a site", example)
    if "@" in parts.netloc:
        said = "a user name or password in an address would be printed on every label"
        raise bad("address", said, example)
    if parts.query or parts.fragment or value.endswith(("?", "#")):
        said = f"`{value}` leads to one place of a site, not to the site"
        raise bad("address", said, "leave out `?`, `#` and what follows them")
    return value


def language_of(content: Path) -> str:
    """Say in which language a book is shown, before it is read; English where that is not clear."""
    try:
        said = read_yaml("book.yml", (content / "book.yml").read_bytes()).data
    except OSError:
        return "en"
    language = said.get("language") if isinstance(said, dict) else None
    return next((known for known in get_args(Language) if known == language), "en")


LengthUnit = Literal["in", "mm"]
TorqueUnit = Literal["in-lb", "N·m"]
TemperatureUnit = Literal["°C", "°F"]
MassUnit = Literal["kg", "lb"]
Language = Literal["en", "de"]
"""Languages there is a catalogue of the site's own words for; English is in the source."""


class Units(Record):
    """The units the book shows; what was written is always kept beside them."""

    length: LengthUnit = Field("in", description="Unit lengths are shown in.")
    torque: TorqueUnit = Field("in-lb", description="Unit torques are shown in.")
    temperature: TemperatureUnit = Field("°C", description="Unit temperatures are shown in.")
    mass: MassUnit = Field("kg", description="Unit weights are shown in.")


class Aircraft(Record):
    """The aircraft this book is about."""

    can_be_private = False

    model: Line = Field(description="Type and model, as the designer calls it.")
    designer: Line | None = Field(None, description="Who designed it.")
    serial: Annotated[Line, Private(SERIAL_NUMBERS)] | None = Field(
        None, description="Serial number of this aircraft."
    )
    name: Line | None = Field(None, description="What the builders call it.")
    registration: Line | None = Field(None, description="Registration marks, once issued.")
    authority: Line | None = Field(
        None, description="The aviation authority whose rules this build follows."
    )


class BookFile(Record):
    """One build, one book. Exactly one file, `book.yml`, at the top of the content folder."""

    can_be_private = False

    title: Line = Field(description="Title of the book.")
    aircraft: Aircraft = Field(description="What is being built.")
    builder: PersonRef = Field(
        description="Short name of the person who works when no `who` is given."
    )
    time_zone: Annotated[str, AfterValidator(_zone)] = Field(
        description="IANA time zone of the workshop, as `Europe/Copenhagen`."
    )
    language: Language = Field(
        "en",
        description="Language of the site's own words, its dates and numbers: `en` or `de`.",
    )
    currency: Annotated[str, AfterValidator(_currency), Looks("[A-Z]{3}")] = Field(
        "EUR", description="ISO 4217 code of the currency costs are shown in."
    )
    show_costs: YesNo = Field(
        False, description="Publish what things cost; nothing of it is shown otherwise."
    )
    full_size_photos: YesNo = Field(
        False,
        description=(
            "Publish every picture in full size too, without what the camera wrote beside it; "
            "boxes to blur stay blurred."
        ),
    )
    units: Units = Field(default_factory=Units, description="Units the book shows.")
    storage: Storage | None = Field(
        None, description="How long bare parts may lie before they are looked at for corrosion."
    )
    address: Annotated[str, AfterValidator(_address), Looks("https?://.+")] | None = Field(
        None, description="Where the book is published, as `https://example.org/our-book/`."
    )
    workshop: Annotated[Line, Private(ADDRESSES)] | None = Field(
        None, description="Where the work is done."
    )
    editions: Editions = Field(
        default_factory=Editions, description="What the editions for others hold of the book."
    )
    about: Prose | None = Field(None, description="A paragraph or two for the home page.")
    cover: PhotoRef | None = Field(
        None,
        description="Photo of a session for the home page; the latest photo when left out.",
    )
    disclaimer: Prose | None = Field(
        None, description="A sentence of your own, shown beside the book's standing caution."
    )
