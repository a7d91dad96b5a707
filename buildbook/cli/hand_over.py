"""`buildbook hand-over`: what a reader of the book is given, made whole in one folder."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.editions import edition_of
from buildbook.cli.errors import CannotRunError
from buildbook.cli.site import config_option, prepare
from buildbook.records.book import Book
from buildbook.records.readers import EDITIONS

if TYPE_CHECKING:
    from buildbook.handover.package import Account, Wish


@click.command("hand-over")
@click.option("--edition", required=True, type=click.Choice(EDITIONS), help="Whom it is for.")
@click.option(
    "--to",
    "target",
    required=True,
    type=click.Path(path_type=Path),
    help="Folder to make; a hand-over that is there is replaced.",
)
@click.option("--pdf", is_flag=True, help="Make the book to print.")
@click.option("--site", is_flag=True, help="Make the pages to read in a browser.")
@click.option("--archive", is_flag=True, help="Make the archive, which holds all of it.")
@click.option(
    "--paper",
    type=click.Choice(("a4", "letter")),
    default="a4",
    show_default=True,
    help="Size of the printed book.",
)
@click.option("--zip", "packed", is_flag=True, help="Make a ZIP file of the archive.")
@click.option("--split", metavar="SIZE", help="Divide the archive into parts of SIZE, as `4GB`.")
@content_option
@config_option
def hand_over(
    *,
    edition: str,
    target: Path,
    pdf: bool,
    site: bool,
    archive: bool,
    paper: str,
    packed: bool,
    split: str | None,
    content: Path,
    config: Path,
) -> None:
    """Make what a reader of the book is given: PDF, site and archive of one edition.

    Without --pdf, --site or --archive: the site for the public, PDF and site for the inspector, all
    three for the owner. The folder gets its name when all in it is whole; until then what was there
    before stays. The records are only read.

    Exit status: 0 when nothing is missing, 1 when something is, as a picture, 2 when it cannot run.
    """
    from buildbook.handover import package  # noqa: PLC0415 - slow to load
    from buildbook.handover.archive import ARCHIVE, parse_size  # noqa: PLC0415

    kinds = package.kinds_of(edition, asked={"pdf": pdf, "site": site, "archive": archive})
    try:
        most = parse_size(split) if split else None
    except ValueError as error:
        raise CannotRunError(str(error)) from None
    if (packed or most) and ARCHIVE not in kinds:
        raise CannotRunError("--zip and --split are about the archive; add --archive")
    settings = prepare(config) if kinds - {package.PDF} else config
    reading = read_book(content)
    book = edition_of(reading, edition)
    wish = package.Wish(kinds, paper, packed, most)
    account = _made(book, wish, target, settings)
    for line in _lines(account, kinds, target):
        click.echo(line)
    for remark in account.remarks:
        click.echo(remark, err=True)
    if reading.errors:
        click.echo(
            "the records have errors, so something may be missing: run `buildbook check`", err=True
        )
    raise click.exceptions.Exit(1 if account.remarks else 0)


def _made(book: Book, wish: "Wish", target: Path, settings: Path) -> "Account":
    """Make the hand-over. Raises CannotRunError; what was there before is then as it was."""
    from buildbook.handover import package  # noqa: PLC0415 - slow to load
    from buildbook.handover.archive import CannotSplitError  # noqa: PLC0415
    from buildbook.handover.bag import CannotReadFileError  # noqa: PLC0415
    from buildbook.handover.contemporary import past  # noqa: PLC0415
    from buildbook.handover.folders import CannotWriteError, replace_folder  # noqa: PLC0415
    from buildbook.handover.typeset import CannotSetError  # noqa: PLC0415
    from buildbook.ledger.ledger import derive  # noqa: PLC0415
    from buildbook.media.problems import CacheError  # noqa: PLC0415
    from buildbook.pages.context import Context  # noqa: PLC0415

    if book.folder.resolve().is_relative_to(target.resolve()):
        raise CannotRunError(f"{target} holds the records; name another folder")
    context = Context(book, derive(book))
    if _tells_history(settings):
        context.past = past(book.folder, book.zone)
    cache = book.folder.absolute().parent / package.CACHE
    done = []

    def fill(folder: Path) -> None:
        def build(into: Path) -> None:
            _build(settings, into, book.edition)

        done.append(package.hand_over(context, wish, folder, build, cache))

    try:
        replace_folder(target, fill, mark=package.MARK, content=book.folder)
    except (CannotWriteError, CannotSplitError, CannotSetError, CacheError) as error:
        raise CannotRunError(str(error)) from None
    except CannotReadFileError as error:
        raise CannotRunError(f"{error}; nothing was changed, run it again") from None
    return done[0]


def _tells_history(config: Path) -> bool:
    """Ask the site's settings, so that paper and screen tell the same; without any it is told."""
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415 - slow to load

    from mkdocs_buildbook.whole import tells_history  # noqa: PLC0415 - the plugin is a host

    if not config.is_file():
        return True
    try:
        return tells_history(config)
    except MkDocsException as error:
        raise CannotRunError(f"the site cannot be built: {error}") from None


def _lines(account: "Account", kinds: frozenset[str], target: Path) -> Iterator[str]:
    from buildbook.handover.archive import ARCHIVE  # noqa: PLC0415
    from buildbook.handover.package import PDF, SITE  # noqa: PLC0415 - slow to load

    if PDF in kinds:
        for volume in account.volumes:
            yield f"{target / PDF / volume.file.name}: {volume.pages} pages"
    if SITE in kinds:
        yield f"open {target / SITE / 'index.html'}"
    for bag in account.bags:
        where = target / ARCHIVE / bag.path.name
        yield f"{where}: {bag.files:,} files, {bag.size / 1e6:,.1f} MB"


def _build(config: Path, into: Path, edition: str) -> None:
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415 - slow to load

    from mkdocs_buildbook.whole import build_whole  # noqa: PLC0415 - the plugin is a host

    try:
        build_whole(config, into, edition, from_disk=True)
    except MkDocsException as error:
        # MkDocs wraps what the system says, and what it says is what a builder can act on.
        cause: BaseException | None = error
        while cause:
            if isinstance(cause, OSError):
                raise cause from None
            cause = cause.__cause__ or cause.__context__
        raise CannotRunError(f"the site cannot be built: {error}") from None
