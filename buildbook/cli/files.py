"""Writing the files a command makes: whole or not at all, and never over another by surprise."""

from pathlib import Path

from buildbook import files
from buildbook.cli.errors import CannotRunError


def write_new(path: Path, content: bytes, *, force: bool = False) -> None:
    """Write a file in one step. One that is there is left alone unless `force` is given.

    Raises CannotRunError with a sentence when it cannot be written.
    """
    if path.is_dir():
        raise CannotRunError(f"{path} is a folder; name a file")
    if not path.parent.is_dir():
        raise CannotRunError(f"cannot write into {path.parent}: there is no such folder")
    try:
        if force:
            files.write_whole(path, content)
        else:
            files.write_new(path, content)
    except FileExistsError:
        raise CannotRunError(f"{path} is there already; name another file") from None
    except OSError as error:
        raise CannotRunError(f"cannot write {path}: {error.strerror}") from None
