"""The command itself: which commands there are, each loaded only when it is called."""

import importlib
import sys
from io import TextIOWrapper

import click

from buildbook import __version__

COMMANDS = {
    "check": "buildbook.cli.check",
    "init": "buildbook.cli.init",
    "schema": "buildbook.cli.schema",
    "import": "buildbook.cli.bring:bring",
    "photos": "buildbook.cli.photos",
    "clips": "buildbook.cli.clips",
    "labels": "buildbook.cli.labels",
    "look-up": "buildbook.cli.look_up:look_up",
    "clock": "buildbook.cli.clock",
    "write": "buildbook.cli.write",
    "next": "buildbook.cli.next:next_",
    "amend": "buildbook.cli.amend",
    "seal": "buildbook.cli.seal",
    "verify": "buildbook.cli.seal:verify",
    "calendar": "buildbook.cli.calendar",
    "completion": "buildbook.cli.completion",
    "export": "buildbook.cli.export",
    "hand-over": "buildbook.cli.hand_over:hand_over",
    "publish": "buildbook.cli.publish",
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
    "import": "Bring in lists that came with the kit, or sessions written elsewhere.",
    "photos": "Bring pictures in, and see what they give away.",
    "clips": "Make short films from long ones, or from many stills.",
    "labels": "Write a PDF of labels for pieces.",
    "look-up": "Look something up in published tables.",
    "clock": "Keep the time while you work, and write the session.",
    "write": "Write a session down: by questions, in one line, from notes.",
    "next": "Show what comes next, what is held, and which lessons apply.",
    "amend": "Correct a session and keep what it said before.",
    "seal": "Write down what every record says, so that a change shows.",
    "verify": "Say what was changed since a seal was made.",
    "calendar": "Write what recurs as a calendar file.",
    "completion": "Let the shell complete commands and names.",
    "export": "Write every table as CSV, JSON and SQLite.",
    "hand-over": "Make what a reader is given: PDF, site, archive.",
    "publish": "Make the public edition, or say what would be in it.",
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
    if isinstance(sys.stdout, TextIOWrapper):
        # A pipe of Windows takes few letters; the others are shown by their codes.
        sys.stdout.reconfigure(errors="backslashreplace")
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
