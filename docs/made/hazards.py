"""What can hurt in the work, as the program says it beside every operation that names it."""

from collections.abc import Iterator

from buildbook.reference.hazards import FIRST, HAZARDS


def hazards() -> str:
    """Return the hazards that operations may name, each with its usual protection and sources."""
    return "\n".join(_lines())


def _lines() -> Iterator[str]:
    yield f"> {FIRST}"
    for hazard in HAZARDS.values():
        yield from ("", f"### {hazard.title}", "", hazard.harm, "")
        yield from (f"- {sentence}" for sentence in hazard.protection)
        cited = "; ".join(source.words for source in hazard.sources)
        yield from ("", f"Named in an operation as `hazards: {hazard.name}`. Sources: {cited}.")
