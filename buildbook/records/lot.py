"""Lots: batches of consumables and bags of hardware, and what is mixed from them."""

from datetime import date
from typing import Annotated

from pydantic import AfterValidator, Field

from buildbook.records.clock import TimeOfDay
from buildbook.records.dates import Date
from buildbook.records.durations import MINUTES_IN_A_DAY, Minutes
from buildbook.records.intervals import Every
from buildbook.records.money import Cash
from buildbook.records.months import LabelDate, Month, last_day
from buildbook.records.names import Line, Prose, Several, Slug, bad
from buildbook.records.private import COSTS, Private
from buildbook.records.record import Record
from buildbook.records.references import LotRef, PartRef, PhotoRef, SectionRef


class Lot(Record):
    """A batch of something that goes into the aircraft."""

    lot: Slug = Field(description="Short name, as `primer-1`.")
    title: Line = Field(description="What it is.")
    maker: Line | None = Field(None, description="Who made it.")
    supplier: Line | None = Field(None, description="Who sold it.")
    batch: Line | None = Field(None, description="The maker's batch number.")
    made: LabelDate | None = Field(None, description="Date of manufacture, or its month.")
    bought: Date | None = Field(None, description="When it was bought.")
    shelf_life: Every | None = Field(
        None, description="How long it keeps from the day it was made, as `12 months`."
    )
    expires: LabelDate | None = Field(
        None, description="Last day it may be used; a month is meant to its end."
    )
    opened: Date | None = Field(
        None, description="When the container was opened; its first use when left out."
    )
    life_once_opened: Every | None = Field(
        None, description="How long it keeps once opened, as `6 months`."
    )
    used_up: Date | None = Field(None, description="When the last of it was used or thrown away.")
    certificate: Line | None = Field(
        None, description="Certificate of conformity: its number, or where it is kept."
    )
    photo: PhotoRef | None = Field(None, description="A picture of the label or the certificate.")
    cost: Annotated[Cash, Private(COSTS)] | None = Field(
        None, description="What it cost, as `48 EUR`."
    )
    section: SectionRef | None = Field(
        None, description="Section it was bought for, if for one: its cost counts there."
    )
    parts: Several[PartRef] = Field((), description="Parts it is meant for.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")

    @property
    def shelf_end(self) -> date | None:
        """Last day by its shelf life; that of a lot made in a month runs from the month's end."""
        if not self.made or not self.shelf_life:
            return None
        if isinstance(self.made, date):
            return self.shelf_life.after(self.made)
        if self.shelf_life.unit in ("day", "week"):
            return self.shelf_life.after(self.made.last)
        end = self.shelf_life.after(self.made.first)
        return Month(end.year, end.month).last

    @property
    def expiry(self) -> date | None:
        """Last day it may be used unopened: as stated, or by its shelf life."""
        return last_day(self.expires) if self.expires else self.shelf_end

    def usable_until(self, first_use: date | None) -> date | None:
        """Return the last day it may be used, None where nothing says so.

        `first_use` stands for the day it was opened, when that is not given.
        """
        opened = self.opened or first_use
        ends = [self.expiry]
        if opened and self.life_once_opened:
            ends.append(self.life_once_opened.after(opened))
        return min((day for day in ends if day), default=None)


def _short(minutes: int) -> int:
    if minutes > MINUTES_IN_A_DAY:
        said = f"a pot life of {minutes / 60:g} hours is longer than a day"
        raise bad("pot-life", said, "minutes are written as `30 min`")
    return minutes


class Mix(Record):
    """A batch that was mixed, as of two-part sealant or primer."""

    lots: Several[LotRef] = Field(description="What was mixed together.", min_length=1)
    at: TimeOfDay = Field(description="When it was mixed, as `19:40`.")
    pot_life: Annotated[Minutes, AfterValidator(_short)] = Field(
        description="How long it can be used at that temperature, as `30 min`.", gt=0
    )
    until: TimeOfDay | None = Field(
        None, description="When the last of it was used; else the end of the work."
    )
    ratio: Line | None = Field(None, description="How it was mixed, as `10:1 by weight`.")
    notes: Line | None = Field(None, description="Anything else worth knowing about it.")
