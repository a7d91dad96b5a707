"""`buildbook build` and `buildbook serve`: the site, through MkDocs."""

import os
from pathlib import Path

import click

from buildbook.records.readers import EDITIONS


def prepare(config: Path) -> Path:
    """Return the file of a site's settings. Raises ClickException when there is none."""
    if not config.is_file():
        raise click.ClickException(
            f"there is no {config}; run this beside it, or make a book with `buildbook init`"
        )
    # The theme prints a page-long notice about a later MkDocs, which this project does not use.
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    return config


config_option = click.option(
    "-f",
    "--config",
    default="mkdocs.yml",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The site's settings.",
)


_edition = click.option(
    "--edition",
    type=click.Choice(EDITIONS),
    help="Whom it is for; else as the site's settings say, or the full one.",
)


@click.command()
@config_option
@_edition
@click.option("--to", "target", type=click.Path(path_type=Path), help="Folder to build into.")
@click.option("--strict", is_flag=True, help="Stop when there is any problem.")
def build(config: Path, edition: str | None, target: Path | None, strict: bool) -> None:
    """Build the site: plain files to open from disk or to put on any web server."""
    file = prepare(config)
    from mkdocs_buildbook.trace import Trace, trace_file  # noqa: PLC0415 - the plugin is a host

    known = Trace.load(trace_file(file, target))
    if known.holds(file, edition) and not (strict and known.said):
        for complaint in known.said:
            click.echo(complaint, err=True)
        click.echo(f"nothing changed; open {Path(known.site) / 'index.html'}")
        return
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415 - slow to load

    from mkdocs_buildbook.incremental import build_site  # noqa: PLC0415

    say_what_happens()
    try:
        site = build_site(file, target, strict=strict, edition=edition)
    except MkDocsException as error:
        raise click.ClickException(str(error)) from None
    click.echo(f"open {site / 'index.html'}")


@click.command()
@config_option
@_edition
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to listen.")
@click.option("--open", "open_it", is_flag=True, help="Open the site in a browser.")
@click.option("--poll", is_flag=True, help="Look for changes where none are told: network disks.")
@click.option(
    "--beside",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="A folder of other pages to show too, under its own name.",
)
def serve(
    config: Path,
    edition: str | None,
    address: str,
    open_it: bool,
    poll: bool,
    beside: Path | None,
) -> None:
    """Show the site in a browser, each page as its records are saved."""
    file = prepare(config)
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415 - slow to load

    from mkdocs_buildbook.server import serve as serve_site  # noqa: PLC0415

    say_what_happens()
    try:
        serve_site(file, address, open_it=open_it, poll=poll, edition=edition, beside=beside)
    except MkDocsException as error:
        raise click.ClickException(str(error)) from None
    except OSError as error:
        raise click.ClickException(f"{address} cannot be used: {error.strerror}") from None


def say_what_happens() -> None:
    """Let MkDocs' messages and ours through to the terminal, one a line."""
    import logging  # noqa: PLC0415

    logging.basicConfig(format="%(levelname)s: %(message)s", level=logging.WARNING, force=True)
    logging.getLogger("mkdocs").setLevel(logging.INFO)
