"""Tables: what an export is made of, before it is written as CSV, JSON or SQLite."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, Literal

Value = str | int | float | bool | None
ColumnKind = Literal["text", "integer", "number", "yes-no", "date", "time"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    name: str
    kind: ColumnKind
    """Dates are `2025-03-08`, times `09:30`."""
    description: str
    refers: str = ""
    """Table whose key it holds; empty for a column that cites nothing."""
    needed: bool = False
    """It holds something in every row."""


@dataclass(slots=True)
class Table:
    """A table: rows of values in the order of its columns. The first column is its key."""

    name: str
    description: str
    columns: tuple[Column, ...]
    rows: list[tuple[Value, ...]] = field(default_factory=list)


def plain(value: Any) -> Value:
    """Turn a value of a record into one of a table."""
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    low, high = getattr(value, "low", None), getattr(value, "high", None)
    if low or high:  # from a smallest to a largest value
        return " to ".join(v.written if v else "any" for v in (low, high))
    return str(value)


def by_need(tables: list[Table]) -> list[Table]:
    """Put tables in an order in which each comes after those it cites, itself left aside.

    Raises ValueError where they cite one another in a ring.
    """
    waiting = {table.name: table for table in tables}
    done: list[Table] = []
    while waiting:
        ready = [t for t in waiting.values() if not any(_cites(t, name) for name in waiting)]
        if not ready:
            raise ValueError(f"these tables cite one another in a ring: {', '.join(waiting)}")
        for table in ready:
            del waiting[table.name]
        done += ready
    return done


def _cites(table: Table, name: str) -> bool:
    return name != table.name and any(column.refers == name for column in table.columns)
