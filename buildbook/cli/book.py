"""The book a command works on: where it is, and what to say when it is not there."""

from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
from buildbook.cli.folder import folder_of
from buildbook.records.read import CannotReadError, Reading, read

content_option = click.option(
    "--content",
    default="content",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The folder of records.",
)


def read_book(content: Path) -> Reading:
    """Read the book in a folder; being beside or inside the folder of records is understood too.

    Raises CannotRunError with a sentence when there is no book.
    """
    try:
        return read(folder_of(content))
    except CannotReadError as error:
        raise CannotRunError(str(error)) from None
