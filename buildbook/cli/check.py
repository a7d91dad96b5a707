"""`buildbook check`: everything that can be found wrong without building a site."""

import sys
from pathlib import Path
from typing import NoReturn

import click

from buildbook.cli.book import read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.report import FORMATS, render
from buildbook.cli.words import many, there_is_no
from buildbook.records.book import Book
from buildbook.records.problems import Severity


@click.command()
@click.argument("content", default="content", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(tuple(FORMATS)),
    default="text",
    show_default=True,
    help="text for people, json for programs, github for annotations in a workflow.",
)
@click.option(
    "--before-closing", "step", metavar="STEP", help="Tell what a step lacks before it is closed."
)
@click.option("--strict", is_flag=True, help="Let warnings count as problems too.")
def check(content: Path, form: str, step: str | None, strict: bool) -> None:
    """Find what is wrong in the records below CONTENT (a folder, `content` when left out).

    Exit status: 0 when clean, 1 when there are problems, 2 when the check cannot run.
    """
    reading = read_book(content)
    if step is not None:
        _closing(reading.book, step)
    findings = reading.findings()
    click.echo(render(findings, form, reading.book.folder), nl=False)
    if form == "text":
        click.echo(_read_so_far(reading.book))
    bad = findings if strict else [f for f in findings if f.severity is Severity.ERROR]
    sys.exit(1 if bad else 0)


def _read_so_far(book: Book) -> str:
    counts = ((len(book.sessions), "session"), (len(book.steps), "step"), (len(book.parts), "part"))
    return ", ".join(many(n, noun) for n, noun in counts) + " read"


def _closing(book: Book, step: str) -> NoReturn:
    """Print what a step lacks; status 1 when that is anything."""
    from buildbook.ledger.closing import lacks  # noqa: PLC0415 - only this needs the ledger
    from buildbook.ledger.ledger import derive  # noqa: PLC0415

    if step not in book.steps:
        raise CannotRunError(there_is_no("step", step, book.steps, "steps"))
    missing = lacks(derive(book), book, step)
    for lack in missing:
        click.echo(f"{lack.what}: {lack.said}")
    if not missing:
        click.echo(f"nothing that the record knows of is missing before {step} is closed")
    click.echo("The plans and your inspector come first: they may ask for more.")
    sys.exit(1 if missing else 0)
