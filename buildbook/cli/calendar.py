"""`buildbook calendar`: what recurs, for a calendar program."""

from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.handover.calendar import calendar_of
from buildbook.ledger.ledger import derive


@click.command()
@click.option(
    "--to",
    default="recurring.ics",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The file to write.",
)
@click.option("--force", is_flag=True, help="Overwrite the file when it is there already.")
@content_option
def calendar(*, to: Path, force: bool, content: Path) -> None:
    """Write inspections, expiries and recurring notices as an iCalendar file.

    Calendar programs open it. When something was done, write that into the records and make the
    file again: an entry has the same identity each time, so that it takes the place of the old one.
    """
    if to.exists() and not force:
        raise CannotRunError(f"{to} is there already; add --force to overwrite it")
    reading = read_book(content)
    ledger = derive(reading.book)
    dated = [due for due in ledger.recurring if due.due]
    if not dated:
        raise CannotRunError(
            "nothing in the records has a day it is due: write what recurs into recurring.yml, and "
            "what expires into equipment.yml"
        )
    text = calendar_of(reading.book, dated, ledger.as_of)
    write_new(to, text.encode("utf-8", "replace"), force=force)
    click.echo(f"{to}: {len(dated)} {'entry' if len(dated) == 1 else 'entries'}")
    for due in dated:
        again = f", then every {due.every}" if due.every else ""
        click.echo(f"  {due.due}  {due.title}{again}")
    if without := len(ledger.recurring) - len(dated):
        click.echo(f"{without} left out: nothing says when it is due")
