"""What all records share: strict fields, forgiving spelling of field names, and a place."""

from typing import Any, ClassVar, get_args

from pydantic import BaseModel, ConfigDict, model_validator

from buildbook.records.problems import Place, Step


def spaced(name: str) -> str:
    """Spell a field's name as a builder does: words with spaces."""
    return name.rstrip("_").replace("_", " ")


def fold(name: str) -> str:
    """Spell a field's name as the models do, whatever its capitals, hyphens and underscores."""
    if name.startswith("-"):  # a dash of a list that lacks its space
        return name
    return " ".join(name.casefold().replace("_", " ").replace("-", " ").split())


class Record(BaseModel):
    """A frozen record. Unknown fields are problems; `Required_Photos` is `required photos`."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=spaced,
        validate_by_name=False,
        validate_by_alias=True,
        arbitrary_types_allowed=True,
        hide_input_in_errors=True,
        title=None,
    )
    spellings: ClassVar[dict[str, str]]
    """Every accepted field name."""
    inside: ClassVar[tuple[tuple[str, str], ...]]
    """Fields that hold records: attribute, and name in the file."""

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
