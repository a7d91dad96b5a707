"""Squawks: problems, from found to dispositioned to closed."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from buildbook.records.dates import Date
from buildbook.records.names import AnyCase, Line, Number, OrText, Prose, Several
from buildbook.records.private import CORRESPONDENCE, Private
from buildbook.records.record import Record
from buildbook.records.references import PartRef, PersonRef, PhotoRef, PieceRef, StepRef
from buildbook.records.storage import Corrosion

Decision = Annotated[Literal["use as is", "rework", "repair", "replace"], AnyCase]


class Advice(Record):
    """What somebody said about a squawk, quoted, and when."""

    who: Line | None = Field(
        None,
        alias="from",
        description="Who said it, as `ottoline`, or where it is printed, as `AC 43.13-1B`.",
    )
    date: Date | None = Field(None, description="Date of the letter, the call or the document.")
    reference: Line | None = Field(None, description="Number of the letter or the drawing.")
    text: Prose = Field(description="What was said, quoted or in short.")


def _advice(value: Any) -> Any:
    return {"text": value} if isinstance(value, str) else value


AdviceOrText = Annotated[Advice, BeforeValidator(_advice), OrText(r"(.|\n)*")]
"""Advice with its date and source, or its text alone."""


class Disposition(Record):
    """What was decided about a squawk."""

    decision: Decision = Field(description="What is to be done with it.")
    date: Date = Field(description="Day of the decision.")
    by: PersonRef = Field(description="Who decided.")
    advice: AdviceOrText | None = Field(
        None, description="Whose advice it rests on, and what it said."
    )
    correspondence: Annotated[Prose, Private(CORRESPONDENCE)] | None = Field(
        None, description="The letters in full. Not in the public edition; see `editions`."
    )


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
    corrosion: Corrosion | None = Field(
        None, description="Corrosion: how deep, how large, how much was taken off."
    )
    size: Line | None = Field(None, description="How big: depth, length, count.")
    cause: Line | None = Field(
        None, description="What it came from; in the same words where it is the same again."
    )
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
