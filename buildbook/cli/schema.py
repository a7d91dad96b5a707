"""`buildbook schema`: what an editor needs to help while a record is typed."""

import json
from pathlib import Path

import click

from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.records.kinds import KINDS
from buildbook.records.schema import schema_of, schemas


@click.command()
@click.argument("folder", default=".buildbook/schema", type=click.Path(path_type=Path))
@click.option("--print", "kind", type=click.Choice(tuple(KINDS)), help="Show one schema instead.")
def schema(folder: Path, kind: str | None) -> None:
    """Write the JSON Schema of every kind of file into FOLDER (`.buildbook/schema` when left out).

    An editor with YAML support then completes field names and marks mistakes while you type. A
    first line such as `# yaml-language-server: $schema=../.buildbook/schema/people.json` in a
    record file tells it which schema to use.
    """
    if kind:
        click.echo(as_json(schema_of(KINDS[kind])), nl=False)
        return
    try:
        written = write_schemas(folder)
    except OSError as error:
        raise CannotRunError(f"cannot write into {folder}: {error.strerror}") from None
    click.echo(f"{len(written)} schemas written into {folder}")


def as_json(value: object) -> str:
    """Write a schema as indented JSON, ending with a line end."""
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def write_schemas(folder: Path) -> list[Path]:
    """Write `<kind>.json` for every kind, each in one step so that no editor reads half a file."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, content in schemas().items():
        path = folder / f"{name}.json"
        write_new(path, as_json(content).encode(), force=True)
        written.append(path)
    return written
