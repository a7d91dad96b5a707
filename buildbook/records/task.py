"""Tasks: what an authority counts to see who built the aircraft, each shared in tenths."""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from buildbook.records.names import Line, Prose, Several, Slug, YesNo, bad
from buildbook.records.record import Record
from buildbook.records.references import StepRef

WHOLE = 10
"""Tenths in a task."""


def _tenths(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    text = value.strip()
    if re.fullmatch(r"0*(10|[0-9])", text):
        return int(text)
    if found := re.fullmatch(r"0*([01]?)\.([0-9])0*", text):
        tenths = int(found[1] or 0) * WHOLE + int(found[2])
        if tenths <= WHOLE:
            return tenths
    advice = "write a whole number of tenths from 0 to 10, as `3`, or a decimal, as `0.3`"
    raise bad("tenths", f"`{value}` is not a number of tenths", advice)


Tenths = Annotated[
    int,
    BeforeValidator(_tenths),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "number", "minimum": 0, "maximum": WHOLE},
                {"type": "string", "pattern": r"^ *[0-9]*\.?[0-9]+ *$"},
            ],
            "examples": [3, 0.3],
        }
    ),
]
"""A number of tenths, 0 to 10. A decimal is a share of the whole task: `0.3` is 3, `1.0` is 10."""

SHARES = ("maker", "help", "assembly", "fabrication")
"""The fields a task is shared in, in the order of the columns A to D of the published form."""


class Task(Record):
    """A task of making the aircraft, and who did how many tenths of it."""

    task: Slug = Field(description="Short name, as `wing-ribs`.")
    title: Line = Field(description="What is done, as the list words it.")
    number: Line | None = Field(None, description="Its number on the authority's list.")
    group: Line = Field(description="Part of the list it stands in, as `Wings`.")
    steps: Several[StepRef] = Field((), description="Steps of this book in which it was done.")
    maker: Tenths | None = Field(None, description="Tenths done by the maker of the kit or part.")
    help: Tenths | None = Field(None, description="Tenths done by paid help.")
    assembly: Tenths | None = Field(None, description="Tenths: the builder's assembly.")
    fabrication: Tenths | None = Field(None, description="Tenths: the builder's fabrication.")
    applies: YesNo = Field(True, description="Whether there is such a task on this aircraft.")
    why: Line | None = Field(None, description="Why it does not apply, or how it was shared.")
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _shares_add_up(self) -> "Task":
        given = {name: getattr(self, name) for name in SHARES if getattr(self, name) is not None}
        if not given:
            return self
        first = next(iter(given))
        if not self.applies:
            said = "it is said not to apply, and is shared all the same"
            raise bad("shared-not-applicable", said, "keep one of the two", field="applies")
        if sum(given.values()) != WHOLE:
            tenths = f"{sum(given.values())} tenth{'' if sum(given.values()) == 1 else 's'}"
            said = f"the shares add up to {tenths}, not to 10: "
            said += ", ".join(f"{name} {share}" for name, share in given.items())
            raise bad("tenths-sum", said, "share the whole task, in tenths", field=first)
        return self

    @property
    def is_shared(self) -> bool:
        """Tell whether somebody has said who did it."""
        return any(getattr(self, name) is not None for name in SHARES)

    @property
    def shares(self) -> tuple[int, int, int, int]:
        """Tenths by `SHARES`; what is left out is none."""
        return (self.maker or 0, self.help or 0, self.assembly or 0, self.fabrication or 0)
