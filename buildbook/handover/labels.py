"""Labels of pieces: which pieces, and what each label says."""

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

from buildbook.pages import paths
from buildbook.records.book import Book
from buildbook.records.labels import Piece
from buildbook.records.problems import did_you_mean


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says. A text that does not apply is empty."""

    label: str
    """The piece's own label."""
    name: str
    """What the part is called."""
    hand: str
    """`left-hand part`: which way the flange faces, in words."""
    side: str
    """`PORT` or `STARBOARD`: where it is fitted."""
    facts: tuple[str, ...]
    """Position, whether it is a spare or stands in for another, and bin."""
    address: str
    """Where its QR code leads."""


@dataclass(frozen=True, slots=True)
class Site:
    """Where the book is published."""

    address: str
    folders: bool
    """Its pages are folders, `parts/FN-001/`, and not files, `parts/FN-001.html`."""

    def piece(self, part: str, label: str) -> str:
        """Compose the address of a piece: its place on its part's page."""
        page, anchor = paths.part(part), paths.piece_anchor(label)
        top = self.address.removesuffix("index.html").rstrip("/")
        ending = "/" if self.folders else ".html"
        return f"{top}/{quote(page)}{ending}#{quote(anchor, safe='')}"


class UnknownNameError(Exception):
    """A part, piece, step or section that the book does not have; the message gives advice."""


def choose(
    book: Book,
    names: Iterable[str] = (),
    steps: Iterable[str] = (),
    sections: Iterable[str] = (),
) -> tuple[list[Piece], int]:
    """List the pieces of parts, steps and sections, each once; with none of these, all pieces.

    `names` are part numbers, or labels of single pieces. Scrapped pieces are left out unless
    named by their own label; how many is the second value. Raises UnknownNameError.
    """
    names, steps, sections = tuple(names), tuple(steps), tuple(sections)
    steps = (*steps, *_steps_in(book, sections))
    groups = [*(_of_name(book, n) for n in names), *(_of_step(book, s) for s in steps)]
    if not (names or steps or sections):
        groups = list(book.pieces.values())
    by_own_label = {g[0].label for n, g in zip(names, groups, strict=False) if _is_label(book, n)}
    found = {piece.label: piece for group in groups for piece in group}
    kept = [p for p in found.values() if not p.scrapped or p.label in by_own_label]
    return kept, len(found) - len(kept)


def _of_name(book: Book, name: str) -> tuple[Piece, ...]:
    if number := _known(name, book.parts):
        return book.pieces[number]
    if label := _known(name, book.piece_by_label):
        return (book.piece_by_label[label],)
    advice = did_you_mean(name, [*book.parts, *book.piece_by_label])
    raise UnknownNameError(_unknown("part or piece", name, advice))


def _is_label(book: Book, name: str) -> bool:
    return _known(name, book.parts) is None


def _of_step(book: Book, name: str) -> tuple[Piece, ...]:
    if name not in book.steps:
        raise UnknownNameError(_unknown("step", name, did_you_mean(name, book.steps, name="steps")))
    return tuple(p for number in book.steps[name].parts for p in book.pieces.get(number, ()))


def _steps_in(book: Book, sections: Iterable[str]) -> list[str]:
    found: list[str] = []
    for name in sections:
        if name not in book.sections:
            advice = did_you_mean(name, book.sections, name="sections")
            raise UnknownNameError(_unknown("section", name, advice))
        found += [f"{name}/{step.step}" for step in book.sections[name].steps]
    return found


def _known(name: str, known: Iterable[str]) -> str | None:
    """Find a name as written, or else as the only one that differs in capitals."""
    if name in known:
        return name
    alike = [k for k in known if k.casefold() == name.casefold()]
    return alike[0] if len(alike) == 1 else None


def _unknown(kind: str, name: str, advice: str) -> str:
    return f"the book has no {kind} `{name}`" + (f"; {advice}" if advice else "")


def labels_of(book: Book, pieces: Iterable[Piece], site: Site | None) -> list[Label]:
    """Compose the label of each piece; without a site, with no address."""
    return [_label(book, piece, site) for piece in pieces]


def _label(book: Book, piece: Piece, site: Site | None) -> Label:
    part = book.parts[piece.part]
    facts = (
        f"position {piece.position}" if piece.position else "",
        "SPARE" if piece.spare else "",
        f"SCRAPPED {piece.scrapped}" if piece.scrapped else "",
        f"replaces {piece.replaces}" if piece.replaces else "",
        f"bin {piece.bin}" if piece.bin else "",
    )
    return Label(
        piece.label,
        part.name,
        f"{part.hand}-hand part" if part.hand else "",
        piece.side.upper() if piece.side else "",
        tuple(filter(None, facts)),
        site.piece(piece.part, piece.label) if site else "",
    )
