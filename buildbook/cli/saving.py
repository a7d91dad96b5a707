"""What commands that write sessions share: showing a draft, and saving it when it is good."""

from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
from buildbook.cli.report import one_finding
from buildbook.records.read import Reading
from buildbook.writing.draft import (
    SCHEMA,
    Fields,
    Trial,
    draft,
    keep_draft,
    private_folder,
    save,
)
from buildbook.writing.yamltext import CannotWriteError


def make_draft(before: Reading, fields: Fields, others: dict[str, bytes] | None = None) -> Trial:
    """Make a session's file, and read the book with it. Raises CannotRunError with a sentence."""
    try:
        return draft(before, fields, others)
    except CannotWriteError as error:
        raise CannotRunError(str(error)) from None


def show(trial: Trial, content: Path) -> None:
    """Show a draft, where it would go, and what is to be mended in it."""
    click.echo(f"\n{(content / trial.file).as_posix()}:\n")
    for line in trial.raw.decode("utf-8", "replace").rstrip("\n").split("\n"):
        if not line.startswith("# yaml-language-server:"):  # that line is for editors
            click.echo(f"  {line}")
    click.echo()
    for finding in trial.new:
        click.echo(one_finding(finding, content), nl=False)


def save_draft(trial: Trial, content: Path) -> str:
    """Save a draft and say where; return its file. Raises CannotRunError with a sentence."""
    try:
        file = save(content, trial)
    except OSError as error:
        raise CannotRunError(f"cannot write {content / trial.file}: {error.strerror}") from None
    click.echo(f"saved as {(content / file).as_posix()}")
    _schemas(content)
    return file


def keep(trial: Trial, content: Path) -> None:
    """Keep what is not saved, and say where. Raises CannotRunError with a sentence."""
    try:
        path = keep_draft(content, Path(trial.file).name, trial.raw)
    except OSError as error:
        raise CannotRunError(f"cannot keep the draft: {error.strerror}") from None
    click.echo(
        f"not saved; the draft is kept in {path}, `buildbook write --from {path}` saves it",
        err=True,
    )


def _schemas(content: Path) -> None:
    """Write the schemas where there are none yet: the new file's first line leads to them."""
    if (content.absolute().parent / SCHEMA).is_file():
        return
    from buildbook.cli.schema import write_schemas  # noqa: PLC0415 - takes long, and once only

    try:
        write_schemas(private_folder(content) / "schema")
    except OSError as error:
        click.echo(f"the schemas for editors cannot be written: {error.strerror}", err=True)
