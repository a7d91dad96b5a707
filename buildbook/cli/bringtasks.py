"""`buildbook import tasks`: the list by which an authority counts who built the aircraft."""

import sys
from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.incoming.table import NoTableError, read_table
from buildbook.incoming.tasklist import TaskList, general, task_file, tasks_in


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--general", "ours", is_flag=True, help="Take the general list for a metal aircraft.")
@click.option("--write", is_flag=True, help="Write the tasks into content/tasks.yml.")
@click.option("--leave-out", is_flag=True, help="Write although some rows have to be left out.")
@content_option
def tasks(*, file: Path | None, ours: bool, write: bool, leave_out: bool, content: Path) -> None:
    """Bring in a list of tasks: the authority's own (FILE, a CSV), or the --general one.

    Columns are known by their headings: task, number, group, and the four shares (maker, help,
    assembly, fabrication, or A to D). Without --write nothing is written, and what is there is
    never changed.

    Exit status: 0 when every row is clear, 1 when some are not, 2 when the list cannot be read.
    """
    if (file is None) != ours:
        raise CannotRunError("name a CSV file, or say --general, and not both")
    found = _read(file) if file else general()
    for name, heading in found.columns.items():
        click.echo(f"{name}: column `{heading}`")
    if found.unused:
        click.echo(f"not used: {', '.join(f'`{h}`' for h in found.unused)}")
    groups: dict[str, int] = {}
    for task in found.tasks:
        groups[task["group"]] = groups.get(task["group"], 0) + 1
    for group, count in groups.items():
        click.echo(f"  {group}: {_tasks(count)}")
    for said in found.wrong:
        click.echo(said)
    target = read_book(content).book.folder / "tasks.yml"
    source = file.name if file else "the general list for an all-metal aircraft"
    _write(found, target, source, write=write, leave_out=leave_out)
    sys.exit(1 if found.wrong else 0)


def _read(file: Path) -> TaskList:
    try:
        return tasks_in(read_table(file.read_bytes()))
    except OSError as error:
        raise CannotRunError(f"{file} cannot be read: {error.strerror}") from None
    except NoTableError as error:
        raise CannotRunError(f"{file} cannot be read as a list: {error}") from None


def _write(found: TaskList, target: Path, source: str, *, write: bool, leave_out: bool) -> None:
    count = len(found.tasks)
    if not count:
        click.echo("there is no task to bring in")
    elif not write:
        click.echo(f"nothing is written; --write puts {_tasks(count)} into {target.as_posix()}")
    elif found.wrong and not leave_out:
        raise CannotRunError(
            f"nothing is written: rows of the list are not clear ({len(found.wrong)}). Mend them, "
            f"or add --leave-out to write {_tasks(count)} without them"
        )
    else:
        write_new(target, task_file(found.tasks, source).encode())
        click.echo(f"{target.as_posix()}: {_tasks(count)}; next, share them, and `buildbook check`")


def _tasks(count: int) -> str:
    return f"{count} task{'' if count == 1 else 's'}"
