"""What comes round again: inspections and exchanges by the calendar."""

from typing import Annotated

from pydantic import BeforeValidator, Field

from buildbook.records.dates import Date
from buildbook.records.intervals import Every
from buildbook.records.names import Line, Listed, OrText, Prose, Several, Slug
from buildbook.records.notice import DATE_ALONE, NoticeDone, dated
from buildbook.records.record import Record
from buildbook.records.references import EquipmentRef, SectionRef


class Recurring(Record):
    """Something to be done again and again, and when it was done."""

    recurring: Slug = Field(description="Short name, as `condition-inspection`.")
    title: Line = Field(description="What is to be done, in one sentence.")
    every: Every = Field(description="How often, as `12 months`.")
    due: Date | None = Field(None, description="Day it must be done by, the first time.")
    done: Listed[Annotated[NoticeDone, BeforeValidator(dated), OrText(DATE_ALONE)]] = Field(
        (), description="Each time it was done."
    )
    sections: Several[SectionRef] = Field((), description="Sections it is about.")
    equipment: Several[EquipmentRef] = Field((), description="Equipment it is about.")
    source: Line | None = Field(None, description="Who asks for it, and where that is written.")
    notes: Prose | None = Field(None, description="How it is done.")
