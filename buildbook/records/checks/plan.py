"""The plan: steps, parts and pieces that do not fit together."""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.labels import Piece, pieces_of
from buildbook.records.part import Part
from buildbook.records.problems import Place, Problem, Severity, did_you_mean
from buildbook.records.session import Work


def check_plan(book: Book, broken: frozenset[str]) -> Iterator[Problem]:
    """Yield what the sections, parts and sessions contradict each other in."""
    yield from _steps_and_parts(book, broken)
    yield from _pieces(book)
    for session in book.sessions.values():
        for work in session.entries:
            yield from _worked_pieces(book, work, session.date)
    yield from _inspections(book)


def _steps_and_parts(book: Book, broken: frozenset[str]) -> Iterator[Problem]:
    planned = {number for step in book.steps.values() for number in step.parts}
    if "sections" not in broken:
        for number, part in book.parts.items():
            if number not in planned and not part.hardware:
                yield Problem(
                    "part-without-step",
                    f"no step works on part `{number}`",
                    part.place.at("part"),
                    Severity.WARNING,
                    advice="add it to the `parts` of a step",
                )
    for name, step in book.steps.items():
        if step.parts and step.without_parts:
            yield Problem(
                "parts-or-none",
                f"step `{name}` names parts and says that it has none",
                step.place.at("without parts"),
                advice="keep one of the two",
            )
        elif not step.parts and not step.without_parts:
            yield Problem(
                "step-without-part",
                f"step `{name}` works on no part",
                step.place.at("step"),
                Severity.WARNING,
                advice="list its `parts`, or say `without parts: yes`",
            )


def _pieces(book: Book) -> Iterator[Problem]:
    labels: dict[str, Place] = {}
    for part in book.parts.values():
        pieces, wrong = pieces_of(part)
        for path, said, advice in wrong:
            yield Problem("bad-pieces", said, part.place.at(*path), advice=advice)
        taken = [p.label for p in pieces if p.label in labels]
        if taken:
            more = f" and {len(taken) - 1} more" if len(taken) > 1 else ""
            yield Problem(
                "label-clash",
                f"the label {taken[0]}{more} is already used in {labels[taken[0]].file}",
                part.place.at("label" if part.label else "part"),
                advice="give one of the two parts another `label`",
            )
        labels |= dict.fromkeys((p.label for p in pieces), part.place)
        if not wrong:
            yield from _enough_pieces(part, pieces)
        yield from _route(part)


def _enough_pieces(part: Part, pieces: list[Piece]) -> Iterator[Problem]:
    fitted = [p for p in pieces if p.fitted]
    if part.pieces and len(fitted) != part.quantity:
        yield Problem(
            "quantity-disagrees",
            f"{part.part} needs {part.quantity} and has {len(fitted)} pieces to fit",
            part.place.at("quantity" if "quantity" in part.model_fields_set else "pieces"),
            advice="mend `quantity`, or mark pieces as `spare: yes` or `scrapped`",
        )
    known = {p.mark for p in pieces} | {p.label for p in pieces}
    for i, entry in enumerate(part.pieces):
        if entry.replaces and entry.replaces not in known:
            yield Problem(
                "unknown-piece",
                f"{part.part} has no piece `{entry.replaces}`",
                part.place.at("pieces", i, "replaces"),
                advice=did_you_mean(entry.replaces, known),
            )


def _route(part: Part) -> Iterator[Problem]:
    for name, count in Counter(part.route).items():
        if count > 1:
            yield Problem(
                "route-twice",
                f"`{name}` stands {count} times in the route",
                part.place.at("route"),
                advice="an operation is done once to a piece",
                find=name,
                skip=1,
            )
    for name in part.not_needed:
        if name in part.route:
            yield Problem(
                "route-and-not",
                f"`{name}` is in the route and under `not needed`",
                part.place.at("not needed", name),
                advice="keep one of the two",
                of_key=True,
            )


def _worked_pieces(book: Book, work: Work, on: date) -> Iterator[Problem]:
    by_part = work.piece_words
    if "" in work.pieces and not by_part:
        said = "no part is named" if not work.parts else f"{len(work.parts)} parts are named"
        yield Problem(
            "pieces-of-what",
            f"it is not clear which part these pieces are of: {said}",
            work.place.at("pieces"),
            advice="name one part in `parts`, or write the pieces by part number",
        )
    for number, words in by_part.items():
        finder = book.finders.get(number)
        if finder is None:
            continue  # an unknown part is told where it is cited
        path = ("pieces", number) if number in work.pieces else ("pieces",)
        for i, text in enumerate(words):
            try:
                finder.find(text, on)
            except ValueError as error:
                said, advice = error.args
                place = work.place.at(*path, i)
                yield Problem("unknown-piece", said, place, advice=advice, find=text)


def _inspections(book: Book) -> Iterator[Problem]:
    for signoff in book.signoffs:
        step = book.steps.get(signoff.step)
        if step and signoff.inspection not in step.inspections:
            known = ", ".join(step.inspections)
            yield Problem(
                "unknown-inspection",
                f"step `{signoff.step}` asks for no such inspection",
                signoff.place.at("inspection"),
                Severity.WARNING,
                advice=f"it asks for: {known}" if known else "add it to the step's `inspections`",
            )
