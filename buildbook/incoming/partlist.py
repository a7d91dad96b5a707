"""A part list or packing list: which column is what, and what each row says of a part."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from buildbook.incoming.headings import guess, heads, named
from buildbook.incoming.table import NoTableError, Row, Table
from buildbook.records.part import Part
from buildbook.records.problems import Place, Problem
from buildbook.records.validate import validate

HEADINGS = {
    "part": (
        "part number", "part no", "part nr", "part num", "part", "p n", "pn", "item number",
        "item no", "drawing number", "drawing no", "drawing",
    ),
    "name": ("name", "part name", "description", "designation", "title", "item"),
    "quantity": (
        "quantity", "qty", "quantity needed", "qty needed", "needed", "quantity required",
        "qty required", "required", "qty req", "quantity ordered", "qty ordered", "no off",
        "quan", "count", "pieces", "pcs",
    ),
    "received": (
        "received", "quantity received", "qty received", "rec d", "recd", "qty recd", "shipped",
        "quantity shipped", "qty shipped", "delivered", "packed", "arrived",
    ),
    "damaged": ("damaged", "quantity damaged", "qty damaged", "broken", "bad"),
    "material": ("material", "alloy", "material spec"),
    "temper": ("temper", "condition"),
    "thickness": ("thickness", "thk", "gauge", "gage", "sheet thickness"),
    "hand": ("hand", "lh rh", "l r", "handed", "left right"),
}  # fmt: skip
"""Words that usually head a column, by the field of a part it holds, the surest first."""
COUNTS = ("quantity", "received", "damaged")
UNITS = ("in", "mm")
_HEADER_WITHIN = 20
_NOTHING = ("", "-", "--", "n/a", "na", "none", "n.a.", "\N{EN DASH}", "\N{EM DASH}")
_HANDS = {
    **dict.fromkeys(("left", "l", "lh", "left hand", "left-hand", "lefthand"), "left"),
    **dict.fromkeys(("right", "r", "rh", "right hand", "right-hand", "righthand"), "right"),
}
_COUNT = re.compile(
    r"(?:x\s*)?0*(?P<n>[0-9]{1,6})(?:[.,]0{1,2})?\s*(?:x|ea|each|pc|pcs|pce|off|no|nos)?\.?"
)
_TEMPERED = re.compile(r"([0-9]{4})\s*[- ]\s*([FOHTW][0-9]{0,5})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column of a table holds which field."""

    at: Mapping[str, int]
    """Index of the column, by field."""
    headings: tuple[str, ...]
    """As written; empty where the table has none."""
    first: int
    """Index of the first row that is not a heading."""

    def heading(self, field: str) -> str:
        """Return the heading of a field's column."""
        at = self.at[field]
        return self.headings[at].strip() if self.headings else f"column {at + 1}"

    @property
    def unused(self) -> list[str]:
        """Headings of the columns that hold no field of a part."""
        used = set(self.at.values())
        return [h.strip() for i, h in enumerate(self.headings) if h.strip() and i not in used]


@dataclass(frozen=True, slots=True)
class ListedPart:
    """What one row says."""

    line: int
    number: str
    """The part number as written, right or wrong; may be empty."""
    part: Part | None
    """None when the row cannot be understood."""
    said: tuple[str, ...] = ()
    """Fields of the part that the row speaks of; the others have what parts have by default."""
    wrong: tuple[str, ...] = ()
    """What is wrong with it, in sentences."""
    lacks: tuple[str, ...] = ()
    """What a part that is new to the book would need besides, in sentences."""


def find_columns(
    table: Table, wanted: Mapping[str, str] | None = None, *, header: bool = True
) -> Columns:
    """Find out which column is what.

    `wanted` says it for some fields: a heading, or the number of a column from 1. The others are
    guessed from the headings, where there are any. Raises NoTableError with what to do.
    """
    wanted = wanted or {}
    if not header:
        width = max(len(row.cells) for row in table.rows)
        return _complete({f: _column_number(f, w, width) for f, w in wanted.items()}, (), 0)
    best: Columns | None = None
    for i, row in enumerate(table.rows[:_HEADER_WITHIN]):
        at = {f: n for f, w in wanted.items() if (n := named(w, row.cells)) is not None}
        if len(at) == len(wanted):
            found = Columns(guess(row.cells, at, HEADINGS), row.cells, i + 1)
            if "part" in found.at and (best is None or len(found.at) > len(best.at)):
                best = found
    if best:
        return best
    first = table.rows[0].cells
    for field, words in wanted.items():
        if named(words, first) is None:
            raise NoTableError(f"no column is headed `{words}`, given as --{field}; {heads(first)}")
    raise NoTableError(
        f"no column is headed as part numbers are; {heads(first)}. Say which with --part HEADING "
        "or --part 1"
    )


