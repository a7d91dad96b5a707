"""`buildbook export`: every table of the book, for a spreadsheet or for questions of one's own."""

from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.editions import edition_of, edition_option
from buildbook.cli.errors import CannotRunError
from buildbook.handover.exports import SQLITE
from buildbook.handover.exports import export as write_export
from buildbook.handover.folders import CannotWriteError
from buildbook.ledger.ledger import derive


@click.command()
@content_option
@edition_option
@click.option(
    "--to",
    "target",
    required=True,
    type=click.Path(path_type=Path),
    help="Folder to make; an export that is there is replaced.",
)
def export(content: Path, edition: str, target: Path) -> None:
    """Write every table as CSV, as JSON with a schema, and in one SQLite file."""
    book = edition_of(read_book(content), edition)
    try:
        rows = write_export(book, derive(book), target)
    except CannotWriteError as error:
        raise CannotRunError(str(error)) from None
    click.echo(
        f"{len(rows)} tables, {sum(rows.values()):,} rows, in {target}; all of it in {SQLITE}"
    )
