"""Pictures that are shown nowhere because what shall be hidden of them could not be read.

A slip in a session must not publish what its builder meant to blur.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from buildbook.records.kinds import kind_of
from buildbook.records.problems import Problem, Severity
from buildbook.records.record import fold
from buildbook.records.session import Session
from buildbook.records.yamlfile import YamlFile


def withheld(
    sessions: Iterable[Session],
    photos: Collection[str],
    files: Mapping[str, YamlFile],
    problems: Iterable[Problem],
) -> frozenset[str]:
    """Tell which pictures to show nowhere, from what is wrong in the files of sessions.

    While a session file has an error, the `blur` of a photo may be in what was left out. So a
    picture that no session shows waits, whichever other record names it, and so does one that is
    written beside a `blur` in that file and did not come through with it.
    """
    wrong = {p.place.file for p in problems if p.severity is Severity.ERROR}
    troubled = [name for name in files if name in wrong and _is_session(name)]
    if not troubled:
        return frozenset()
    taken = [(s.place.file, photo) for s in sessions for photo in s.photos]
    blurred = {(file, photo.file) for file, photo in taken if photo.blur}
    beside = {
        file
        for name in troubled
        for file in _beside_a_blur(files[name].data)
        if (name, file) not in blurred
    }
    return frozenset(photos) - {photo.file for _, photo in taken} | beside


def _is_session(file: str) -> bool:
    kind = kind_of(file)
    return kind is not None and kind.name == "sessions"


def _beside_a_blur(data: Any) -> Iterator[str]:
    """Yield the `file` of every entry that has a `blur`, however the two are spelled."""
    if isinstance(data, dict):
        entry = {fold(str(key)): value for key, value in data.items()}
        if "blur" in entry:
            yield str(entry.get("file", ""))
        data = list(data.values())
    if isinstance(data, list):
        for value in data:
            yield from _beside_a_blur(value)
