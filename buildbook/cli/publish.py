"""`buildbook publish`: the public edition in a folder, and before that what would be in it."""

from collections.abc import Iterator
from pathlib import Path

import click

from buildbook.cli.book import read_book
from buildbook.cli.editions import cut_of
from buildbook.cli.errors import CannotRunError
from buildbook.cli.site import config_option, prepare, say_what_happens
from buildbook.handover.editions import title
from buildbook.handover.folders import CannotWriteError, replace_folder
from buildbook.handover.publishing import Outlook, outlook
from buildbook.records.editions import Held

EDITION = "public"
_MARK = "assets/buildbook/buildbook.css"
"""File that every site has: a folder without it is not replaced."""


@click.command()
@config_option
@click.option(
    "--to",
    "target",
    default=EDITION,
    show_default=True,
    type=click.Path(path_type=Path),
    help="Folder to make; a site that is there is replaced.",
)
@click.option("--dry-run", is_flag=True, help="Say what would become public, and make nothing.")
def publish(config: Path, target: Path, dry_run: bool) -> None:
    """Make the public edition: plain files to put on any web server. Nothing is uploaded."""
    file = prepare(config)
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415 - slow to load

    from mkdocs_buildbook.whole import build_whole, content_of  # noqa: PLC0415 - a host

    try:
        reading = read_book(content_of(file))
        cut = cut_of(reading, EDITION)
        if dry_run:
            for line in _said(reading.book.file.title, outlook(reading.book, cut), cut.book.held):
                click.echo(line)
            return
        say_what_happens()
        replace_folder(
            target,
            lambda folder: build_whole(file, folder, EDITION),
            mark=_MARK,
            content=reading.book.folder,
        )
    except (MkDocsException, CannotWriteError) as error:
        raise CannotRunError(str(error)) from None
    click.echo(f"the public edition is in {target}; put what is in it on any web server")
    if not reading.book.file.address:
        click.echo("with an `address` in book.yml it would have a feed and a site map too")


def _said(name: str, look: Outlook, held: Held) -> Iterator[str]:
    yield f"{title(EDITION)} of {name}"
    yield f"  pages: {look.pages} from records, {look.written} written by hand"
    yield f"  photos: {look.photos}, clips: {look.clips}"
    yield f"  people are shown by {held.people}"
    for what, shown in (
        ("costs", held.costs),
        ("where the work is done", held.addresses),
        ("serial numbers", held.serial_numbers),
        ("open squawks", held.open_squawks),
        ("pictures in full size", held.full_size_photos),
        ("what is marked private", held.private_notes),
    ):
        yield f"  {what}: {'shown' if shown else 'not shown'}"
    if look.left_out:
        yield "left out"
        for kind, count in sorted(look.left_out.items()):
            yield f"  {count} {kind if count == 1 else plural(kind)}"
    if look.assets or look.naming or look.numbers:
        yield "to look at yourself"
    if look.assets:
        files = "1 file" if look.assets == 1 else f"{look.assets} files"
        yield f"  {files} in assets/, published as {'it is' if look.assets == 1 else 'they are'}"
    if look.naming:
        pages = "1 page" if look.naming == 1 else f"{look.naming} pages"
        yield f"  {pages} written by hand with names of people in the text or the file's name"
    if look.numbers:
        numbers = "1 number" if look.numbers == 1 else f"{look.numbers} numbers"
        yield f"  {numbers} of parts or notices with the name of a person in"


def plural(kind: str) -> str:
    """Say several of what was left out."""
    first, _, rest = kind.partition(" ")
    if kind.startswith(("piece of", "squawk not")):
        return f"{first}s {rest}"
    return f"{kind[:-1]}ies" if kind.endswith("y") else f"{kind}s"
