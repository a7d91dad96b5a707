"""Tables of what is computed: hours, pieces, routes, spending, beside those of the records."""

from dataclasses import replace

from buildbook.handover.modelcolumns import FILES, PIECES
from buildbook.handover.modeltables import ModelTables
from buildbook.handover.tables import Column, Table, plain
from buildbook.ledger.ledger import Ledger
from buildbook.records.book import Book


def tables_of(book: Book, ledger: Ledger) -> list[Table]:
    """Lay out every table of a book, in no order that matters."""
    made = ModelTables(book)
    tables = made.tables
    _add_minutes(book, ledger, tables)
    return [
        *tables.values(),
        _files(book),
        _pieces(book),
        _hours(ledger, made.work_ids),
        _piece_work(ledger, made.work_ids),
        _routes(ledger),
        _spending(book, ledger),
    ]


def _add_minutes(book: Book, ledger: Ledger, tables: dict[str, Table]) -> None:
    """Say with every session and piece of work how long it took, shared out as on the pages."""
    more = (
        Column("clock_minutes", "integer", "Minutes by the clock, as reckoned.", needed=True),
        Column("person_minutes", "integer", "The same for each person.", needed=True),
    )
    took = {
        "sessions": [ledger.hours.by_session[slug] for slug in book.sessions],
        "work": [(stint.minutes, stint.person_minutes) for stint in ledger.stints],
    }
    for name, minutes in took.items():
        table = tables[name]
        rows = [(*row, *both) for row, both in zip(table.rows, minutes, strict=True)]
        tables[name] = replace(table, columns=(*table.columns, *more), rows=rows)


def _files(book: Book) -> Table:
    columns = (
        Column("file", "text", "Path inside the folder of photos.", needed=True),
        Column("kind", "text", "`photo` or `clip`.", needed=True),
    )
    rows = [(file, "photo") for file in book.photo_files]
    rows += [(file, "clip") for file in book.clip_files]
    return Table(FILES, "Pictures and clips that are there.", columns, sorted(rows))


def _pieces(book: Book) -> Table:
    columns = (
        Column("piece", "text", "Its label.", needed=True),
        Column("part", "text", "Its part number.", "parts", needed=True),
        Column("mark", "text", "What tells it from the other pieces of its part.", needed=True),
        Column("side", "text", "Side of the aircraft it is fitted on."),
        Column("position", "text", "Station or bay."),
        Column("bin", "text", "Where it is kept until it is fitted."),
        Column("spare", "yes-no", "Not planned for fitting.", needed=True),
        Column("scrapped", "date", "When it was scrapped."),
        Column("replaces", "text", "Label of the piece it stands in for."),
        Column("unwrapped", "date", "When its film or wrapping came off."),
        Column("fitted", "yes-no", "It is to be fitted: no spare, not scrapped.", needed=True),
    )
    names = [column.name for column in columns]
    rows = [
        tuple(plain(piece.label if n == "piece" else getattr(piece, n)) for n in names)
        for piece in book.piece_by_label.values()
    ]
    return Table(PIECES, "Every single piece of every part.", columns, rows)


def _hours(ledger: Ledger, work_ids: dict[tuple[str, int], int]) -> Table:
    columns = (
        Column("id", "integer", "Key.", needed=True),
        Column("work", "integer", "The piece of work.", "work", needed=True),
        Column("session", "text", "Its session.", "sessions", needed=True),
        Column("date", "date", "Day the session began.", needed=True),
        Column("section", "text", "The section worked on.", "sections"),
        Column("step", "text", "The step worked on.", "steps"),
        Column("operation", "text", "The kind of work.", "operations"),
        Column("person", "text", "Who worked.", "people"),
        Column("minutes", "integer", "Minutes of that person; their sum is person-hours."),
    )
    known = ledger.book.people
    rows = [
        (
            work_ids[stint.session, stint.index],
            stint.session,
            stint.date.isoformat(),
            stint.section,
            stint.step,
            stint.operation,
            person if person in known else None,
            stint.minutes,
        )
        for stint in ledger.stints
        for person in stint.who
    ]
    about = "Time worked: a row for each person and piece of work."
    return Table("hours", about, columns, [(n, *row) for n, row in enumerate(rows, 1)])


def _piece_work(ledger: Ledger, work_ids: dict[tuple[str, int], int]) -> Table:
    columns = (
        Column("id", "integer", "Key.", needed=True),
        Column("work", "integer", "The piece of work.", "work", needed=True),
        Column("part", "text", "The part.", "parts", needed=True),
        Column("piece", "text", "The piece that was worked on.", PIECES, needed=True),
    )
    rows = [
        (work_ids[stint.session, stint.index], part, label)
        for stint in ledger.stints
        for part, labels in zip(stint.parts, stint.pieces, strict=True)
        for label in labels
    ]
    about = "Which single pieces were worked on, found from the words of the sessions."
    return Table("piece_work", about, columns, [(n, *row) for n, row in enumerate(rows, 1)])


def _routes(ledger: Ledger) -> Table:
    columns = (
        Column("id", "integer", "Key.", needed=True),
        Column("part", "text", "The part.", "parts", needed=True),
        Column("piece", "text", "The piece.", PIECES, needed=True),
        Column("place", "integer", "Place of the operation on the route, from 1.", needed=True),
        Column("operation", "text", "The operation.", "operations"),
        Column("state", "text", "How far it is: `done`, `next`, `waiting` ...", needed=True),
        Column("session", "text", "Session in which it was done last.", "sessions"),
        Column("date", "date", "Day it was done last."),
        Column("times", "integer", "How often it was done.", needed=True),
    )
    operations = ledger.book.operations
    rows = [
        (
            sheet.part,
            row.piece.label,
            place,
            operation if operation in operations else None,
            str(cell.state),
            cell.session,
            cell.on.isoformat() if cell.on else None,
            cell.times,
        )
        for sheet in ledger.routes.sheets.values()
        for row in sheet.rows
        for place, (operation, cell) in enumerate(zip(sheet.operations, row.cells, strict=True), 1)
    ]
    about = "Each piece's way through the operations of its part."
    return Table("routes", about, columns, [(n, *row) for n, row in enumerate(rows, 1)])


def _spending(book: Book, ledger: Ledger) -> Table:
    columns = (
        Column("id", "integer", "Key.", needed=True),
        Column("what", "text", "What was paid for.", needed=True),
        Column("kind", "text", "`kit`, `lot`, `tool`, `service` or `other`.", needed=True),
        Column("date", "date", "Day it was paid or bought."),
        Column("section", "text", "Section it counts for.", "sections"),
        Column("paid", "text", "What was paid, as written.", needed=True),
        Column("amount", "number", "In the book's currency; nothing where the rate is missing."),
    )
    rows = [
        (
            one.what,
            one.kind,
            plain(one.date),
            one.section if one.section in book.sections else None,
            one.paid.written,
            plain(one.amount),
        )
        for one in ledger.money.spent
    ]
    about = "All costs: of lots, of tools, and what stands for itself."
    return Table("spending", about, columns, [(n, *row) for n, row in enumerate(rows, 1)])
