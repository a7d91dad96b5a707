"""How a command says that it cannot run."""

import click


class CannotRunError(click.ClickException):
    """The command cannot do its work; shown as a sentence, with exit status 2."""

    exit_code = 2
