"""The balance file: stations, loading cases, the designer's limits, and changes since weighing."""

import re
from fractions import Fraction
from typing import Annotated, Any, ClassVar

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from buildbook.records.dates import Date
from buildbook.records.names import Line, Listed, OrText, Prose, Slug, YesNo, bad
from buildbook.records.quantities import Length, Mass, Quantity, an, parse_quantity
from buildbook.records.record import Record
from buildbook.records.references import PersonRef
from buildbook.records.weighing import not_negative
from buildbook.reference.balance import Corner as Point
from buildbook.reference.balance import Envelope, from_share
from buildbook.reference.exact import exact


def _of(example: str, *dimensions: str) -> tuple[BeforeValidator, WithJsonSchema]:
    """Make what a quantity of one of several dimensions is read with, and told to editors."""
    advice = f"write a number and a unit, as {example}"

    def validate(value: Any) -> Any:
        if not isinstance(value, str):
            return value
        try:
            found = parse_quantity(value)
        except ValueError as error:
            raise bad("quantity", str(error), advice) from None
        if found.dimension not in dimensions:
            needed = " or ".join(map(an, dimensions))
            said = f"`{value}` is {an(found.dimension)}, and {needed} is needed here"
            raise bad("quantity", said, advice)
        return found

    schema = {"type": ["string"], "pattern": "^[-+\N{MINUS SIGN}]? *[0-9.][0-9./ ]*[^0-9./ ]"}
    return BeforeValidator(validate), WithJsonSchema(schema)


Load = Annotated[Quantity, *_of("`80 kg` or `60 l`", "mass", "volume")]
"""A weight, or a volume of something whose density is known."""
Position = Annotated[Quantity, *_of("`62.5 in` or `24 %`", "length", "share")]
"""A distance from the datum, or a share of the mean aerodynamic chord."""
Density = Annotated[Quantity, *_of("`0.72 kg/l`", "density")]


class Station(Record):
    """A place where something is carried."""

    can_be_private = False

    station: Slug = Field(description="Short name, as `seats`; the loading cases name it.")
    title: Line = Field(description="What it is, as `Two seats, side by side`.")
    arm: Length = Field(description="Distance aft of the datum; negative ahead of it.")
    most: Load | None = Field(None, description="The most it may hold, as `20 kg` or `90 l`.")
    density: Density | None = Field(
        None, description="Of what is in it, as `0.72 kg/l`, when loads are written as volumes."
    )
    fuel: YesNo = Field(
        False, description="It is used up in flight: each case is shown with it and without."
    )

    @model_validator(mode="after")
    def _fits(self) -> "Station":
        for name, value in (("most", self.most), ("density", self.density)):
            if value and value.value <= 0:
                said = f"`{value.written}` is nothing, or less than nothing"
                raise bad("negative-weight", said, "mend it, or leave it out", field=name)
        return self

    def weight_of(self, load: Quantity) -> Fraction | None:
        """Return what a load weighs, in kilograms; None of a volume without a density."""
        if load.dimension == "mass":
            return exact(load, "kg")
        return exact(load, "l") * exact(self.density, "kg/l") if self.density else None


_AT = re.compile(r"(?P<weight>.+?)\s+(?:at|@)\s+(?P<at>.+)")


