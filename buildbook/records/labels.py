"""Pieces: the labels of a part's pieces, and the short ways of naming them in a session."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from buildbook.records.part import Part, PieceEntry, Side
from buildbook.records.problems import did_you_mean

_RUN = re.compile(r"(.*?)(\d+)\s*(?:to|\.\.|\N{EN DASH})\s*(.*?)(\d+)")
_BLANK = re.compile(r"\{(?P<name>part|n|side|position)(?::0?(?P<width>[1-9]))?\}")
MAX_RUN = 5000


@dataclass(frozen=True, slots=True)
class Piece:
    """One physical item."""

    part: str
    label: str
    """As written on the piece, unique in the book, for example `ST-014-L-03`."""
    mark: str
    """The short form used in records of one part, for example `03`."""
    side: Side | None = None
    position: str | None = None
    bin: str | None = None
    spare: bool = False
    scrapped: date | None = None
    replaces: str | None = None
    unwrapped: date | None = None

    @property
    def fitted(self) -> bool:
        """It is meant for the aircraft: neither a spare nor scrapped."""
        return not self.spare and not self.scrapped


def expand_run(words: str) -> list[str]:
    """Write out `01 to 06`; one label stays as it is. Raises ValueError with a sentence.

    Leading zeros are kept: the first number says how many digits there are.
    """
    found = _RUN.fullmatch(words.strip())
    if not found:
        return [words.strip()]
    stem, first, stem_again, last = found.groups()
    if stem_again not in ("", stem):
        raise ValueError(f"`{words}` runs from one name to another")
    low, high = int(first), int(last)
    if high < low:
        raise ValueError(f"`{words}` runs backwards")
    if high - low >= MAX_RUN:
        raise ValueError(f"`{words}` would be {high - low + 1:,} pieces")
    return [f"{stem}{n:0{len(first)}}" for n in range(low, high + 1)]


class Wrong(NamedTuple):
    """Something in the way a part's pieces are written."""

    path: tuple[str | int, ...]
    """Where, from the part on."""
    said: str
    advice: str


_RUN_ADVICE = "write a run of pieces as `01 to 06`"
_LABEL_ADVICE = "use `{part}`, `{n:02}`, `{side}` and `{position}`"


def pieces_of(part: Part) -> tuple[list[Piece], list[Wrong]]:
    """List a part's pieces, and what is wrong with how they are written."""
    wrong: list[Wrong] = []
    pieces: list[Piece] = []
    seen: set[str] = set()
    for n, (path, mark, position, entry) in enumerate(_marks(part, wrong), 1):
        if n > MAX_RUN:
            said = f"{part.part} has more than {MAX_RUN:,} pieces"
            wrong.append(Wrong(path, said, "make several parts of it"))
            break
        try:
            label = _label(part, mark, n, entry.side, position)
        except ValueError as error:
            wrong.append(Wrong(("label",), str(error), _LABEL_ADVICE))
            break
        if label in seen:
            said = f"the label {label} is given to two pieces"
            if part.label and "{n" not in part.label:
                wrong.append(Wrong(("label",), said, "put `{n:02}` into it, the piece's number"))
            else:
                wrong.append(Wrong(path, said, "give each piece a label of its own"))
            continue
        seen.add(label)
        pieces.append(
            Piece(
                part.part,
                label,
                mark,
                entry.side,
                position,
                entry.bin,
                entry.spare,
                entry.scrapped,
                entry.replaces,
                entry.unwrapped or part.unwrapped,
            )
        )
    return pieces, wrong


_Mark = tuple[tuple[str | int, ...], str, str | None, PieceEntry]


