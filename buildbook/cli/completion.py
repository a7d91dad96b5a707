"""`buildbook completion`: the shell completes commands, options, steps, parts and people."""

import os
from pathlib import Path

import click
from click.shell_completion import get_completion_class

from buildbook.cli.errors import CannotRunError
from buildbook.files import make_folder, write_whole

SHELLS = ("bash", "zsh", "fish")
_MARK = "# completion for buildbook"


@click.command()
@click.option("--install", is_flag=True, help="Write it where the shell finds it.")
@click.option("--show", is_flag=True, help="Print it instead.")
@click.option("--shell", type=click.Choice(SHELLS), help="Which shell; the one you use, else.")
def completion(install: bool, show: bool, shell: str | None) -> None:
    """Let the shell complete commands and names with the Tab key.

    --install writes a script, and for bash and zsh one line that loads it into the file the shell
    reads when it starts. What is written, and where, is said. Doing it again changes nothing.
    """
    if install == show:
        raise CannotRunError("say what to do: --install, or --show to print the script")
    shell = shell or _yours()
    script = _script(shell)
    if show:
        click.echo(script)
        return
    file, start = _places(shell)
    line = _line(shell, file)
    try:
        _put(file, script.encode())
        if start:
            _add_line(start, line)
    except OSError as error:
        raise CannotRunError(f"cannot write {error.filename}: {error.strerror}") from None
    click.echo("it works in the next terminal you open")


def _yours() -> str:
    name = Path(os.environ.get("SHELL", "")).name
    if name in SHELLS:
        return name
    known = ", ".join(SHELLS)
    raise CannotRunError(f"your shell is not known; name it with --shell, one of {known}")


def _script(shell: str) -> str:
    from buildbook.cli.main import cli  # noqa: PLC0415 - it imports this module when it is called

    made = get_completion_class(shell)
    assert made is not None
    complete = made(cli, {}, "buildbook", "_BUILDBOOK_COMPLETE")
    # Filled in here, as click's `source` first runs the shell to ask for its version.
    return complete.source_template % complete.source_vars()


def _places(shell: str) -> tuple[Path, Path | None]:
    """Return where the script goes, and the file that must load it, if one must."""
    home = Path.home()
    config = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config")
    data = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    if shell == "fish":
        return config / "fish" / "completions" / "buildbook.fish", None
    file = data / "buildbook" / f"completion.{shell}"
    if shell == "bash":
        return file, home / ".bashrc"
    return file, Path(os.environ.get("ZDOTDIR") or home) / ".zshrc"


def _line(shell: str, file: Path) -> str:
    quoted = "'" + str(file).replace("'", "'\\''") + "'"
    load = f"[ -r {quoted} ] && . {quoted}"
    if shell == "zsh":  # completion itself may not have been switched on
        load = f"(( $+functions[compdef] )) || {{ autoload -Uz compinit && compinit }}; {load}"
    return f"{load}  {_MARK}"


def _put(file: Path, content: bytes) -> None:
    if file.is_file() and file.read_bytes() == content:
        click.echo(f"{file} is there already")
        return
    make_folder(file.parent)
    write_whole(file, content)
    click.echo(f"written: {file}")


def _add_line(start: Path, line: str) -> None:
    """Add the line at the end of a file; in place of an earlier one of ours."""
    text = start.read_text(encoding="utf-8") if start.exists() else ""
    if line in text.split("\n"):
        click.echo(f"{start} loads it already")
        return
    lines = [ln for ln in text.split("\n") if not ln.endswith(_MARK)]
    kept = "\n".join(lines)
    kept += "\n" if kept and not kept.endswith("\n") else ""
    write_whole(start, f"{kept}{line}\n".encode())
    click.echo(f"added to {start}:\n  {line}")
