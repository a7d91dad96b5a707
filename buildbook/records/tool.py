"""Tools worth naming in a record, and what is known of those that measure."""

from datetime import date
from typing import Annotated

from pydantic import Field, model_validator

from buildbook.records.dates import Date
from buildbook.records.money import Cash
from buildbook.records.names import Line, Prose, Several, Slug, bad
from buildbook.records.private import COSTS, Private
from buildbook.records.quantities import AnyQuantity
from buildbook.records.reading import check_uncertainty
from buildbook.records.record import Record


class Tool(Record):
    """A tool worth naming in a record."""

    tool: Slug = Field(description="Short name, as `torque-wrench`.")
    title: Line = Field(description="What it is.")
    owner: Line | None = Field(None, description="Owned, or borrowed from whom.")
    bought: Date | None = Field(None, description="When it was bought.")
    cost: Annotated[Cash, Private(COSTS)] | None = Field(
        None, description="What it cost, as `48 EUR`."
    )
    calibrated: Several[Date] = Field(
        (), description="When it was calibrated; all dates, where it was done again."
    )
    due: Several[Date] = Field(
        (), description="When its calibration is due; all dates, where it was due again."
    )
    uncertainty: AnyQuantity | None = Field(
        None, description="How far it may be off to either side, as `0.001 in` or `4 %`."
    )
    cautions: Line | None = Field(None, description="What can hurt when it is used.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _calibration_fits(self) -> "Tool":
        check_uncertainty(self.uncertainty)
        if self.next_due and self.calibrated and self.next_due <= max(self.calibrated):
            said = f"it is due on {self.next_due}, and was calibrated on {max(self.calibrated)}"
            raise bad("due-before-calibrated", said, "mend one of the two", field="due")
        return self

    def calibrated_by(self, day: date) -> date | None:
        """Return the last calibration up to a day."""
        return max((c for c in self.calibrated if c <= day), default=None)

    @property
    def next_due(self) -> date | None:
        """Day its calibration is due next."""
        return max(self.due, default=None)

    def due_on(self, day: date) -> date | None:
        """Return until when the calibration that held on a day was good.

        That is the first date it was due after it was calibrated last by then.
        """
        if not self.calibrated:
            return self.next_due
        last = self.calibrated_by(day)
        return min((due for due in self.due if last and due > last), default=None)

    def past_due(self, day: date) -> bool:
        """Tell whether its calibration had run out by a day; due is the last good day."""
        due = self.due_on(day)
        return due is not None and due < day

    def calibrated_after(self, day: date) -> date | None:
        """Return its first calibration when that is later than a day."""
        first = min(self.calibrated, default=None)
        return first if first and first > day else None
