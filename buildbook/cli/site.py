"""`buildbook build` and `buildbook serve`: the site, through MkDocs."""

import os
from pathlib import Path

import click


def _prepare(config: Path) -> str:
    if not config.is_file():
        raise click.ClickException(
            f"there is no {config}; run this beside it, or make a book with `buildbook init`"
        )
    # The theme prints a page-long notice about a later MkDocs, which this project does not use.
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    return str(config)


_config = click.option(
    "-f",
    "--config",
    default="mkdocs.yml",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The site's settings.",
)


@click.command()
@_config
@click.option("--to", "target", type=click.Path(path_type=Path), help="Folder to build into.")
@click.option("--strict", is_flag=True, help="Stop when there is any problem.")
def build(config: Path, target: Path | None, strict: bool) -> None:
    """Build the site: plain files to open from disk or to put on any web server."""
    file = _prepare(config)
    from mkdocs.commands.build import build as mkdocs_build  # noqa: PLC0415 - slow to load
    from mkdocs.config import load_config  # noqa: PLC0415
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415

    _say_what_happens()
    options = {"site_dir": str(target)} if target else {}
    try:
        settings = load_config(config_file=file, strict=strict, **options)
        settings.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(settings)
        settings.plugins.on_shutdown()
    except MkDocsException as error:
        raise click.ClickException(str(error)) from None
    click.echo(f"open {Path(settings.site_dir) / 'index.html'}")


@click.command()
@_config
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to listen.")
@click.option("--open", "open_it", is_flag=True, help="Open the site in a browser.")
def serve(config: Path, address: str, open_it: bool) -> None:
    """Show the site in a browser, and build it anew whenever a record is saved."""
    file = _prepare(config)
    from mkdocs.commands.serve import serve as mkdocs_serve  # noqa: PLC0415 - slow to load
    from mkdocs.exceptions import MkDocsException  # noqa: PLC0415

    _say_what_happens()
    try:
        mkdocs_serve(file, dev_addr=address, open_in_browser=open_it, livereload=True)
    except MkDocsException as error:
        raise click.ClickException(str(error)) from None
    except OSError as error:
        raise click.ClickException(f"{address} cannot be used: {error.strerror}") from None


def _say_what_happens() -> None:
    """Let MkDocs' messages and ours through to the terminal, one a line."""
    import logging  # noqa: PLC0415

    logging.basicConfig(format="%(levelname)s: %(message)s", level=logging.WARNING, force=True)
    logging.getLogger("mkdocs").setLevel(logging.INFO)