def _corner(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    found = _AT.fullmatch(" ".join(value.split()))
    if not found:
        said = f"`{value}` is not a corner of the limits"
        raise bad("corner", said, "write weight and place, as `430 kg at 64.5 in`")
    return {"weight": found["weight"], "at": found["at"]}


class Corner(Record):
    """A corner of the area the designer allows. `430 kg at 64.5 in` says it on one line."""

    can_be_private = False

    weight: Mass = Field(description="Weight of the loaded aircraft, as `430 kg`.")
    at: Position = Field(
        description="Centre of gravity: distance aft of the datum, or `24 %` of the mean chord."
    )

    @model_validator(mode="after")
    def _weighs_something(self) -> "Corner":
        not_negative("weight", self.weight)
        return self


class Case(Record):
    """A way the aircraft may be loaded."""

    case: Line = Field(description="What it is called, as `Two up, full tank`.")
    load: dict[str, Load] = Field(
        description="What is at each station, as `{seats: 160 kg, tank: 60 l}`.", min_length=1
    )
    notes: Line | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _loads(self) -> "Case":
        for name, load in self.load.items():
            if load.value < 0:
                said = f"`{name}` holds {load.written}, less than nothing"
                raise bad("negative-weight", said, "write it without a sign", field="load")
        return self


class Change(Record):
    """Something put in or taken out after the aircraft was weighed."""

    can_be_private = False

    date: Date = Field(description="Day of the change.")
    added: Line | None = Field(None, description="What was put in.")
    removed: Line | None = Field(None, description="What was taken out.")
    weight: Mass = Field(description="What it weighs.")
    arm: Length = Field(description="Distance aft of the datum; negative ahead of it.")
    by: PersonRef | None = Field(None, description="Who did it.")
    notes: Line | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _one_way(self) -> "Change":
        not_negative("weight", self.weight)
        if bool(self.added) == bool(self.removed):
            said = "a change is something added or something removed"
            said += ", and this says both" if self.added else ", and this says neither"
            advice = "write `added:` or `removed:`, and an exchange as two changes"
            raise bad("added-or-removed", said, advice, field="removed" if self.added else "date")
        return self


class Estimate(Record):
    """What the empty aircraft is expected to weigh, until it has been weighed."""

    can_be_private = False

    weight: Mass = Field(description="Expected empty weight.")
    arm: Length = Field(description="Expected centre of gravity, aft of the datum.")
    source: Line | None = Field(None, description="Whose figures these are.")

    @model_validator(mode="after")
    def _weighs_something(self) -> "Estimate":
        not_negative("weight", self.weight)
        return self


class Balance(Record):
    """What loading is reckoned with. There is one, in `balance.yml`."""

    # A limit without one of its corners is another limit, a case without a load another case.
    all_or_nothing: ClassVar[dict[str, int]] = {"envelope": 1, "cases": 2, "changes": 0}

    datum: Line = Field(description="Point the arms are measured from, as the plans name it.")
    lemac: Length | None = Field(
        None, description="Leading edge of the mean aerodynamic chord, aft of the datum."
    )
    mac: Length | None = Field(None, description="Length of the mean aerodynamic chord.")
    envelope: Listed[Annotated[Corner, BeforeValidator(_corner), OrText(".+ (at|@) .+")]] = Field(
        (), description="Corners of the designer's limits, in order round them."
    )
    source: Line | None = Field(None, description="Where the limits come from.")
    estimate: Estimate | None = Field(
        None, description="Expected empty weight, used until the aircraft has been weighed."
    )
    stations: Listed[Station] = Field((), description="Where people, baggage and fuel are.")
    cases: Listed[Case] = Field((), description="Ways it may be loaded.")
    changes: Listed[Change] = Field(
        (), description="What was added and removed since the last weighing."
    )
    notes: Prose | None = Field(None, description="Anything else worth knowing about it.")

    @model_validator(mode="after")
    def _chord(self) -> "Balance":
        if (self.lemac is None) != (self.mac is None):
            given, other = ("lemac", "mac") if self.lemac else ("mac", "lemac")
            said = f"`{given}` is given without `{other}`"
            raise bad("half-a-chord", said, f"add `{other}`, or leave both out", field=given)
        if self.mac and self.mac.value <= 0:
            said = f"a chord of `{self.mac.written}` has no length"
            raise bad("half-a-chord", said, "mend it", field="mac")
        return self

    @property
    def chord(self) -> tuple[Fraction, Fraction] | None:
        """Leading edge and length of the mean aerodynamic chord, in millimetres."""
        if not self.lemac or not self.mac:
            return None
        return exact(self.lemac, "mm"), exact(self.mac, "mm")

    @property
    def limits(self) -> Envelope | None:
        """The corners in kilograms and millimetres, whatever they enclose.

        None where there are none, or where one is a share of a chord that is not known.
        """
        chord, points = self.chord, []
        for corner in self.envelope:
            if corner.at.dimension == "length":
                arm = exact(corner.at, "mm")
            elif chord:
                arm = from_share(exact(corner.at, "percent") / 100, *chord)
            else:
                return None
            points.append(Point(exact(corner.weight, "kg"), arm))
        return Envelope(tuple(points)) if points else None
