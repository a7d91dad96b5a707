"""Equipment: what is fitted to the aircraft that has a maker and a serial number of its own."""

from typing import Annotated

from pydantic import Field, model_validator

from buildbook.records.dates import Date
from buildbook.records.months import LabelDate
from buildbook.records.names import Line, Prose, Slug, bad
from buildbook.records.private import SERIAL_NUMBERS, Private
from buildbook.records.quantities import Length, Mass
from buildbook.records.record import Record
from buildbook.records.references import SectionRef
from buildbook.records.weighing import not_negative


class Equipment(Record):
    """An item of equipment."""

    equipment: Slug = Field(description="Short name, as `beacon`.")
    title: Line = Field(description="What it is.")
    maker: Line | None = Field(None, description="Who made it.")
    model: Line | None = Field(None, description="The maker's model or part number.")
    serial: Annotated[Line, Private(SERIAL_NUMBERS)] | None = Field(
        None, description="Its serial number."
    )
    section: SectionRef | None = Field(None, description="Section it is fitted in.")
    where: Line | None = Field(None, description="Where it is fitted, as `behind the left seat`.")
    installed: Date | None = Field(None, description="When it was fitted.")
    removed: Date | None = Field(None, description="When it was taken out again.")
    weight: Mass | None = Field(None, description="What it weighs.")
    arm: Length | None = Field(None, description="Distance aft of the datum.")
    expires: LabelDate | None = Field(
        None, description="Last day it may be used, as a battery's; a month is meant to its end."
    )
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _fits(self) -> "Equipment":
        not_negative("weight", self.weight)
        if self.removed and self.installed and self.removed < self.installed:
            said = f"it was taken out on {self.removed}, before it was fitted, {self.installed}"
            raise bad("removed-early", said, "mend one of the two dates", field="removed")
        return self
