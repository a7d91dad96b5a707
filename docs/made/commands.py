"""A page with every command and its options, as the commands themselves tell them."""

from collections.abc import Iterator

import click

from buildbook.cli.main import SUMMARIES, cli


def commands() -> str:
    """Return the Markdown page about all commands."""
    lines = ["# Commands", "", "What `buildbook COMMAND --help` says, for each of them.", ""]
    lines += ["| command | what it does |", "| --- | --- |"]
    lines += [f"| [`buildbook {name}`](#{name}) | {said} |" for name, said in SUMMARIES.items()]
    for name, command in every_command():
        level = "#" * (1 + len(name.split()))
        anchor = name.replace(" ", "-")
        lines += [
            "",
            f"{level} buildbook {name} {{ #{anchor} }}",
            "",
            "```text",
            help_of(name, command),
        ]
        lines += ["```"]
    return "\n".join(lines) + "\n"


def every_command() -> Iterator[tuple[str, click.Command]]:
    """Yield every command, and those inside it, with the words that call it."""
    context = click.Context(cli, info_name="buildbook")
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        assert command
        yield name, command
        if isinstance(command, click.Group):
            inner = click.Context(command)
            for sub in command.list_commands(inner):
                if found := command.get_command(inner, sub):
                    yield f"{name} {sub}", found


def help_of(name: str, command: click.Command) -> str:
    """Return the help of one command."""
    context = click.Context(command, info_name=f"buildbook {name}", max_content_width=88)
    return command.get_help(context).rstrip()
