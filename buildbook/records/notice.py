"""Notices: bulletins and design changes issued after the plans."""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from buildbook.records.dates import Date
from buildbook.records.intervals import Every
from buildbook.records.names import Line, Listed, NoticeNumber, OrText, Prose, Several, YesNo
from buildbook.records.record import Record
from buildbook.records.references import (
    NoticeRef,
    PartRef,
    PersonRef,
    SectionRef,
    StepRef,
)

DATE_ALONE = "[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}"


def dated(value: Any) -> Any:
    """Let a bare date stand for that it was done on that day."""
    return {"date": value} if isinstance(value, str) else value


class NoticeDone(Record):
    """That a notice was complied with once. A bare date says it too."""

    date: Date = Field(description="Day it was done.")
    by: PersonRef | None = Field(None, description="Who did it.")
    notes: Line | None = Field(None, description="What was done or found.")


class Notice(Record):
    """A bulletin or a change of the design, and what became of it."""

    notice: NoticeNumber = Field(description="Its number as issued, without spaces: `SB-12`.")
    title: Line = Field(description="What it is about, in one sentence.")
    issued: Date = Field(description="Day it was issued.")
    issuer: Line | None = Field(None, description="Who issued it.")
    sections: Several[SectionRef] = Field((), description="Sections it touches.")
    parts: Several[PartRef] = Field((), description="Parts it touches.")
    steps: Several[StepRef] = Field((), description="Steps it touches.")
    applies: YesNo | None = Field(
        None, description="Whether it applies to this aircraft; left out until that is known."
    )
    why: Line | None = Field(None, description="Why it applies or does not.")
    due: Date | None = Field(None, description="Day it must be done by, the first time.")
    before: Several[StepRef] = Field((), description="Steps it must be done before the closing of.")
    every: Every | None = Field(
        None, description="How often it must be done, as `12 months`; once when left out."
    )
    done: Listed[Annotated[NoticeDone, BeforeValidator(dated), OrText(DATE_ALONE)]] = Field(
        (), description="Each time it was done outside a session; a session says `notices`."
    )
    supersedes: Several[NoticeRef] = Field((), description="Earlier notices it takes the place of.")
    notes: Prose | None = Field(None, description="What it asks for, in your own words.")
