"""Writing the files a command makes: whole or not at all, and never over another by surprise."""

import os
import tempfile
from pathlib import Path

from buildbook.cli.errors import CannotRunError


def write_new(path: Path, content: bytes, *, force: bool = False) -> None:
    """Write a file in one step. One that is there is left alone unless `force` is given.

    Raises CannotRunError with a sentence when it cannot be written.
    """
    taken = f"{path} is there already; name another file"
    if path.is_dir():
        raise CannotRunError(f"{path} is a folder; name a file")
    if path.exists() and not force:
        raise CannotRunError(taken)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    except OSError as error:
        raise CannotRunError(f"cannot write into {path.parent}: {error.strerror}") from None
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        part.chmod(0o644)
        if force:
            part.replace(path)
        else:
            _move_to_new(part, path)
    except FileExistsError:
        raise CannotRunError(taken) from None
    except OSError as error:
        raise CannotRunError(f"cannot write {path}: {error.strerror}") from None
    finally:
        part.unlink(missing_ok=True)


def _move_to_new(part: Path, path: Path) -> None:
    """Give a finished file its name, unless another took it meanwhile (FileExistsError)."""
    try:
        path.hardlink_to(part)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links, such as a memory stick
        if path.exists():
            raise FileExistsError from None
        part.replace(path)
