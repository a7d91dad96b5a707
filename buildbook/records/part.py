"""Parts: a drawing number, and the pieces made to it."""

from typing import Annotated, Literal

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import AnyCase, Count, Line, Listed, PartNumber, Prose, Several, YesNo
from buildbook.records.quantities import Length
from buildbook.records.reading import Limit
from buildbook.records.record import Record
from buildbook.records.references import OperationRef

Hand = Annotated[Literal["left", "right"], AnyCase]
Side = Annotated[Literal["port", "starboard"], AnyCase]


class PieceEntry(Record):
    """One piece, or a run of them, with where it belongs."""

    piece: Line = Field(description="A label, or a run of them as `01 to 06`.")
    side: Side | None = Field(None, description="Side of the aircraft it is fitted on.")
    position: Line | None = Field(
        None, description="Station or bay, counted from the part's datum; a run as `1 to 6`."
    )
    bin: Line | None = Field(None, description="Where it is kept until it is fitted.")
    spare: YesNo = Field(False, description="Not planned for fitting.")
    scrapped: Date | None = Field(None, description="When it was scrapped.")
    replaces: Line | None = Field(None, description="Label of the piece it stands in for.")
    why: Line | None = Field(None, description="Why it was scrapped or replaced.")
    unwrapped: Date | None = Field(
        None, description="When its film or wrapping came off: bare metal from that day on."
    )


class Part(Record):
    """A drawing number, made once or many times."""

    part: PartNumber = Field(description="Part number as on the drawing.")
    name: Line = Field(description="What it is called, as `Rear spar`.")
    hand: Hand | None = Field(
        None,
        description="Which way its flange faces. It says nothing about the side it is fitted on.",
    )
    plan: Line | None = Field(None, description="Drawing sheet.")
    material: Line | None = Field(None, description="Alloy, as `2024` or `6061`.")
    temper: Line | None = Field(None, description="Temper, as `T3`.")
    thickness: Length | None = Field(None, description="Sheet thickness, as `0.032 in`.")
    quantity: Count = Field(1, description="How many the aircraft needs.", ge=0, le=5000)
    hardware: YesNo = Field(
        False, description="Rivets, bolts and the like: counted, and not followed piece by piece."
    )
    route: Several[OperationRef] = Field((), description="Its operations, in order.")
    not_needed: dict[OperationRef, Line] = Field(
        default_factory=dict, description="Operations left out on purpose, each with the reason."
    )
    finish: Line | None = Field(None, description="Primer or paint, inside and out.")
    unwrapped: Date | None = Field(
        None, description="When the film or wrapping of its pieces came off; bare from that day on."
    )
    port: Count | None = Field(None, description="How many the plans fit on the port side.")
    starboard: Count | None = Field(
        None, description="How many the plans fit on the starboard side."
    )
    received: Count | None = Field(None, description="How many came with the kit.")
    damaged: Count = Field(0, description="How many of those were damaged.")
    label: Line | None = Field(
        None, description="How labels are formed, as `{n:02}`; `{part}` and `{side}` may be used."
    )
    datum: Line | None = Field(None, description="Where positions are counted from.")
    pieces: Listed[PieceEntry] = Field((), description="Its pieces, where they differ.")
    limits: Listed[Limit] = Field((), description="Limits for what is measured on it.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")
