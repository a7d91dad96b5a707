"""Costs: what was paid for kits, services and whatever is no lot or tool of its own."""

from typing import Annotated, Literal

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.money import Cash
from buildbook.records.names import AnyCase, Line, Prose
from buildbook.records.private import COSTS, Private
from buildbook.records.record import Record
from buildbook.records.references import SectionRef

CostKind = Annotated[Literal["kit", "tool", "lot", "service", "other"], AnyCase]


class Cost(Record):
    """One thing that was paid for. What a lot or a tool cost is written with it, not here."""

    what: Line = Field(description="What was paid for, as `Fin kit, crate 1`.")
    cost: Annotated[Cash, Private(COSTS)] = Field(
        description="What was paid, as `48 EUR`; `120 USD at 0.92` where one dollar cost 0.92."
    )
    date: Date = Field(description="Day it was paid.")
    kind: CostKind = Field("other", description="What sort of thing it is.")
    section: SectionRef | None = Field(None, description="Section it is for, if it is for one.")
    supplier: Line | None = Field(None, description="Who was paid.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")
