"""Lots: batches of consumables and bags of hardware; and tools."""

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import Line, Prose, Several, Slug
from buildbook.records.record import Record
from buildbook.records.references import PartRef


class Lot(Record):
    """A batch of something that goes into the aircraft."""

    lot: Slug = Field(description="Short name, as `primer-1`.")
    title: Line = Field(description="What it is.")
    maker: Line | None = Field(None, description="Who made it.")
    batch: Line | None = Field(None, description="The maker's batch number.")
    made: Date | None = Field(None, description="Date of manufacture.")
    bought: Date | None = Field(None, description="When it was bought.")
    expires: Date | None = Field(None, description="Last day it may be used.")
    opened: Date | None = Field(None, description="When the container was opened.")
    cost: Line | None = Field(None, description="What it cost, with the currency.")
    parts: Several[PartRef] = Field((), description="Parts it is meant for.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")


class Tool(Record):
    """A tool worth naming in a record."""

    tool: Slug = Field(description="Short name, as `torque-wrench`.")
    title: Line = Field(description="What it is.")
    owner: Line | None = Field(None, description="Owned, or borrowed from whom.")
    calibrated: Date | None = Field(None, description="Last calibration.")
    due: Date | None = Field(None, description="Next calibration.")
    cautions: Line | None = Field(None, description="What can hurt when it is used.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")
