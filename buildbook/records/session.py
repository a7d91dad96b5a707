"""Sessions: a stretch of work on one date."""

from datetime import date as date_type
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from buildbook.records.air import AirOrText
from buildbook.records.amendment import Amendment
from buildbook.records.clip import Clip
from buildbook.records.clock import TimeOfDay
from buildbook.records.dates import Date
from buildbook.records.durations import MINUTES_IN_A_DAY, Minutes
from buildbook.records.lesson import Lesson
from buildbook.records.lot import Mix
from buildbook.records.names import (
    MAX_NAME,
    Line,
    Listed,
    Prose,
    RecordOrNumber,
    Several,
    SeveralPeople,
    YesNo,
    bad,
    slugify,
)
from buildbook.records.photo import Photo
from buildbook.records.reading import Reading
from buildbook.records.record import Record
from buildbook.records.references import (
    LotRef,
    NoticeRef,
    OperationRef,
    PartRef,
    PersonRef,
    Refers,
    StepRef,
    ToolRef,
)
from buildbook.records.squawk import Squawk


def _labels(value: Any) -> Any:
    if isinstance(value, str):
        return {"": [p for p in (q.strip() for q in value.split(",")) if p] or [value]}
    if isinstance(value, list):
        return {"": value}
    if isinstance(value, dict):
        return {k: _labels(v)[""] if isinstance(v, (str, list)) else v for k, v in value.items()}
    return value


_LABELS = {
    "anyOf": [
        {"type": ["string", "integer"]},
        {"type": "array", "items": {"type": ["string", "integer"]}},
    ]
}

PieceWords = Annotated[
    dict[Annotated[str, Refers("parts")], tuple[Line, ...]],
    BeforeValidator(_labels),
    WithJsonSchema(
        {
            "anyOf": [*_LABELS["anyOf"], {"type": "object", "additionalProperties": _LABELS}],
            "x-form": "pieces",
        }
    ),
]
"""Pieces as written, by part number; under "" where the work names one part only."""


class Work(Record):
    """One piece of work in a session. Its fields may also stand in the session itself."""

    step: StepRef | None = Field(None, description="What was worked on, as `fin/skeleton`.")
    operation: OperationRef | None = Field(None, description="Kind of work.")
    parts: Several[PartRef] = Field((), description="Parts worked on.")
    pieces: PieceWords = Field(
        default_factory=dict,
        description=(
            "Pieces finished in this operation: `all`, `port`, `01 to 06`, or a list of them; "
            "by part number when there are several parts and not all pieces of each."
        ),
    )
    who: SeveralPeople[PersonRef] = Field((), description="Who worked; the builder when left out.")
    hours: Minutes | None = Field(None, description="How long, by the clock.")
    start: TimeOfDay | None = Field(None, alias="from", description="When it began.")
    end: TimeOfDay | None = Field(None, alias="to", description="When it ended.")
    pause: Minutes = Field(0, alias="break", description="Time off in between.")
    finished: YesNo = Field(False, description="This work finished the step.")
    reopened: Line | None = Field(
        None, description="Why a finished step is opened again; it is then inspected anew."
    )
    knowingly: Line | None = Field(
        None,
        description=(
            "Why pieces are done again, out of order, or though they are scrapped; "
            "says that it is meant."
        ),
    )
    tools: Several[ToolRef] = Field((), description="Tools worth noting.")
    lots: Several[LotRef] = Field((), description="Batches used.")
    mixed: Listed[Mix] = Field((), description="What was mixed, as two-part sealant, and when.")
    air: AirOrText | None = Field(
        None, description="Air in the workshop, for primer and sealant; in short `17 °C, 55 %`."
    )
    unwrapped: Several[PartRef] = Field(
        (), description="Parts whose film or wrapping came off: bare metal from this day on."
    )
    notices: Several[NoticeRef] = Field((), description="Notices carried out in this work.")
    readings: Listed[Reading] = Field((), description="What was measured.")
    notes: Prose | None = Field(None, description="What was done.")

    @property
    def piece_words(self) -> dict[str, tuple[str, ...]]:
        """Its words for pieces, by part number.

        Words without a part number are about the one part it names; `all`, `port` and
        `starboard` may be about several. Where it is not clear which is meant, there are none.
        """
        words = self.pieces.get("")
        if words is None:
            return self.pieces
        for_each = all(w.casefold() in ("all", "port", "starboard") for w in words)
        return dict.fromkeys(self.parts, words) if for_each or len(self.parts) == 1 else {}

    @property
    def used_lots(self) -> tuple[str, ...]:
        """Its lots, and those of what was mixed."""
        return tuple(dict.fromkeys((*self.lots, *(n for mix in self.mixed for n in mix.lots))))

    @model_validator(mode="after")
    def _times_fit(self) -> "Work":
        if (self.start is None) != (self.end is None):
            given, other = ("from", "to") if self.start else ("to", "from")
            advice = f"add `{other}`, or write `hours`"
            said = f"`{given}` is given without `{other}`"
            raise bad("half-a-span", said, advice, field=given)
        if self.pause and self.start is None:
            said = "a `break` is given without `from` and `to`"
            advice = "`hours` is the time worked, breaks left out"
            raise bad("break-alone", said, advice, field="break")
        for name, minutes in (("hours", self.hours), ("break", self.pause)):
            if minutes is not None and minutes > MINUTES_IN_A_DAY:
                said = f"{minutes / 60:g} hours do not fit into one day"
                raise bad("more-than-a-day", said, "minutes are written as `150 min`", field=name)
        if self.hours == 0:
            raise bad("no-time", "no time at all is given", "write how long it took", field="hours")
        return self


