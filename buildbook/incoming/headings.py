"""Headings of a table: their words, and which column is meant by them."""

import re
from collections.abc import Mapping, Sequence


def fold(heading: str) -> str:
    """Reduce a heading to its words, without a unit in brackets."""
    plain = re.sub(r"[(\[].*?[)\]]", " ", heading.casefold())
    return " ".join(re.findall(r"\w+", plain))


def named(words: str, cells: Sequence[str]) -> int | None:
    """Return the index of the column with a heading or a number from 1; None when there is none."""
    folded = [fold(c) for c in cells]
    if fold(words) in folded:
        return folded.index(fold(words))
    if words.isdecimal() and 1 <= int(words) <= len(cells):
        return int(words) - 1
    return None


def heads(cells: Sequence[str]) -> str:
    """Say what stands in a row of headings."""
    return f"the first row says {', '.join(f'`{c.strip()}`' for c in cells if c.strip())}"


def guess(
    cells: Sequence[str], at: Mapping[str, int], headings: Mapping[str, Sequence[str]]
) -> dict[str, int]:
    """Guess the column of each field from its heading; `at` says it for some.

    `headings` are the words that usually head a field's column, the surest first.
    """
    folded = [fold(c) for c in cells]
    found = dict(at)
    for field, words in headings.items():
        if field not in found:
            free = (folded.index(w) for w in words if w in folded)
            taken = found.values()
            column = next((i for i in free if i not in taken), None)
            if column is not None:
                found[field] = column
    return {f: found[f] for f in headings if f in found}
