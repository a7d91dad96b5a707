"""`buildbook import`: lists that came with the kit, and what was written down elsewhere."""

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.bringsessions import sessions
from buildbook.cli.bringtasks import tasks
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.files import portable
from buildbook.incoming.comparison import Comparison, Difference, Similar, compare
from buildbook.incoming.partlist import (
    HEADINGS,
    UNITS,
    Columns,
    ListedPart,
    find_columns,
    parts_in,
)
from buildbook.incoming.recordtext import field, part_file
from buildbook.incoming.table import SEPARATORS, NoTableError, Table, read_table
from buildbook.ledger.shortage import Shortage
from buildbook.printable import printable
from buildbook.records.names import slugify
from buildbook.records.positions import locate
from buildbook.records.quantities import Quantity
from buildbook.records.read import Reading

_WIDE = 40
_HOLDS = {
    "part": "part number",
    "quantity": "count needed",
    "received": "count received",
    "damaged": "count damaged",
}


@click.group("import")
def bring() -> None:
    """Bring in lists that came with the kit, or sessions written elsewhere."""


bring.add_command(tasks)
bring.add_command(sessions)


def _columns(command: Callable[..., None]) -> Callable[..., None]:
    """Add an option for each field a column can hold."""
    for name in reversed(HEADINGS):
        told = f"Heading of the column with the {_HOLDS.get(name, name)}, or its number."
        command = click.option(f"--{name}", name, metavar="COL", help=told)(command)
    return command


@bring.command()
@click.argument("file", type=click.Path(path_type=Path))
@_columns
@click.option("--unit", type=click.Choice(UNITS), help="Unit of thicknesses written without one.")
@click.option("--no-header", is_flag=True, help="The first row is a part: name columns by number.")
@click.option("--write", is_flag=True, help="Write the new parts into a file of their own.")
@click.option(
    "--to", "to", metavar="NAME", help="Name of that file in content/parts; else that of the list."
)
@click.option("--leave-out", is_flag=True, help="Write although some rows have to be left out.")
@click.option("--add-similar", is_flag=True, help="Take look-alike part numbers for parts as well.")
@content_option
def parts(
    *,
    file: Path,
    unit: str | None,
    no_header: bool,
    write: bool,
    to: str | None,
    leave_out: bool,
    add_similar: bool,
    content: Path,
    **columns: str | None,
) -> None:
    """Hold a part list or packing list (FILE, a CSV) against the book, and add what is new.

    Without --write nothing is written. Records that are there are never changed: where the list
    says more or something else, what to paste is shown.

    Exit status: 0 when every row is clear, 1 when some need a decision, 2 when the list cannot be
    read.
    """
    reading = read_book(content)
    try:
        table = read_table(file.read_bytes())
        wanted = {f: words for f, words in columns.items() if words is not None}
        found = find_columns(table, wanted, header=not no_header)
    except OSError as error:
        raise CannotRunError(f"{file} cannot be read: {error.strerror}") from None
    except NoTableError as error:
        raise CannotRunError(f"{file} cannot be read as a list: {error}") from None
    result = compare(parts_in(table, found, unit=unit or ""), reading.book.parts)
    if add_similar:
        accepted = [s for s in result.similar if not s.only_capitals]
        result.similar = [s for s in result.similar if s.only_capitals]
        result.new += [s.listed for s in accepted]
        result.new.sort(key=lambda row: row.line)
    report = _report(file=file, table=table, columns=found, result=result, reading=reading)
    click.echo("\n".join(report))
    name = portable(slugify(to or file.stem) or "part-list")
    target = reading.book.folder / "parts" / f"{name}.yml"
    _write(result, target, file.name, write=write, leave_out=leave_out)
    sys.exit(1 if result.doubtful or result.contradicting else 0)


def _write(result: Comparison, target: Path, source: str, *, write: bool, leave_out: bool) -> None:
    new = [row.part for row in result.new if row.part]
    many = f"{len(new)} new part{'' if len(new) == 1 else 's'}"
    if not new:
        click.echo("nothing to add")
    elif not write:
        click.echo(f"nothing is written; --write puts the {many} into {target.as_posix()}")
    elif result.doubtful and not leave_out:
        raise CannotRunError(
            f"nothing is written: rows of the list are not clear ({result.doubtful}). Mend them, "
            f"or add --leave-out to write the {many} without them"
        )
    else:
        try:
            target.parent.mkdir(exist_ok=True)
        except OSError as error:
            raise CannotRunError(f"cannot make {target.parent}: {error.strerror}") from None
        write_new(target, part_file(new, source).encode())
        click.echo(f"{target.as_posix()}: {many}; next, `buildbook check`")


