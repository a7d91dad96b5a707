"""`buildbook check`: everything that can be found wrong without building a site."""

import sys
from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
from buildbook.cli.report import FORMATS, render
from buildbook.records.problems import Severity
from buildbook.records.read import CannotReadError, read


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
@click.option("--strict", is_flag=True, help="Let warnings count as problems too.")
def check(content: Path, form: str, strict: bool) -> None:
    """Find what is wrong in the records below CONTENT (a folder, `content` when left out).

    Exit status: 0 when clean, 1 when there are problems, 2 when the check cannot run.
    """
    try:
        reading = read(content)
    except CannotReadError as error:
        raise CannotRunError(str(error)) from None
    findings = reading.findings()
    click.echo(render(findings, form, content), nl=False)
    bad = findings if strict else [f for f in findings if f.severity is Severity.ERROR]
    sys.exit(1 if bad else 0)
