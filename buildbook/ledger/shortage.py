"""Which parts came short: fewer sound ones with the kit than the aircraft needs."""

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.records.part import Part


@dataclass(frozen=True, slots=True)
class Shortage:
    """A part of which sound pieces are missing."""

    part: str
    name: str
    quantity: int
    """Needed."""
    received: int
    damaged: int
    """Of those received."""
    short: int
    """quantity - (received - damaged); at least 1."""


def shortages(parts: Iterable[Part]) -> tuple[Shortage, ...]:
    """List the parts that came short. A part of which nothing is said to have come is left out."""
    return tuple(s for part in parts if (s := shortage(part)))


def shortage(part: Part) -> Shortage | None:
    """Work out what is missing of one part."""
    if part.received is None:
        return None
    short = part.quantity - max(0, part.received - part.damaged)
    if short <= 0:
        return None
    return Shortage(part.part, part.name, part.quantity, part.received, part.damaged, short)
