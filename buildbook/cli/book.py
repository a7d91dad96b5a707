"""The book a command works on: where it is, and what to say when it is not there."""

from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
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
        return read(_folder(content))
    except CannotReadError as error:
        raise CannotRunError(str(error)) from None


def _folder(content: Path) -> Path:
    if not (content / "book.yml").is_file():
        if (content / "content" / "book.yml").is_file():
            return content / "content"
        if not content.exists() and content.name == "content" and Path("book.yml").is_file():
            return Path()
    return content
