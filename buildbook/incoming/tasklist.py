"""A list of tasks, as an authority gives it out: from a CSV file, or the general one."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any

from buildbook.incoming.recordtext import scalar
from buildbook.incoming.table import NoTableError, Row, Table
from buildbook.printable import printable
from buildbook.records.names import MAX_NAME, slugify
from buildbook.records.problems import Place
from buildbook.records.task import SHARES, Task
from buildbook.records.validate import validate
from buildbook.reference.tasklist import GENERAL

HEADINGS = {
    "title": ("task", "title", "description", "item", "operation", "what"),
    "number": ("number", "no", "nr", "id", "item no", "task no", "task number", "#"),
    "group": ("group", "section", "part", "assembly", "component", "area", "chapter"),
    "maker": ("maker", "kit", "kit maker", "manufacturer", "mfr", "a"),
    "help": ("help", "paid help", "commercial assistance", "commercial", "assistance", "b"),
    "assembly": ("assembly by builder", "builder assembly", "am builder assembly", "c"),
    "fabrication": ("fabrication", "builder fabrication", "am builder fabrication", "d"),
    "steps": ("steps", "step"),
    "why": ("why", "remarks", "remark", "notes", "comment", "comments"),
}
"""Words that head a column, by the field of a task it holds, the surest first."""
_NOT = ("n/a", "na", "not applicable", "n.a.", "none", "-")
_HEADER_WITHIN = 20
_FIELDS = ("task", "number", "title", "group", "steps", *SHARES, "applies", "why")


@dataclass(slots=True)
class TaskList:
    """What a list says."""

    columns: dict[str, str] = field(default_factory=dict)
    """Heading of the column each field came from."""
    unused: list[str] = field(default_factory=list)
    tasks: list[dict[str, Any]] = field(default_factory=list)
    """Each as the fields of a record, in their order."""
    wrong: list[str] = field(default_factory=list)
    """Rows that cannot be understood, in sentences; they are not among the tasks."""


def general() -> TaskList:
    """Give the general list for an all-metal aircraft. Nothing in it is shared yet."""
    found = TaskList()
    found.tasks = [{"task": t.task, "title": t.title, "group": t.group} for t in GENERAL]
    return found


def tasks_in(table: Table) -> TaskList:
    """Read a table of tasks. A row with nothing but a title begins a group.

    Raises NoTableError when no column holds the tasks.
    """
    at, first = _columns(table)
    heads = table.rows[first - 1].cells
    found = TaskList(
        columns={name: heads[i].strip() for name, i in at.items()},
        unused=[h.strip() for i, h in enumerate(heads) if h.strip() and i not in at.values()],
    )
    group = ""
    names: set[str] = set()
    for row in table.rows[first:]:
        cells = {
            name: " ".join(row.cells[i].split()) if i < len(row.cells) else ""
            for name, i in at.items()
        }
        alone = [name for name, cell in cells.items() if cell] == ["title"]
        if "group" not in at and alone and any(name in at for name in ("number", *SHARES)):
            group = cells["title"]
        else:
            _take(found, row, {**cells, "group": cells.get("group") or group}, names)
            group = cells.get("group") or group
    return found


def _columns(table: Table) -> tuple[dict[str, int], int]:
    for i, row in enumerate(table.rows[:_HEADER_WITHIN]):
        folded = [" ".join(re.findall(r"[\w#]+", cell.casefold())) for cell in row.cells]
        at: dict[str, int] = {}
        for name, words in HEADINGS.items():
            free = (folded.index(w) for w in words if w in folded)
            column = next((n for n in free if n not in at.values()), None)
            if column is not None:
                at[name] = column
        # `Assembly` alone heads the builder's, where the other columns of shares are there too.
        if "assembly" not in at and "assembly" in folded and "maker" in at:
            other = folded.index("assembly")
            if at.get("group") == other:
                del at["group"]
            at["assembly"] = other
        if "title" in at and len(at) > 1:
            return at, i + 1
    first = ", ".join(f"`{c.strip()}`" for c in table.rows[0].cells if c.strip())
    raise NoTableError(
        f"no column is headed `task`, `title` or `description`; the first row says {first}"
    )


def _take(found: TaskList, row: Row, cells: Mapping[str, str], names: set[str]) -> None:
    title = cells["title"]
    if not title:
        found.wrong.append(f"line {row.line}: there is no task")
        return
    data: dict[str, Any] = {"task": _name(cells, names), "title": title}
    data |= {name: cells[name] for name in ("number", "why") if cells.get(name)}
    data["group"] = cells["group"] or "Tasks"
    if cells.get("steps"):
        data["steps"] = [s for s in re.split(r"[;,\s]+", cells["steps"]) if s]
    shares = {name: cells.get(name, "").replace(",", ".") for name in SHARES}
    if any(share.casefold() in _NOT for share in shares.values() if share):
        data["applies"] = "no"
    else:
        data |= {name: share for name, share in shares.items() if share.strip("0. ")}
    record, problems = validate(Task, data, Place(""))
    if problems or record is None:
        names.discard(data["task"])
        found.wrong += [f"line {row.line}: {p.message}" for p in problems]
        return
    found.tasks.append({name: data[name] for name in _FIELDS if name in data})


def _name(cells: Mapping[str, str], taken: set[str]) -> str:
    """Make a short name of the number, or of the first words."""
    number = slugify(cells.get("number", ""))
    words = slugify(cells["title"]).split("-")
    base = (number or "-".join(words[:4]) or "task")[: MAX_NAME - 4].strip("-")
    name, count = base, 1
    while name in taken:
        count += 1
        name = f"{base}-{count}"
    taken.add(name)
    return name


def task_file(tasks: Iterable[Mapping[str, Any]], source: str) -> str:
    """Write a file of tasks; `source` says where they come from."""
    lines = [
        "# yaml-language-server: $schema=../.buildbook/schema/tasks.json",
        f"# From {printable(PurePath(source).name)}.",
        "# Share each task in tenths between maker, help, assembly and fabrication, and name its",
        "# steps; where there is no such task, write `applies: no` and `why`.",
    ]
    for task in tasks:
        for i, (name, value) in enumerate(task.items()):
            written = f"[{', '.join(value)}]" if isinstance(value, list) else _written(name, value)
            lines.append(f"{'  ' if i else '- '}{name}: {written}")
    return "\n".join(lines) + "\n"


def _written(name: str, value: str) -> str:
    return value if name in (*SHARES, "applies") else scalar(value)
