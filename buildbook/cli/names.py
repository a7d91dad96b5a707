"""Names offered while a command is typed: steps, parts, people and whatever else the book has.

A key press must not wait for a whole book: only the files that hold the names are read, and what
is wrong in them is passed over.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import click
from click.shell_completion import CompletionItem

from buildbook.cli.folder import folder_of

Offer = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]

_MOST = 200
"""More than that nobody looks through."""


def names(kind: str) -> Offer:
    """Make what offers the names of one kind of record: `steps`, `parts`, `people` ...

    Several may stand in one word, with commas; the last one is completed.
    """

    def offer(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:  # noqa: ARG001
        before, comma, word = incomplete.rpartition(",")
        content = Path(ctx.params.get("content") or "content")
        try:
            found = list(known(content, kind))
        except OSError:
            return []
        fits = [(n, t) for n, t in found if n.casefold().startswith(word.strip().casefold())]
        return [CompletionItem(f"{before}{comma}{n}", help=t) for n, t in fits[:_MOST]]

    return offer


def known(content: Path, kind: str) -> Iterator[tuple[str, str]]:
    """Yield the name and title of every record of a kind. Raises OSError when there is no book."""
    content = folder_of(content)
    if kind == "steps":
        for section in _records(content, "sections"):
            steps = section.get("steps") or []
            for step in steps if isinstance(steps, list) else [steps]:
                if isinstance(step, dict) and isinstance(step.get("step"), str):
                    yield f"{section.get('section')}/{step['step']}", _title(step)
        return
    if kind == "sessions":
        for file in sorted(content.glob("sessions/**/*.yml"), reverse=True):
            yield file.stem, ""
        return
    identity = {"people": "person"}.get(kind, kind.removesuffix("s"))
    for record in _records(content, kind):
        if isinstance(name := record.get(identity), str):
            yield name, _title(record)


def _title(record: dict[str, object]) -> str:
    return str(record.get("title") or record.get("name") or "")


def _records(content: Path, kind: str) -> Iterator[dict[str, object]]:
    # Loaded only when a name is asked for: `--help` goes through the options too.
    from buildbook.records.yamlfile import read_yaml  # noqa: PLC0415

    files = [*content.glob(f"{kind}.y*ml"), *sorted(content.glob(f"{kind}/**/*.y*ml"))]
    for file in files:
        data = read_yaml(file.name, file.read_bytes()).data
        for record in data if isinstance(data, list) else [data]:
            if isinstance(record, dict):
                yield record
