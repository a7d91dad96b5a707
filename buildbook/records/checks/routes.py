"""Routes: pieces done twice, out of order or after they were scrapped; sides and hands mixed."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from datetime import date

from buildbook.records.book import Book
from buildbook.records.labels import Piece
from buildbook.records.part import Part
from buildbook.records.problems import Problem, Severity
from buildbook.records.session import Work


def check_routes(book: Book) -> Iterator[Problem]:
    """Yield what a builder may have mistaken; each can be acknowledged in the record."""
    done: dict[str, set[str]] = defaultdict(set)
    for slug, session in book.sessions.items():
        for work, named in zip(session.entries, book.named_pieces[slug], strict=True):
            if work.operation is None:
                continue
            for number, labels in named.items():
                if labels and not _only_looked_at(book, work.operation, number):
                    if not work.knowingly:
                        yield from _unlikely(book, work, number, labels, done=done, on=session.date)
                    for label in labels:
                        done[label].add(work.operation)
    yield from _unfinished(book, done)
    for part in book.parts.values():
        yield from _sides(part, book.pieces[part.part])
        yield from _hand_for_side(part)


def _only_looked_at(book: Book, operation: str, number: str) -> bool:
    """Tell whether bare pieces were looked at: that is on no route, and comes again and again."""
    rule = book.file.storage
    return bool(rule and operation in rule.inspected_by) and (
        operation not in book.parts[number].route
    )


def _unlikely(
    book: Book,
    work: Work,
    number: str,
    labels: tuple[str, ...],
    *,
    done: dict[str, set[str]],
    on: date,
) -> Iterator[Problem]:
    part, operation = book.parts[number], work.operation
    assert operation is not None
    route = part.route
    before = route[: route.index(operation)] if operation in route else ()
    again = [x for x in labels if operation in done[x]]
    early = [(x, op) for x in labels for op in before if op not in done[x]]
    scrapped = [x for x in labels if (s := book.piece_by_label[x].scrapped) and s < on]
    said = []
    if again:
        said.append(("done-twice", f"`{operation}` was already done on {_some(again)}"))
    if early:
        who = _some(list(dict.fromkeys(x for x, _ in early)))
        what = ", ".join(f"`{op}`" for op in dict.fromkeys(op for _, op in early))
        said.append(("out-of-order", f"`{operation}` comes before {what} on {who}"))
    if scrapped:
        said.append(("work-on-scrap", f"{_some(scrapped)} was scrapped before this"))
    if not route and not part.not_needed:
        said.append(("no-route", f"{number} has no `route`, so its pieces are not followed"))
    elif operation not in route and operation not in part.not_needed:
        said.append(("off-route", f"`{operation}` is not in the route of {number}"))
    if operation in part.not_needed:
        said.append(("not-needed-done", f"`{operation}` is said not to be needed on {number}"))
    for code, words in said:
        yield Problem(
            code,
            words,
            work.place.at("pieces"),
            Severity.WARNING,
            advice="give the part a `route`, its operations in order"
            if code == "no-route"
            else "if it is meant, add `knowingly:` with the reason",
        )


def _unfinished(book: Book, done: dict[str, set[str]]) -> Iterator[Problem]:
    """Warn of steps called finished though pieces that are followed have yet to be done there."""
    finished = {
        work.step: work
        for session in book.sessions.values()
        for work in session.entries
        if work.finished and work.step in book.steps and not work.knowingly
    }
    for name, work in finished.items():
        step = book.steps[name or ""]
        for number in step.parts:
            part = book.parts.get(number)
            pieces = [p for p in book.pieces.get(number, ()) if p.fitted]
            for operation in step.operations if part else ():
                undone = [p.label for p in pieces if operation not in done[p.label]]
                followed = part and operation in part.route and len(undone) < len(pieces)
                if followed and undone:
                    yield Problem(
                        "finished-early",
                        f"the step is called finished, and `{operation}` has yet to be done on "
                        f"{_some(undone)}",
                        work.place.at("finished"),
                        Severity.WARNING,
                        advice="record those pieces, or add `knowingly:` with the reason",
                    )


def _some(labels: list[str]) -> str:
    shown = ", ".join(labels[:3])
    return shown if len(labels) <= 3 else f"{shown} and {len(labels) - 3} more"  # noqa: PLR2004


def _sides(part: Part, pieces: Iterable[Piece]) -> Iterator[Problem]:
    fitted = Counter(str(p.side) for p in pieces if p.fitted)
    for side, planned in (("port", part.port), ("starboard", part.starboard)):
        if planned is not None and fitted[side] > planned:
            yield Problem(
                "too-many-on-a-side",
                f"{part.part} has {fitted[side]} pieces on the {side} side, "
                f"the plans call for {planned}",
                part.place.at(side),
                Severity.WARNING,
                advice="mend the `side` of its pieces, or the number",
            )
    planned_both = (part.port or 0) + (part.starboard or 0)
    if part.port is not None and part.starboard is not None and planned_both != part.quantity:
        yield Problem(
            "quantity-disagrees",
            f"{part.port} port and {part.starboard} starboard are {planned_both}, "
            f"and `quantity` is {part.quantity}",
            part.place.at("port"),
            advice="mend one of the three",
        )


_MIXED = re.compile(
    r"\b(?:left|right)(?:[- ]hand)?[- ]side\b|\b(?:port|starboard)[- ]hand(?:ed)?\b", re.IGNORECASE
)


def _hand_for_side(part: Part) -> Iterator[Problem]:
    """Warn where words mix the side of the aircraft with the hand of a part.

    A left-hand number fitted to port, or to starboard, is fine: the two are different facts.
    """
    for name in ("name", "notes", "label", "finish"):
        if found := _MIXED.search(getattr(part, name) or ""):
            yield _mixed(part, (name,), found)
    for i, entry in enumerate(part.pieces):
        for name in ("piece", "position", "why"):
            if found := _MIXED.search(getattr(entry, name) or ""):
                yield _mixed(part, ("pieces", i, name), found)


def _mixed(part: Part, path: tuple[str | int, ...], found: re.Match[str]) -> Problem:
    return Problem(
        "hand-or-side",
        f"`{found[0]}` mixes the side of the aircraft with the hand of a part",
        part.place.at(*path),
        Severity.WARNING,
        advice="write port or starboard for the side, left-hand or right-hand for the part",
        find=found[0],
    )
