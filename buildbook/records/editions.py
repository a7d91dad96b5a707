"""Editions: for whom the book is made, and what each of them holds."""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from buildbook.records.names import AnyCase, YesNo
from buildbook.records.readers import EDITIONS, FULL
from buildbook.records.record import Record

PeopleShown = Literal["names", "initials", "roles"]


class Holding(Record):
    """What one edition holds. What is left out of here is as said for that edition."""

    can_be_private = False

    costs: YesNo | None = Field(
        None, description="What things cost. In every edition as `show costs` says."
    )
    correspondence: YesNo | None = Field(
        None,
        description="Letters about squawks in full. Not in public, else yes.",
    )
    addresses: YesNo | None = Field(
        None, description="Where the work is done. Not in public, else yes."
    )
    serial_numbers: YesNo | None = Field(
        None, description="Serial numbers. Not in public, else yes."
    )
    people: Annotated[PeopleShown, AnyCase] | None = Field(
        None,
        description=(
            "How people are shown, in prose too: `names`, `initials` or `roles`. "
            "In public initials, else names."
        ),
    )
    full_size_photos: YesNo | None = Field(
        None,
        description=(
            "Pictures in full size, without what the camera wrote beside them. "
            "For the owner yes, else as `full size photos` of the book says."
        ),
    )
    original_photos: YesNo | None = Field(
        None,
        description=(
            "File names of pictures, and in an archive the pictures as the camera wrote them, "
            "with place and time and with what is blurred elsewhere. No."
        ),
    )
    private_notes: YesNo | None = Field(
        None, description="What is marked `private`. Not in any of them."
    )
    open_squawks: YesNo | None = Field(
        None, description="Squawks that are not closed. Not in public, else yes."
    )


class Editions(Record):
    """What each edition holds; the full one, for the builder, always holds everything."""

    can_be_private = False

    public: Holding = Field(
        default_factory=Holding, description="For everybody: what is put on the web."
    )
    inspector: Holding = Field(
        default_factory=Holding, description="For whoever inspects the aircraft."
    )
    owner: Holding = Field(
        default_factory=Holding, description="For whoever has the aircraft later."
    )


@dataclass(frozen=True, slots=True)
class Held:
    """What an edition of a book holds, every question answered."""

    costs: bool
    correspondence: bool
    addresses: bool
    serial_numbers: bool
    people: PeopleShown
    full_size_photos: bool
    original_photos: bool
    private_notes: bool
    open_squawks: bool


EVERYTHING = Held(
    costs=True,
    correspondence=True,
    addresses=True,
    serial_numbers=True,
    people="names",
    full_size_photos=True,
    original_photos=True,
    private_notes=True,
    open_squawks=True,
)
"""What the full edition holds."""


def held(editions: Editions, name: str, *, costs: bool, full_size: bool) -> Held:
    """Tell what an edition holds; `costs` and `full_size` are what the book says for all of them.

    Raises KeyError for an edition there is none of.
    """
    if name not in EDITIONS:
        raise KeyError(name)
    if name == FULL:
        return EVERYTHING
    said: Holding = getattr(editions, name)
    kept = name != "public"

    def answer(given: bool | None, *, otherwise: bool) -> bool:
        return otherwise if given is None else given

    return Held(
        costs=answer(said.costs, otherwise=costs),
        correspondence=answer(said.correspondence, otherwise=kept),
        addresses=answer(said.addresses, otherwise=kept),
        serial_numbers=answer(said.serial_numbers, otherwise=kept),
        people=said.people or ("names" if kept else "initials"),
        full_size_photos=answer(said.full_size_photos, otherwise=full_size or name == "owner"),
        original_photos=answer(said.original_photos, otherwise=False),
        private_notes=answer(said.private_notes, otherwise=False),
        open_squawks=answer(said.open_squawks, otherwise=kept),
    )
