"""Positions: from the way into a record to the line and column where it is written."""

import re
from functools import lru_cache
from itertools import islice
from typing import Any, NamedTuple

import yaml

from buildbook.records.problems import Step
from buildbook.records.record import fold


class _Stretch(NamedTuple):
    """What one value covers, as offsets in the text."""

    start: int
    end: int


def locate(
    text: str, path: tuple[Step, ...], *, of_key: bool = False, find: str = "", skip: int = 0
) -> tuple[int, int]:
    """Return line and column (from 1) of what `path` leads to, or of the deepest part there is.

    `find` narrows it to words inside that value, or failing that inside the list it stands in;
    `skip` passes over as many earlier showings of the words. Positions are recovered only for what
    has a problem: keeping them for every value would cost every read.
    """
    node = _compose(text)
    if node is None:
        return 1, 1
    stretches = _stretches(node, path, of_key=of_key)
    start = stretches[-1].start
    if find:
        looked_in = reversed(stretches[-2:])
        found = (_find(text, s, find, skip) for s in looked_in)
        start = next((at for at in found if at is not None), start)
    return line_and_column(text, start)


def _stretches(node: Any, path: tuple[Step, ...], *, of_key: bool) -> list[_Stretch]:
    """Follow `path` and return what each step on it covers, the innermost last."""
    stretches = [_of(node)]
    for i, step in enumerate(path):
        if isinstance(node, yaml.MappingNode) and not isinstance(step, int):
            pair = next((p for p in node.value if _is(p[0].value, step)), None)
            if pair is None:
                break
            node = pair[1]
            stretches.append(_of(pair[0] if of_key and i == len(path) - 1 else node))
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int):
            if step >= len(node.value):
                break
            node = node.value[step]
            stretches.append(_of(node))
        # A single value or record where a list may stand: the index adds nothing to its position.
    return stretches


def _is(key: Any, step: Step) -> bool:
    return key == step or (isinstance(key, str) and fold(key) == step)


def _of(node: Any) -> _Stretch:
    return _Stretch(node.start_mark.index, node.end_mark.index)


def words_pattern(words: str) -> re.Pattern[str]:
    """Match whole words, however they are spaced or broken over lines."""
    spaced = r"\s+".join(re.escape(w) for w in words.split()).replace("/", r"\s*/\s*")
    return re.compile(rf"(?<![\w/-])(?<!\w\.){spaced}(?![\w/-]|\.\w)")


def _find(text: str, inside: _Stretch, words: str, skip: int) -> int | None:
    found = words_pattern(words).finditer(text, inside.start, inside.end)
    at = [m.start() for m in islice(found, skip + 1)]
    return at[-1] if at else None


def line_and_column(text: str, offset: int) -> tuple[int, int]:
    """Turn an offset into line and column, both from 1."""
    offset = min(offset, len(text))
    return text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)


@lru_cache(maxsize=4)
def _compose(text: str) -> Any:
    loader = yaml.CBaseLoader(text)
    try:
        return loader.get_node() if loader.check_node() else None
    except (yaml.YAMLError, RecursionError):
        return None