def _report(
    *,
    file: Path,
    table: Table,
    columns: Columns,
    result: Comparison,
    reading: Reading,
) -> list[str]:
    """Compose the report, line by line."""
    count = len(table.rows) - columns.first
    parted = SEPARATORS.get(table.separator, f"`{_shown(table.separator)}`")
    doubt = ", which is a guess: look at letters with accents" if table.is_guess else ""
    lines = [
        f"{_shown(str(file))}: {count} row{'' if count == 1 else 's'}",
        f"  {table.encoding}{doubt}; columns parted by {parted}",
    ]
    lines += [f"  {name}: column `{_shown(columns.heading(name))}`" for name in columns.at]
    if columns.unused:
        lines.append(f"  not used: {', '.join(f'`{_shown(h)}`' for h in columns.unused)}")
    lines += _section("New", _new(result.new))
    lines += _section("In the book, and the same", _same(result.same))
    lines += _section("In the book, and different", _different(result, reading))
    lines += _section("Perhaps the same part, mistyped", map(_similar, result.similar))
    lines += _section("More than once in the list", map(_repeated, result.repeated))
    lines += _section("Not understood", (line for row in result.unclear for line in _unclear(row)))
    lines += _section("Short", map(_short, result.short))
    return [*lines, ""]


def _section(title: str, lines: Iterable[str]) -> list[str]:
    found = [f"  {line}" for line in lines]
    return ["", f"{title}:", *found] if found else []


def _new(rows: list[ListedPart]) -> list[str]:
    if not rows:
        return []
    table = [("line", "part", "name", "quantity", "received", "damaged", "material", "thickness")]
    for row in rows:
        part = row.part
        assert part is not None
        received = "" if part.received is None else str(part.received)
        cells = (
            str(row.line),
            part.part,
            part.name,
            str(part.quantity),
            received,
            str(part.damaged) if part.received is not None else "",
            "-".join(filter(None, (part.material, part.temper))),
            part.thickness.written if part.thickness else "",
        )
        table.append(tuple(_shown(c) for c in cells))  # type: ignore[arg-type]
    kept = [i for i in range(len(table[0])) if any(line[i] for line in table[1:])]
    widths = {i: max(len(line[i]) for line in table) for i in kept}
    return ["  ".join(f"{line[i]:{widths[i]}}" for i in kept).rstrip() for line in table]


def _same(rows: list[ListedPart]) -> list[str]:
    return [f"{len(rows)}: {', '.join(row.number for row in rows)}"] if rows else []


def _different(result: Comparison, reading: Reading) -> list[str]:
    lines = []
    for difference in result.differing:
        ours = difference.ours
        text = reading.files[ours.place.file].readable
        line, _ = locate(text, ours.place.path)
        where = f"{(reading.book.folder / ours.place.file).as_posix()}:{line}"
        lines.append(f"line {difference.listed.line}: {ours.part} ({where})")
        lines += [f"  {said}" for said in _words_of(difference)]
        lines.append("  if the list is right, write there:")
        lines += [f"    {field(name, theirs)}" for name, _, theirs in difference.fields]
    return lines


def _words_of(difference: Difference) -> list[str]:
    return [
        f"{name}: the list says {_value(theirs)}, the book "
        + ("says nothing" if ours is None else f"says {_value(ours)}")
        for name, ours, theirs in difference.fields
    ]


def _value(value: Any) -> str:
    if isinstance(value, Quantity):
        return value.written
    return str(value) if isinstance(value, int) else f"`{_shown(value)}`"


def _similar(similar: Similar) -> str:
    where = "the book has" if similar.line is None else f"line {similar.line} has"
    row = similar.listed
    end = (
        "they differ in capitals only"
        if similar.only_capitals
        else "--add-similar takes it for another part"
    )
    return f"line {row.line}: `{row.number}`; {where} `{similar.other}` ({end})"


def _repeated(rows: list[ListedPart]) -> str:
    lines = ", ".join(str(row.line) for row in rows)
    counts = ", ".join(str(row.part.quantity) for row in rows if row.part)
    return (
        f"lines {lines}: {rows[0].number}, quantities {counts}; they are not added up, so make one "
        "row of them"
    )


def _unclear(row: ListedPart) -> list[str]:
    name = f" `{_shown(row.number)}`" if row.number else ""
    return [f"line {row.line}{name}: {_shown(said, 300)}" for said in row.wrong]


def _short(short: Shortage) -> str:
    damaged = f", {short.damaged} damaged" if short.damaged else ""
    return (
        f"{short.part} {_shown(short.name)}: {short.short} short (needs {short.quantity}, received "
        f"{short.received}{damaged})"
    )


def _shown(text: str, most: int = _WIDE) -> str:
    """Make a text from the list fit for a terminal: one line, nothing hidden, not too long."""
    plain = printable(text)
    return plain if len(plain) <= most else plain[: most - 1] + "\N{HORIZONTAL ELLIPSIS}"