def _marks(part: Part, wrong: list[Wrong]) -> Iterator[_Mark]:
    """Yield each piece's place in the part, mark, position and entry; note what does not fit."""
    if not part.pieces and not part.hardware:
        width = max(2, len(str(part.quantity)))
        plain = PieceEntry.model_construct(piece="")
        for n in range(1, part.quantity + 1):
            yield ("label" if part.label else "part",), f"{n:0{width}}", None, plain
    for i, entry in enumerate(part.pieces):
        where = "piece"
        try:
            run = expand_run(entry.piece)
            where = "position"
            positions = expand_run(entry.position) if entry.position else [""]
        except ValueError as error:
            wrong.append(Wrong(("pieces", i, where), str(error), _RUN_ADVICE))
            continue
        if len(positions) == 1:
            positions *= len(run)
        if len(positions) != len(run):
            said = f"{len(run)} pieces and {len(positions)} positions do not fit together"
            advice = "write one position for all, or one for each"
            wrong.append(Wrong(("pieces", i, "position"), said, advice))
            continue
        for mark, position in zip(run, positions, strict=True):
            yield ("pieces", i, "piece"), mark, position or None, entry


def _label(part: Part, mark: str, n: int, side: Side | None, position: str | None) -> str:
    if part.label is None:
        return mark if mark.startswith(part.part) else f"{part.part}-{mark}"
    values: dict[str, str | int] = {
        "part": part.part,
        "n": int(mark) if mark.isdecimal() else n,
        "side": side or "",
        "position": int(position) if position and position.isdecimal() else position or "",
    }
    filled = _BLANK.sub(lambda b: _fill(values[b["name"]], b["width"]), part.label)
    if "{" in filled or "}" in filled:
        raise ValueError(f"`{part.label}` cannot be filled in")
    return filled if filled.startswith(part.part) else f"{part.part}-{filled}"


def _fill(value: str | int, width: str | None) -> str:
    return f"{value:0{int(width)}}" if width and isinstance(value, int) else str(value)


class PieceFinder:
    """Finds pieces of one part by the words a session uses."""

    def __init__(self, part: str, pieces: list[Piece]) -> None:
        self.part = part
        self.pieces = pieces
        self._by_name = {name.casefold(): p for p in reversed(pieces) for name in (p.label, p.mark)}
        for p in pieces:  # `3` finds `03`, as long as no other piece is called 3
            if p.mark.isdecimal():
                self._by_name.setdefault(str(int(p.mark)), p)

    def find(self, words: str, on: date | None = None) -> list[Piece]:
        """Return the pieces meant by `all`, `port`, `starboard`, a label, or a run of labels.

        `all` are the pieces to be fitted as they were on that date: one scrapped later was still
        there, and what replaced it was not. Raises ValueError with a sentence and advice as its
        two arguments.
        """
        folded = words.casefold().strip()
        fitted = [p for p in self.pieces if not p.spare and self._is_there(p, on)]
        if folded == "all":
            return fitted
        if folded in ("port", "starboard"):
            if found := [p for p in fitted if p.side == folded]:
                return found
            raise ValueError(f"no piece of {self.part} is on the {folded} side", self._choice())
        try:
            run = expand_run(words)
        except ValueError as error:
            raise ValueError(str(error), self._choice()) from None
        found = []
        for name in run:
            piece = self._by_name.get(name.casefold())
            if piece is None and name.isdecimal():
                piece = self._by_name.get(str(int(name)))
            if piece is None and (run_of := re.fullmatch(r"(\d+)\s*-\s*(\d+)", name)):
                advice = f"write a run of pieces as `{run_of[1]} to {run_of[2]}`"
                raise ValueError(f"{self.part} has no piece `{name}`", advice)
            if piece is None:
                advice = did_you_mean(name, [p.mark for p in self.pieces]) if len(run) == 1 else ""
                raise ValueError(f"{self.part} has no piece `{name}`", advice or self._choice())
            found.append(piece)
        return found

    def _is_there(self, piece: Piece, on: date | None) -> bool:
        if piece.scrapped and (on is None or piece.scrapped <= on):
            return False
        before = self._by_name.get(piece.replaces.casefold()) if piece.replaces else None
        return not (on and before and before.scrapped and on < before.scrapped)

    def _choice(self) -> str:
        marks = [p.mark for p in self.pieces]
        if len(marks) > 8:  # noqa: PLR2004 - a list that still reads at a glance
            return f"its pieces are {marks[0]} to {marks[-1]}"
        return f"its pieces are {', '.join(marks)}" if marks else "it has no pieces"
