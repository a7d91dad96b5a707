"""What all records share: strict fields, forgiving spelling of field names, and a place."""

from typing import Annotated, Any, ClassVar, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    WithJsonSchema,
    field_validator,
    model_validator,
)

from buildbook.records.names import bad
from buildbook.records.problems import Place, Step, did_you_mean

HIDING = ("blur", "silent", "private")
"""Fields that keep something out of what is published."""


def spaced(name: str) -> str:
    """Spell a field's name as a builder does: words with spaces."""
    return name.rstrip("_").replace("_", " ")


def fold(name: str) -> str:
    """Spell a field's name as the models do, whatever its capitals, hyphens and underscores."""
    if name.startswith("-"):  # a dash of a list that lacks its space
        return name
    return " ".join(name.casefold().replace("_", " ").replace("-", " ").split())


def _mark(value: Any) -> Any:
    """Take `yes`, `no`, or names of fields, in a list or on one line with commas."""
    if isinstance(value, str):
        folded = value.strip().casefold()
        if folded in ("yes", "true", "on", "y"):
            return True
        if folded in ("no", "false", "off", "n"):
            return False
        value = value.split(",")
    if isinstance(value, list) and all(isinstance(name, str) for name in value):
        return tuple(fold(name) for name in value if name.strip())
    if isinstance(value, bool):
        return value
    advice = "write `yes`, or the names of the fields that are private, as `notes, photos`"
    raise bad("private", "this does not say what is private", advice)


PrivateMark = Annotated[
    bool | tuple[str, ...],
    BeforeValidator(_mark),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": [True, False, "yes", "no"]},
                {"type": "string"},
                {"type": "array", "items": {"type": "string"}},
            ],
            "x-form": "yes-no",  # a form asks whether all of it is
        }
    ),
]


class Record(BaseModel):
    """A frozen record. Unknown fields are problems; `Required_Photos` is `required photos`."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=spaced,
        validate_by_name=False,
        validate_by_alias=True,
        arbitrary_types_allowed=True,
        defer_build=True,  # most commands read some kinds of records, and none at first
        hide_input_in_errors=True,
        title=None,
    )
    spellings: ClassVar[dict[str, str]]
    """Every accepted field name."""
    inside: ClassVar[tuple[tuple[str, str], ...]]
    """Fields that hold records: attribute, and name in the file."""

    can_be_private: ClassVar[bool] = True
    """Whether an edition can do without it."""

    private: PrivateMark = Field(
        default=False,
        description=(
            "Leaves this out of every edition that holds no private notes; in place of `yes`, "
            "names of fields, as `notes, hours`, leave out only those."
        ),
    )

    all_or_nothing: ClassVar[dict[str, int]] = {}
    """Fields that are worse than nothing when a part is missing, as the scales of a weighing are.

    The number says how far the way to what is wrong is followed before all below is left out: with
    0 the record, with 1 the field, with 2 the entry of its list.
    """

    place: ClassVar[Place] = Place("")
    """Where the record is written; each record that was read has its own in place of this one."""

    @classmethod
    def __pydantic_init_subclass__(cls, **_: Any) -> None:
        """Note once what the forgiving spelling and the places need of the fields."""
        fields = cls.model_fields.items()
        cls.spellings = {f.alias or n: f.alias or n for n, f in fields}
        cls.inside = tuple(
            (n, f.alias or n) for n, f in fields if record_in(f.annotation) is not None
        )

    @field_validator("private", mode="after")
    @classmethod
    def _names_fields(cls, value: bool | tuple[str, ...]) -> bool | tuple[str, ...]:
        if value is True and not cls.can_be_private:
            advice = "name the fields that are private"
            raise bad("private-whole", "no edition can do without this", advice)
        if isinstance(value, bool):
            return value
        for name in value:
            if name not in cls.spellings:
                advice = did_you_mean(name, cls.spellings)
                raise bad("private-field", f"there is no field `{name}` here", advice)
            if name in HIDING:
                said = f"`{name}` keeps something out itself, and cannot be private"
                raise bad("private-field", said, "take it away from here")
            if any(f.is_required() and f.alias == name for f in cls.model_fields.values()):
                said = f"`{name}` is always there, so it cannot be private alone"
                raise bad("private-field", said, "write `private: yes` to leave out the whole")
        return value

    @property
    def private_names(self) -> tuple[str, ...]:
        """Names of its own fields that are marked private."""
        return () if isinstance(self.private, bool) else self.private

    @model_validator(mode="before")
    @classmethod
    def _forgive_spelling(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        known = cls.spellings
        if data.keys() <= known.keys() and None not in data.values():
            return data
        mended: dict[str, Any] = {}
        for key, value in data.items():
            name = key if key in known else fold(key)
            if name not in known or (name != key and (name in data or name in mended)):
                mended[key] = value  # unknown, or there already: the model says so at its place
            elif value is not None:  # a field left empty is a field not written
                mended[name] = value
        return mended


def record_in(annotation: Any) -> type[Record] | None:
    """Return the kind of record a field's type holds, alone or in a list, or else None."""
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation
    for inner in get_args(annotation):
        if found := record_in(inner):
            return found
    return None


def put_place(
    record: Record, place: Place, moved: "dict[tuple[Step, ...], list[int]] | None" = None
) -> None:
    """Tell a record, and every record inside it, where it is written.

    `moved` gives, for a list that lost broken entries, the index each remaining one had.
    """
    # Past pydantic, as a cached property is: a private attribute would cost a fifth of a reading.
    record.__dict__["place"] = place
    for attribute, name in record.inside:
        value = getattr(record, attribute)
        if isinstance(value, Record):
            put_place(value, place.at(name), moved)
        elif value:
            inside = place.at(name)
            kept = moved.get(inside.path) if moved else None
            for i, item in enumerate(value):
                if isinstance(item, Record):
                    put_place(item, inside.at(kept[i] if kept else i), moved)
