"""How near to the edge, and to each other, rivets and bolts may stand.

Distances are from the middle of the hole. Rivets: AC 43.13-1B (9/8/98), par. 4-57, for a single
row; and NAVEDTRA 14018, p. 13-43. For bolts no published figure was found: common practice.
"""

from buildbook.reference import torque
from buildbook.reference.answers import Answer, Fact, inches
from buildbook.reference.rivetcodes import is_number, rivet_shank
from buildbook.reference.sizes import Size, no_row, sizes
from buildbook.reference.source import Source, Sure

EDGE = Source("FAA AC 43.13-1B", "par. 4-57, single row", "9/8/98", Sure.SEEN, "at second hand")
EDGE_FLUSH = Source("Airframe study guide", "flush rivets", "", Sure.SEEN, "a study guide only")
EDGE_DIMPLED = Source("common practice", "dimpled sheet as flush", "", Sure.MEMORY)
PITCH = Source("NAVEDTRA 14018", "p. 13-43", "", Sure.SEEN)
EDGE_BOLT = Source("common practice", "bolts as rivets: 2 D", "", Sure.MEMORY)
PITCH_BOLT = Source("common practice", "bolts: 4 D", "", Sure.MEMORY)

BOLTS = sizes("3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8")
"""Shanks of AN3 to AN10: the number counts sixteenths of an inch."""

HEADS = ("protruding", "flush", "dimpled")
"""What edge distances are told apart by."""

CAUTIONS = (
    (
        "From the middle of the hole to the edge, or to the next middle. Single row; closer or "
        "wider patterns are the designer's."
    ),
)
BOLT_CAUTIONS = (
    *CAUTIONS,
    "No published figure for bolts was found: ask the designer before a hole is moved.",
)


def edge_of_rivet(row: Size, head: str = "protruding") -> Fact:
    """Give the least edge distance of a rivet: `protruding`, `flush` or `dimpled`."""
    share, source = {
        "protruding": (2.0, EDGE),
        "flush": (2.5, EDGE_FLUSH),
        "dimpled": (2.5, EDGE_DIMPLED),
    }[head]
    what = f"Edge distance, {head} ({share:g} D)"
    return Fact(what, inches(share * row.inches), None, source)


def pitch_of_rivet(row: Size) -> Fact:
    """Give the least distance between rivets of a row."""
    words = "seldom under 4 D or over 8 D"
    return Fact("Pitch (3 D)", inches(3 * row.inches), None, PITCH, words)


def edge_of_bolt(row: Size) -> Fact:
    """Give the least edge distance of a bolt."""
    return Fact("Edge distance of the bolt (2 D)", inches(2 * row.inches), None, EDGE_BOLT)


def pitch_of_bolt(row: Size) -> Fact:
    """Give the least distance between bolts."""
    return Fact("Pitch of bolts (4 D)", inches(4 * row.inches), None, PITCH_BOLT)


def bolt_shank(size: str) -> Size:
    """Return the shank of an AN bolt, `AN4`. Raises RefusedError."""
    row = torque.find(size)
    number = row.bolt.removeprefix("AN")
    shank = next((b for b in BOLTS if number and b.inches == int(number) / 16), None)
    if shank is None:
        raise no_row(size, (f"AN{round(b.inches * 16)}" for b in BOLTS))
    return shank


def is_bolt(size: str) -> bool:
    """Tell whether a size is meant as a bolt's."""
    plain = size.strip().upper()
    return plain.startswith("AN") and not is_number(plain)


def spacing(size: str) -> Answer:
    """Look up edge distance and pitch of a rivet (`1/8`, its number) or an AN bolt (`AN4`).

    Raises RefusedError.
    """
    if is_bolt(size):
        shank = bolt_shank(size)
        facts: tuple[Fact, ...] = (edge_of_bolt(shank), pitch_of_bolt(shank))
        return Answer(f"Spacing of bolts of {shank.name} in", facts, BOLT_CAUTIONS)
    row, said = rivet_shank(size)
    facts = of_rivet(row, heads_of(said))
    return Answer(f"Spacing of rivets of {row.name} in", facts, CAUTIONS)


def heads_of(said: str) -> tuple[str, ...]:
    """Return the heads that a number leaves open: flush ones stand in countersinks or dimples."""
    return {"protruding": ("protruding",), "flush": ("flush", "dimpled")}.get(said, HEADS)


def of_rivet(row: Size, heads: tuple[str, ...]) -> tuple[Fact, ...]:
    """Give edge distances and pitch of a rivet."""
    return (*(edge_of_rivet(row, head) for head in heads), pitch_of_rivet(row))
