"""The command itself: which commands there are, each loaded only when it is called."""

import importlib
import sys

import click

from buildbook import __version__

COMMANDS = {
    "check": "buildbook.cli.check",
    "init": "buildbook.cli.init",
    "schema": "buildbook.cli.schema",
    "import": "buildbook.cli.bring:bring",
    "photos": "buildbook.cli.photos",
    "labels": "buildbook.cli.labels",
    "build": "buildbook.cli.site",
    "serve": "buildbook.cli.site",
}
"""Every command and the module it lives in, in the order `--help` lists them.

Behind a colon stands the function's name where the command's own is a word of Python.
"""


class _Lazy(click.Group):
    """A group that imports a command's module only when the command is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        module, _, function = COMMANDS[cmd_name].partition(":")
        command = getattr(importlib.import_module(module), function or cmd_name)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """List the commands without importing them: their first lines are kept here."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, SUMMARIES[name]) for name in COMMANDS])


SUMMARIES = {
    "check": "Find what is wrong in a book's records.",
    "init": "Make a small valid book to start from.",
    "schema": "Write the JSON Schemas that let an editor help while typing.",
    "import": "Bring in a list that came with the kit.",
    "photos": "Bring pictures in, and see what they give away.",
    "labels": "Write a PDF of labels for pieces.",
    "build": "Build the site.",
    "serve": "Show the site in a browser and follow every change.",
}


@click.group(
    cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, message="buildbook %(version)s")
def cli() -> None:
    """Turn short session records into a build manual."""


def main() -> None:
    """Run the command. What cannot run ends with status 2 and a sentence, never a traceback."""
    try:
        status = cli.main(standalone_mode=False)  # of `Exit`, or what the command returned
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our output has gone; there is no one to tell
        sys.exit(2)
    sys.exit(status)
