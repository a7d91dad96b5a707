"""Pictures and clips that are shown nowhere because what shall be hidden of them could not be read.

A slip in a session must not publish what its builder meant to blur.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from buildbook.records.clip import Clip
from buildbook.records.kinds import kind_of
from buildbook.records.photo import Photo
from buildbook.records.problems import Problem, Severity
from buildbook.records.record import HIDING, fold
from buildbook.records.session import Session
from buildbook.records.yamlfile import YamlFile


def withheld(
    sessions: Iterable[Session],
    photos: Collection[str],
    files: Mapping[str, YamlFile],
    problems: Iterable[Problem],
) -> frozenset[str]:
    """Tell which pictures and clips to show nowhere, from what is wrong in the files of sessions.

    While a session file has an error, the `blur` of a photo may be in what was left out. So a
    picture that no session shows waits, whichever other record names it, and so does one that is
    written beside a `blur` in that file and did not come through with it. It holds for `silent`
    and `private` as well.
    """
    wrong = {p.place.file for p in problems if p.severity is Severity.ERROR}
    troubled = [name for name in files if name in wrong and _is_session(name)]
    if not troubled:
        return frozenset()
    taken: list[tuple[str, Photo | Clip]] = []
    for session in sessions:
        taken += ((session.place.file, photo) for photo in session.photos)
        taken += ((session.place.file, clip) for clip in session.clips)
    hidden = {("blur", file, shown.file) for file, shown in taken if shown.blur}
    for what in ("silent", "private"):
        hidden |= {(what, file, s.file) for file, s in taken if what in s.model_fields_set}
    beside = {
        file
        for name in troubled
        for what in HIDING
        for file in _beside(what, files[name].data)
        if (what, name, file) not in hidden
    }
    return frozenset(photos) - {shown.file for _, shown in taken} | beside


def _is_session(file: str) -> bool:
    kind = kind_of(file)
    return kind is not None and kind.name == "sessions"


def _beside(what: str, data: Any) -> Iterator[str]:
    """Yield the `file` of every entry that has such a field, however the two are spelled."""
    if isinstance(data, dict):
        entry = {fold(str(key)): value for key, value in data.items()}
        if what in entry:
            yield str(entry.get("file", ""))
        data = list(data.values())
    if isinstance(data, list):
        for value in data:
            yield from _beside(what, value)
