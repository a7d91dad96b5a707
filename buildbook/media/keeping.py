"""What is kept in a cache of pictures or clips: what is used stays, the rest goes in time.

When a file was last used stands in its time of access, written here and not left to the system,
which may not keep it. Its time of change stays as it was. Deleting any of it is always safe: what
is missing is made again from the original.
"""

import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from buildbook.files import PARTIAL
from buildbook.media.problems import CacheError

_DAY = 24 * 3600.0  # seconds
UNUSED = 90 * _DAY
"""Seconds after which what no build has used goes: a season, as a book rests over a winter."""
_MADE_HERE = re.compile(r"[0-9a-f]{12}-(?:(?:\d+|full)\.jpg|(?:film|preview)\.mp4)")
_STALE = _DAY  # a partial file as old as that has surely been left by a killed run


def is_whole(path: Path, size: int) -> bool:
    """Tell whether a file of a cache is there with that many bytes, and note that it is used."""
    try:
        found = path.stat()
    except OSError:
        return False
    if found.st_size != size:
        return False
    if time.time() - found.st_atime > _DAY:  # once a day is often enough
        with suppress(OSError):  # a cache that cannot be written can be read all the same
            os.utime(path, ns=(time.time_ns(), found.st_mtime_ns))
    return True


@contextmanager
def writing(cache: Path, what: str) -> Iterator[None]:
    """Say in a sentence that a cache, of `pictures` or `clips`, cannot be written.

    Raises CacheError in place of OSError.
    """
    try:
        yield
    except OSError as error:
        raise CacheError(
            f"the folder for prepared {what}, {cache}, cannot be written: {error.strerror or error}"
        ) from error


def tidy(cache: Path) -> set[str]:
    """Remove what nothing has used for long, and what killed runs left half-written.

    Only files named as a store names them are touched: someone may have a folder of their own in
    the place of the cache. Gives the names of those that are left. What cannot be removed stays.
    """
    now, left = time.time(), set()
    with os.scandir(cache) as entries:
        for entry in entries:
            partial = entry.name.startswith(".") and entry.name.endswith(PARTIAL)
            if not partial and not _MADE_HERE.fullmatch(entry.name):
                continue
            with suppress(OSError):  # another run may be at it too
                found = entry.stat(follow_symlinks=False)
                idle = now - (found.st_mtime if partial else max(found.st_mtime, found.st_atime))
                if idle > (_STALE if partial else UNUSED):
                    Path(entry.path).unlink()
                elif not partial:
                    left.add(entry.name)
    return left
