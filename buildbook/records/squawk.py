"""Squawks: problems, from found to dispositioned to closed."""

from typing import Annotated, Literal

from pydantic import Field

from buildbook.records.dates import Date
from buildbook.records.names import AnyCase, Line, Number, Prose, Several
from buildbook.records.record import Record
from buildbook.records.references import PartRef, PersonRef, PhotoRef, PieceRef, StepRef

Decision = Annotated[Literal["use as is", "rework", "repair", "replace"], AnyCase]


class Disposition(Record):
    """What was decided about a squawk."""

    decision: Decision = Field(description="What is to be done with it.")
    date: Date = Field(description="Day of the decision.")
    by: PersonRef = Field(description="Who decided.")
    advice: Prose | None = Field(None, description="Whose advice it rests on, and what it said.")


class Closing(Record):
    """How a squawk was settled."""

    date: Date = Field(description="Day it was closed.")
    by: PersonRef = Field(description="Who closed it.")
    notes: Prose | None = Field(None, description="What was done.")
    photo: PhotoRef | None = Field(None, description="A picture that shows it mended.")


class Squawk(Record):
    """A problem with the aircraft or a piece of it."""

    squawk: Number = Field(description="Its number; cited as `squawk 4`.")
    title: Line = Field(description="The problem in one sentence.")
    found: Date | None = Field(None, description="When it was found, if not in a session.")
    by: PersonRef | None = Field(None, description="Who found it.")
    step: StepRef | None = Field(None, description="Step it came up in.")
    parts: Several[PartRef] = Field((), description="Parts it is about.")
    pieces: Several[PieceRef] = Field((), description="Labels of the pieces, as `ST-014-L-03`.")
    size: Line | None = Field(None, description="How big: depth, length, count.")
    cause: Line | None = Field(None, description="What it came from.")
    text: Prose | None = Field(None, description="What was seen.")
    photo: PhotoRef | None = Field(None, description="A picture of it.")
    before: StepRef | None = Field(None, description="Must be closed before this step is.")
    disposition: Disposition | None = Field(None, description="What was decided about it.")
    closed: Closing | None = Field(None, description="How and when it was settled.")

    @property
    def state(self) -> str:
        """One word: `open`, `decided` or `closed`."""
        if self.closed:
            return "closed"
        return "decided" if self.disposition else "open"
