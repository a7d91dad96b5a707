"""`buildbook labels`: a sheet of labels, one a piece, to stick on it or tie to it."""

import os
from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.cli.words import many
from buildbook.handover.labels import Label, Site, UnknownNameError, choose, labels_of
from buildbook.handover.stock import STOCKS, Stock
from buildbook.records.book import Book


def _stocks(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        width = max(map(len, STOCKS))
        for stock in STOCKS.values():
            click.echo(f"{stock.name:{width}}  {stock.words}")
        ctx.exit()


@click.command()
@click.argument("names", metavar="[PART]...", nargs=-1)
@click.option("--step", "steps", multiple=True, help="The parts of this step, as `fin/skeleton`.")
@click.option("--section", "sections", multiple=True, help="The parts of this section's steps.")
@click.option(
    "--stock",
    "stock_name",
    type=click.Choice(tuple(STOCKS)),
    metavar="NAME",
    default="plain",
    show_default=True,
    help="The sheet to print on; --stocks lists them.",
)
@click.option(
    "--stocks", is_flag=True, is_eager=True, expose_value=False, callback=_stocks, help="List them."
)
@click.option(
    "--start", type=int, default=1, help="Begin on this label of a part-used sheet, across first."
)
@click.option(
    "--output",
    default="labels.pdf",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The PDF to write.",
)
@click.option("--force", is_flag=True, help="Overwrite the PDF when it is there already.")
@content_option
@click.option(
    "-f",
    "--config",
    type=click.Path(path_type=Path),
    help="The site's settings.  [default: mkdocs.yml beside the records]",
)
def labels(
    *,
    names: tuple[str, ...],
    steps: tuple[str, ...],
    sections: tuple[str, ...],
    stock_name: str,
    start: int,
    output: Path,
    force: bool,
    content: Path,
    config: Path | None,
) -> None:
    """Write a PDF of labels: of each PART (a number, or the label of one piece), or of all pieces.

    Each label has a QR code that opens the piece in the published book, when `address` in book.yml
    (or `site_url` in mkdocs.yml) says where that is. Scrapped pieces are left out.
    """
    if output.exists() and not force:
        raise CannotRunError(f"{output} is there already; add --force to overwrite it")
    reading = read_book(content)
    book = reading.book
    try:
        pieces, scrapped = choose(book, names, steps, sections)
        stock = STOCKS[stock_name]
        if not 1 <= start <= stock.per_sheet:
            raise CannotRunError(
                f"--start {start}: a sheet of {stock.name} has labels 1 to {stock.per_sheet}"
            )
    except UnknownNameError as error:
        raise CannotRunError(str(error)) from None
    if not pieces:
        raise CannotRunError("there is no piece to label")
    site = _site(book, config or book.folder.absolute().parent / "mkdocs.yml")
    made = labels_of(book, pieces, site)
    write_new(output, _set(book, made, stock, start), force=force)
    for line in _told(made, stock, start, output, scrapped):
        click.echo(line)
    if reading.errors:
        click.echo(
            f"the records have {many(len(reading.errors), 'error')}, so labels may be missing or "
            "wrong: run `buildbook check`",
            err=True,
        )


def _set(book: Book, made: list[Label], stock: Stock, start: int) -> bytes:
    from buildbook.handover.typeset import CannotSetError, label_sheets  # noqa: PLC0415 - slow

    last = max((s.date for s in book.sessions.values()), default=None)
    title = f"{book.file.title}: labels"
    try:
        return label_sheets(made, stock, start=start, title=title, on=last)
    except CannotSetError as error:
        raise CannotRunError(str(error)) from None


def _site(book: Book, config: Path) -> Site | None:
    """Find out where pages are published: the address, and whether pages are folders.

    MkDocs' own reading of its settings decides, with the one thing that its offline plugin changes
    later: pages are then files.
    """
    address, folders = book.file.address, True
    if config.is_file():
        from mkdocs.config import load_config  # noqa: PLC0415 - slow, and only needed here
        from mkdocs.exceptions import MkDocsException  # noqa: PLC0415

        os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")  # a notice about what is not used here
        try:
            settings = load_config(config_file=str(config))
        except MkDocsException as error:
            raise CannotRunError(f"{config} cannot be read: {error}") from None
        address = address or settings.site_url or None
        folders = settings.use_directory_urls and not any(
            name.rpartition("/")[2] == "offline" and plugin.config.get("enabled", True)
            for name, plugin in settings.plugins.items()
        )
    return Site(address, folders) if address else None


def _told(made: list[Label], stock: Stock, start: int, output: Path, scrapped: int) -> list[str]:
    sheets = -(-(start - 1 + len(made)) // stock.per_sheet)
    lines = [
        f"{output}: {many(len(made), 'label')} on {many(sheets, 'sheet')} ({stock.words})",
        "print at actual size (100 %), not fitted to the page",
    ]
    if scrapped:
        lines.append(f"{many(scrapped, 'scrapped piece')} left out")
    from buildbook.handover.typeset import READABLE, has_letters_for, module_size  # noqa: PLC0415

    if not all(has_letters_for(label.label + label.name) for label in made):
        lines.append(
            "some letters are set in whatever font this computer has for them: look at the PDF"
        )
    longest = max(made, key=lambda label: len(label.address))
    if not longest.address:
        lines.append("no QR codes: book.yml has no `address` of the published book")
        return lines
    lines.append(f"the QR codes lead to pages such as {longest.address}; try one before sticking")
    size = module_size(longest.address, stock)
    if size < READABLE:
        lines.append(
            f"some QR codes have dots of {size:.2f} mm, and a phone wants {READABLE} mm or more: "
            "use larger labels or a shorter address"
        )
    return lines
