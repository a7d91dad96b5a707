"""Sheets: pieces down, operations across, to read, to print, or to print blank and tick by hand."""

from dataclasses import dataclass, replace
from datetime import date

from buildbook.ledger.routes import Cell, CellState, PieceRow, Sheet
from buildbook.pages import paths
from buildbook.pages.context import Context, once
from buildbook.pages.page import Link, Page
from buildbook.pages.words import compact_date, say, translated
from buildbook.records.labels import Piece


@dataclass(frozen=True, slots=True)
class CellView:
    """One piece and one operation."""

    state: CellState
    words: str
    """What the cell says: a date where it is done, else a word or two."""
    session: Link | None
    squawks: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class RowView:
    """One piece."""

    piece: Piece
    place: str
    """Side and position in words."""
    remark: str
    """Spare, scrapped, or what it replaces."""
    cells: tuple[CellView, ...]

    @property
    def anchor(self) -> str:
        """Identifier of the row on its part's page."""
        return paths.piece_anchor(self.piece.label)


@dataclass(frozen=True, slots=True)
class SheetView:
    """The sheet of one part, or of what one step does to it."""

    part: Link
    name: str
    datum: str
    operations: tuple[Link, ...]
    counts: tuple[tuple[int, int], ...]
    """For each operation, pieces done and pieces that need it."""
    reasons: tuple[tuple[str, str], ...]
    """Operations that are not needed, each with the reason."""
    rows: tuple[RowView, ...]
    bins: bool
    places: bool
    remarks: bool


@dataclass(frozen=True, slots=True)
class SheetsView:
    """Template `sheet.html`: a page to print."""

    title: str
    back: Link
    plan: str
    sheets: tuple[SheetView, ...]


def sheet_view(context: Context, sheet: Sheet, only: tuple[str, ...] = ()) -> SheetView:
    """Make the view of a part's sheet; with `only`, of these operations."""
    part = context.book.parts[sheet.part]
    operations = [op for op in sheet.operations if not only or op in only]
    at = [sheet.operations.index(op) for op in operations]
    columns = [sheet.column(op) for op in operations]
    rows = tuple(_row(context, row, at) for row in sheet.rows)
    return SheetView(
        part=context.part_link(sheet.part),
        name=part.name,
        datum=part.datum or "",
        operations=tuple(map(context.operation_link, operations)),
        counts=tuple(
            (
                sum(c.state is CellState.DONE for c in cells),
                sum(c.state is not CellState.NOT_NEEDED for c in cells),
            )
            for cells in columns
        ),
        reasons=tuple(
            (context.operation_link(op).text, part.not_needed[op])
            for op in operations
            if op in part.not_needed
        ),
        rows=rows,
        bins=any(r.piece.bin for r in rows),
        places=any(r.place for r in rows),
        remarks=any(r.remark for r in rows),
    )


def _row(context: Context, row: PieceRow, at: list[int]) -> RowView:
    piece = row.piece
    holding = tuple(Link(say("squawk %(number)s", number=n), paths.squawk(n)) for n in row.held_by)
    cells = [_cell(context, row.cells[i]) for i in at]
    cells = [replace(c, squawks=holding) if c.state is CellState.HELD else c for c in cells]
    remarks = [
        say("scrapped %(scrapped)s", scrapped=piece.scrapped) if piece.scrapped else "",
        say("spare") if piece.spare else "",
        say("replaces %(replaces)s", replaces=piece.replaces) if piece.replaces else "",
    ]
    return RowView(
        piece, context.piece_words(piece), ", ".join(filter(None, remarks)), tuple(cells)
    )


@once
def _cell(context: Context, cell: Cell) -> CellView:
    link = context.session_link(cell.session) if cell.session else None
    words = _date(cell.on, cell.times) if cell.on else translated(cell.state.value)
    return CellView(cell.state, words, link, ())


def _date(day: date, times: int) -> str:
    shown = compact_date(day)
    return say("%(day)s (%(times)s times)", day=shown, times=times) if times > 1 else shown


def has_part_sheet(context: Context, number: str) -> bool:
    """Tell whether a part has a sheet to print: a single piece needs none."""
    sheet = context.ledger.routes.sheets[number]
    return len(sheet.rows) > 1 and bool(sheet.operations)


def part_sheet_link(context: Context, number: str) -> Link | None:
    """Link to a part's sheet, where it has one."""
    has = has_part_sheet(context, number)
    return Link(say("Sheet to print"), paths.part_sheet(number)) if has else None


def part_sheet_page(context: Context, number: str) -> Page:
    """Lay out the sheet of a part to print."""
    sheet = context.ledger.routes.sheets[number]
    part = context.book.parts[number]
    view = SheetsView(
        say("%(number)s %(name)s: sheet", number=number, name=part.name),
        context.part_link(number),
        part.plan or "",
        (sheet_view(context, sheet),),
    )
    return _page(paths.part_sheet(number), view, part.place.file)


def _sheets_of_step(context: Context, name: str) -> tuple[tuple[str, ...], list[Sheet]]:
    """Give the operations a step does, and the sheets of the parts it does one of them to."""
    step = context.book.steps[name]
    only = context.book.operations_of(step)
    sheets = [context.ledger.routes.sheets[n] for n in step.parts if n in context.book.parts]
    return only, [s for s in sheets if set(only) & set(s.operations)]


def has_step_sheet(context: Context, name: str) -> bool:
    """Tell whether a step has a sheet to print: a single piece needs none."""
    return sum(len(s.rows) for s in _sheets_of_step(context, name)[1]) > 1


def step_sheet_link(context: Context, name: str) -> Link | None:
    """Link to a step's sheet, where it has one."""
    has = has_step_sheet(context, name)
    return Link(say("Sheet to print"), paths.step_sheet(name)) if has else None


def step_sheet_page(context: Context, name: str) -> Page:
    """Lay out the sheet of a step to print: its parts, and the operations it does to them."""
    step = context.book.steps[name]
    only, sheets = _sheets_of_step(context, name)
    views = [sheet_view(context, sheet, only) for sheet in sheets]
    view = SheetsView(
        say("%(name)s: sheet", name=context.step_in_section(name)),
        context.step_link(name),
        step.plan or "",
        tuple(views),
    )
    return _page(paths.step_sheet(name), view, step.place.file)


def _page(path: str, view: SheetsView, file: str) -> Page:
    return Page(
        path,
        view.title,
        "sheet.html",
        view,
        [],  # a search for a part or a step leads to its own page, and from there here
        frozenset({file}),
    )