SHORT_FORM = ("step", "operation", "parts", "pieces", "finished", "reopened", "readings")
"""Fields that stand in the session itself only where it has no list of `work`."""


class Session(Work):
    """A stretch of work on one date. Four lines are enough: date, step, hours, notes."""

    date: Date = Field(description="Day the work began, as `2025-03-08`.")
    title: Line | None = Field(None, description="What the page is called.")
    work: Listed[Work] = Field((), description="Several pieces of work, each with its step.")
    photos: Listed[Photo] = Field((), description="Pictures, each with its caption.")
    clips: Listed[Clip] = Field((), description="Video clips, each with its caption.")
    lessons: Annotated[Several[RecordOrNumber[Lesson]], Refers("lessons")] = Field(
        (), description="Lessons learned, or the numbers of those that helped."
    )
    squawks: Annotated[Several[RecordOrNumber[Squawk]], Refers("squawks")] = Field(
        (), description="Problems found, or the numbers of those worked on."
    )
    next: Prose | None = Field(None, description="What comes next.")
    amendments: Listed[Amendment] = Field(
        (),
        description="What the record said before it was corrected, and why it was.",
        json_schema_extra={"x-form": "none"},
    )

    @model_validator(mode="after")
    def _one_form(self) -> "Session":
        if self.work:
            for name in SHORT_FORM:
                if getattr(self, name):
                    advice = f"move `{name}` into an entry of `work`"
                    raise bad("two-forms", f"`{name}` stands beside `work`", advice, field=name)
        elif self.step is None:
            said = "the session does not say what was worked on"
            advice = "add `step:` with section and step, as `fin/skeleton`"
            raise bad("no-step", said, advice, field="date")
        return self

    @property
    def slug(self) -> str:
        """The name of its page: the date, and the title where it has one."""
        name = slugify(self.title)[:MAX_NAME].strip("-") if self.title else ""
        return f"{self.date}-{name}" if name else str(self.date)

    @property
    def entries(self) -> tuple[Work, ...]:
        """Its pieces of work; the session itself where it is written in the short form."""
        return self.work or (self,)


def by_date(session: Session) -> tuple[date_type, int, str]:
    """Order sessions as they happened: by date, then by starting time, then by title."""
    start = session.start or (session.work[0].start if session.work else None)
    return session.date, start.hour * 60 + start.minute if start else -1, session.title or ""
