"""`buildbook init`: a small valid book to start from."""

from collections.abc import Iterator
from datetime import UTC, datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
from buildbook.cli.schema import write_schemas

_NAMES = {"gitignore": ".gitignore", "gitattributes": ".gitattributes"}
"""Files whose name in the package differs from their name in the book."""


@click.command()
@click.argument("folder", default=".", type=click.Path(path_type=Path, file_okay=False))
def init(folder: Path) -> None:
    """Make a small valid book in FOLDER, or here. Nothing that is there is overwritten.

    Exit status: 0 when the book is made, 2 when files are in the way.
    """
    contents = dict(starter_files())
    in_the_way = [name for name in contents if (folder / name).exists()]
    if in_the_way:
        listed = "\n".join(f"  {folder / name}" for name in in_the_way)
        raise CannotRunError(f"nothing was made, these files are in the way:\n{listed}")
    try:
        for name, content in contents.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(content)
        write_schemas(folder / ".buildbook" / "schema")
    except OSError as error:
        raise CannotRunError(f"cannot write into {folder}: {error.strerror}") from None
    here = folder == Path()
    click.echo(
        f"A small book is {'here' if here else f'in {folder}'}. What to do next:\n"
        f"  1. Put your own names into {folder / 'content' / 'book.yml'} and people.yml.\n"
        f"  2. {'Run' if here else f'Go there (cd {folder}) and run'} `buildbook check`: it says "
        "what is wrong.\n"
        "  3. Run `buildbook serve` to see the site in a browser.\n"
        "After each session in the workshop, run `buildbook write`, or add a file like\n"
        "content/sessions/first.yml. Delete that one: what it says is only an example."
    )


def starter_files(today: str = "") -> Iterator[tuple[str, str]]:
    """Yield the path in the book and the text of every file a new book has, begun today."""
    today = today or f"{datetime.now(UTC).astimezone().date()}"
    for name, source in _walk(files("buildbook.cli") / "starter", ""):
        yield _NAMES.get(name, name), source.read_text(encoding="utf-8").replace("{today}", today)


def _walk(folder: Traversable, prefix: str) -> Iterator[tuple[str, Traversable]]:
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.is_dir():
            yield from _walk(entry, f"{prefix}{entry.name}/")
        else:
            yield prefix + entry.name, entry
