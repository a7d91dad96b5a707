"""Folders made whole or not at all: what was there before stays until its successor is complete."""

import errno
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from buildbook.files import PARTIAL, sync_folder

_OLD = ".old"
_STALE = 3600.0  # seconds after which what a killed run left is surely no one's


class CannotWriteError(Exception):
    """A folder cannot be made; the message says why, in a sentence."""


def replace_folder(
    target: Path, fill: Callable[[Path], None], *, mark: str, content: Path | None = None
) -> None:
    """Make a folder by filling a new one beside it, and give it its name when it is complete.

    `mark` is a file that every such folder holds: a folder that is there without it, and not
    empty, is somebody's own and left alone. `content` is a folder that must not be written into.
    Raises CannotWriteError; what `fill` raises besides goes through. The old folder is there, with
    all that was in it, until the new one is.
    """
    target = Path(os.path.abspath(target))  # noqa: PTH100 - `resolve` would follow a link to it
    try:
        _check(target, mark, content)
        _recover(target)
        new = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}.", suffix=PARTIAL))
    except OSError as error:
        raise _sentence(target, error) from error
    try:
        fill(new)
        new.chmod(0o755)
        _exchange(new, target)
    except OSError as error:
        raise _sentence(target, error) from error
    finally:
        shutil.rmtree(new, ignore_errors=True)


def _check(target: Path, mark: str, content: Path | None) -> None:
    if content and target.resolve().is_relative_to(content.resolve()):
        said = f"{target.name} would be in the folder of records; name a folder outside it"
        raise CannotWriteError(said)
    if not target.parent.is_dir():
        raise CannotWriteError(f"cannot write into {target.parent}: there is no such folder")
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise CannotWriteError(f"{target} is there already and is no folder; name another one")
    try:
        ours = not target.exists() or (target / mark).is_file() or not any(target.iterdir())
    except OSError as error:
        raise _sentence(target, error) from error
    if not ours:
        said = f"{target} is there already and holds other things; name another folder"
        raise CannotWriteError(said)


def _exchange(new: Path, target: Path) -> None:
    old = target.with_name(f".{target.name}{_OLD}")
    if not target.exists():
        new.rename(target)
    else:
        shutil.rmtree(old, ignore_errors=True)
        target.rename(old)
        try:
            new.rename(target)
        except OSError:
            old.rename(target)
            raise
    sync_folder(target.parent)
    shutil.rmtree(old, ignore_errors=True)


def _recover(target: Path) -> None:
    """Undo what a run left that was killed between two renames, and sweep what others left."""
    old = target.with_name(f".{target.name}{_OLD}")
    if old.is_dir() and not target.exists():
        old.rename(target)
    for left in target.parent.glob(f".{target.name}.*{PARTIAL}"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > _STALE:
                shutil.rmtree(left, ignore_errors=True)


_WHY = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "there is no room left for you on this disk",
    errno.EROFS: "this disk can only be read",
    errno.EACCES: "you may not write there",
    errno.EPERM: "you may not write there",
    errno.ENAMETOOLONG: "the path is too long",
}


def _sentence(target: Path, error: OSError) -> CannotWriteError:
    why = _WHY.get(error.errno or 0, error.strerror or str(error))
    return CannotWriteError(f"cannot write {target}: {why}; what was there before is as it was")
