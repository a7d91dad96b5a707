"""Text and names in records: what a name may look like, and lists that may be written short."""

import re
import unicodedata
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Discriminator,
    GetJsonSchemaHandler,
    StringConstraints,
    Tag,
    WithJsonSchema,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

T = TypeVar("T")

MAX_NAME = 60


def bad(code: str, said: str, advice: str, *, field: str = "") -> PydanticCustomError:
    """Compose a problem with a value: stable code, what is wrong, what to do.

    `field` says which field a record as a whole complains about.
    """
    context = {"said": said, "advice": advice}
    return PydanticCustomError(code, "{said}", {**context, "field": field} if field else context)


@dataclass(frozen=True, slots=True)
class Looks:
    """Tells an editor what a text looks like, as a regular expression for the whole of it."""

    pattern: str

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Add the pattern to what the type itself says."""
        return {**handler(schema), "pattern": f"^{self.pattern}$"}


@dataclass(frozen=True, slots=True)
class OrText:
    """Tells an editor that a line of text may stand in place of a record."""

    pattern: str
    """What the text looks like, as a regular expression for the whole of it."""

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Offer the text beside the record."""
        return {"anyOf": [handler(schema), {"type": "string", "pattern": f"^{self.pattern}$"}]}


@dataclass(frozen=True, slots=True)
class OrOne:
    """Tells an editor that one entry may stand in place of a list."""

    commas: bool = False
    """Several may stand on one line, with commas."""

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Offer the single entry beside the list."""
        listed = handler(schema)
        one = listed["items"]
        if self.commas:
            line: JsonSchemaValue = {"type": "string"}
            return {"anyOf": [line, listed] if one.get("type") == "string" else [line, one, listed]}
        return {"anyOf": [one, listed]}


def _one_line(value: str) -> str:
    value = " ".join(value.split())
    if not value:
        raise bad("empty", "nothing is written here", "write something, or leave the field out")
    return value


Line = Annotated[str, StringConstraints(max_length=300), AfterValidator(_one_line)]
"""One line of plain text: titles, names, captions."""

Prose = Annotated[str, StringConstraints(max_length=100_000)]
"""Several lines, with Markdown."""


# Letters that have no plain letter inside them, as `é` has `e`.
_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L"}
    | {"đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "TH"}
)


def slugify(text: str) -> str:
    """Turn a title into lower-case words joined by hyphens, in ASCII; empty if nothing is left."""
    plain = unicodedata.normalize("NFKD", text.translate(_LETTERS))
    ascii_text = plain.encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", ascii_text).strip("-")


_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_STEP = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*/[a-z0-9]+(?:-[a-z0-9]+)*")
_PART = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9])?")


def _slug(value: str) -> str:
    if _SLUG.fullmatch(value) and len(value) <= MAX_NAME:
        return value
    better = slugify(value)[:MAX_NAME].strip("-")
    if len(value) > MAX_NAME:
        raise bad("name", f"`{value}` is too long for a short name", f"{MAX_NAME} letters at most")
    raise bad(
        "name",
        f"`{value}` is not a short name",
        f"use small letters, digits and hyphens{f', as `{better}`' if better else ''}",
    )


def _step(value: str) -> str:
    value = re.sub(r"\s*/\s*", "/", value)
    if _STEP.fullmatch(value) and len(value) <= 2 * MAX_NAME:
        return value
    raise bad(
        "step-name",
        f"`{value}` does not name a step",
        "write section and step with a slash, as `fin/skeleton`",
    )


def _part(value: str) -> str:
    if _PART.fullmatch(value) and len(value) <= MAX_NAME:
        return value
    raise bad(
        "part-number",
        f"`{value}` is not a part number",
        "use letters, digits, hyphens, points and underscores, without spaces",
    )


Slug = Annotated[str, AfterValidator(_slug), Looks("[a-z0-9]+(-[a-z0-9]+)*")]
"""A short name: small letters, digits, hyphens."""
StepName = Annotated[str, AfterValidator(_step), Looks("[a-z0-9-]+ */ *[a-z0-9-]+")]
"""`section/step`."""
PartNumber = Annotated[str, AfterValidator(_part), Looks("[A-Za-z0-9._-]+")]
"""A part number as on the drawing."""


def _notice(value: str) -> str:
    if _PART.fullmatch(value) and len(value) <= MAX_NAME:
        return value
    better = re.sub(r"[^A-Za-z0-9._-]+", "-", value)[:MAX_NAME].strip("-._")
    raise bad(
        "notice-number",
        f"`{value}` cannot be cited as the number of a notice",
        f"use letters, digits, hyphens and points{f', as `{better}`' if better else ''}",
    )


NoticeNumber = Annotated[str, AfterValidator(_notice), Looks("[A-Za-z0-9._-]+")]
"""The number of a bulletin as issued, without spaces."""


def _number(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(r"0*[1-9][0-9]{0,5}", value.strip()):
        said = f"`{value}` is not a number from 1 to 999999"
        raise bad("number", said, "write a whole number, as `12`")
    return value


Number = Annotated[int, BeforeValidator(_number)]
"""A whole number from 1: lessons and squawks are numbered."""


def _count(value: Any) -> Any:
    if isinstance(value, str) and not re.fullmatch(r"[0-9]{1,6}", value.strip()):
        raise bad("count", f"`{value}` is not a count", "write a whole number, as `12`")
    return value


Count = Annotated[int, BeforeValidator(_count)]
"""A whole number, 0 or more."""


def _fold_choice(value: Any) -> Any:
    return value.strip().lower() if isinstance(value, str) else value


AnyCase = BeforeValidator(_fold_choice)
"""Marks a choice among small-letter words: `Port` is read as `port`."""


def _spread(value: Any) -> Any:
    """Let one value stand for a list of one, and commas part a list written on one line."""
    if isinstance(value, str):
        return [part for part in (p.strip() for p in value.split(",")) if part] or value
    if isinstance(value, dict):
        return [value]
    return value


Several = Annotated[tuple[T, ...], BeforeValidator(_spread), OrOne(commas=True)]
"""A list of names; a single one, or several with commas, need no list."""


def _people(value: Any) -> Any:
    """Part people the way they are written on one line: `ada, ben`, `ada & ben`, `ada and ben`."""
    if isinstance(value, str):
        value = re.sub(r"\s*[&+]\s*|\s+and\s+", ", ", value)
    return _spread(value)


SeveralPeople = Annotated[tuple[T, ...], BeforeValidator(_people), OrOne(commas=True)]
"""A list of short names of people; on one line `&`, `+` and `and` part them as commas do."""


def _single(value: Any) -> Any:
    return [value] if isinstance(value, (str, dict)) else value


Listed = Annotated[tuple[T, ...], BeforeValidator(_single), OrOne()]
"""A list; a single entry needs no list. Commas belong to the text."""


def _yes_no(value: Any) -> Any:
    if isinstance(value, str):
        folded = value.strip().casefold()
        if folded in ("yes", "true", "on", "y"):
            return True
        if folded in ("no", "false", "off", "n"):
            return False
        raise bad("yes-no", f"`{value}` is neither yes nor no", "write `yes` or `no`")
    return value


YesNo = Annotated[
    bool, BeforeValidator(_yes_no), WithJsonSchema({"enum": [True, False, "yes", "no"]})
]

RECORD_TAG, NUMBER_TAG = "\0record", "\0number"
"""Names pydantic puts into an error's path for the two forms below; no file can hold them."""


def _form(value: Any) -> str:
    return NUMBER_TAG if isinstance(value, (str, int)) else RECORD_TAG


RecordOrNumber = Annotated[
    Annotated[T, Tag(RECORD_TAG)] | Annotated[Number, Tag(NUMBER_TAG)], Discriminator(_form)
]
"""A record written out, or the number of one that is written elsewhere."""