def _complete(at: dict[str, int], headings: tuple[str, ...], first: int) -> Columns:
    if "part" not in at:
        raise NoTableError("without headings, say which columns are what: --part 1 --name 2 ...")
    return Columns(at, headings, first)


def _column_number(field: str, words: str, width: int) -> int:
    if words.isdecimal() and 1 <= int(words) <= width:
        return int(words) - 1
    raise NoTableError(f"--{field} {words}: without headings, write a number from 1 to {width}")


def parts_in(table: Table, columns: Columns, *, unit: str = "") -> list[ListedPart]:
    """Read every row below the headings. `unit` is that of thicknesses written without one."""
    if not unit and "thickness" in columns.at:
        in_heading = re.search(
            r"[(\[]\s*(in|inch|inches|mm)\.?\s*[)\]]", columns.heading("thickness").casefold()
        )
        unit = {"mm": "mm"}.get(in_heading[1], "in") if in_heading else ""
    return [_listed(row, columns, unit) for row in table.rows[columns.first :]]


def _listed(row: Row, columns: Columns, unit: str) -> ListedPart:
    cells = {
        f: " ".join(row.cells[i].split()) if i < len(row.cells) else ""
        for f, i in columns.at.items()
    }
    number = cells["part"]
    wrong = [] if number else ["there is no part number"]
    if columns.headings and any(c.strip() for c in row.cells[len(columns.headings) :]):
        more = f"{len(row.cells)} cells under {len(columns.headings)} headings"
        wrong.append(f"{more}: a text with a separator in it needs quotation marks around it")
    data = _data(cells, unit)
    part, problems = validate(Part, {"name": "?", **data}, Place(""))
    wrong += [_in_words(p, number, unit) for p in problems if number or p.place.path != ("part",)]
    if isinstance(part, Part):
        wrong += _impossible(part, data)
    if wrong or not isinstance(part, Part):
        return ListedPart(row.line, number, None, (), tuple(wrong))
    lacks = [] if "name" in data else ["there is no name"]
    if "quantity" in columns.at and "quantity" not in data:
        lacks.append("there is no quantity")
    return ListedPart(row.line, part.part, part, tuple(data), lacks=tuple(lacks))


def _in_words(problem: Problem, number: str, unit: str) -> str:
    advice = problem.advice
    if problem.place.path == ("part",):
        better = re.sub(r"[^A-Za-z0-9._-]+", "-", number).strip("-._")
        advice = "use letters, digits, hyphens, points and underscores, without spaces"
        advice += f", as `{better}`" if better else ""
    elif problem.place.path == ("thickness",) and not unit and "no unit" in problem.message:
        advice = "say which with --unit in or --unit mm"
    return problem.message + (f": {advice}" if advice else "")


def _data(cells: Mapping[str, str], unit: str) -> dict[str, Any]:
    """Write a row's cells as the fields of a part record, without those that say nothing."""
    data: dict[str, Any] = {}
    for field, cell in cells.items():
        if field != "part" and cell.casefold() in _NOTHING:
            continue
        if field in COUNTS:
            count = _COUNT.fullmatch(cell.casefold())
            data[field] = count["n"] if count else cell
        elif field == "hand":
            data[field] = _HANDS.get(" ".join(cell.casefold().split()), cell)
        elif field == "material" and (alloy := _TEMPERED.fullmatch(cell)):
            data |= {"material": alloy[1], "temper": alloy[2].upper()}
        elif field == "thickness":
            plain = re.sub(r"(\d),(\d)", r"\1.\2", cell)
            bare = re.fullmatch(r"[0-9.]+", plain)
            data[field] = f"{plain} {unit}" if bare and unit else plain
        else:
            data[field] = cell
    return data


def _impossible(part: Part, data: dict[str, Any]) -> list[str]:
    said = []
    if "quantity" in data and part.quantity == 0:
        said.append("0 of a part is nothing to make: correct it, or leave the row out")
    if part.damaged and part.received is None:
        said.append(f"{part.damaged} damaged, and not how many were received")
    elif part.received is not None and part.damaged > part.received:
        said.append(f"{part.damaged} damaged of {part.received} received cannot be")
    return said
