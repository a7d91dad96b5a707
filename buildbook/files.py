"""Writing files: under its name a file is always whole, and it is still there after a power cut."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

PARTIAL = ".part"
"""Ending of files that are not written to their end yet; their names also start with a point."""
_MODE = 0o644
_RESERVED = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)))
)
"""What Windows takes for devices, whatever their ending (Microsoft, "Naming Files, Paths, and
Namespaces"); held against Python's own list in tests."""


def portable(name: str) -> str:
    """Return a name that a file can bear on Windows too: `aux` becomes `-aux`.

    No short name and no part number begins with a hyphen, so that none becomes another's.
    """
    return f"-{name}" if name.partition(".")[0].casefold() in _RESERVED else name


def write_whole(path: Path, data: bytes, *, durable: bool = True) -> None:
    """Write a file, in place of the one that bears its name; who reads it sees the old or the new.

    With `durable` it is on the disk when this returns; what can be made again may do without, as
    waiting for a disk takes long. A file that is replaced keeps its permissions. Raises OSError.
    """
    try:
        mode = path.stat().st_mode & 0o7777
    except OSError:
        mode = _MODE
    target = path.resolve() if path.is_symlink() else path  # the link stays a link
    with _partial(target, data, mode, durable=durable) as part:
        part.replace(target)
    if durable:
        sync_folder(target.parent)


def write_new(path: Path, data: bytes) -> None:
    """Write a file under a name that no file bears yet, whole and durably.

    Raises FileExistsError, whoever else was quicker, and OSError when it cannot be written.
    """
    with _partial(path, data, _MODE, durable=True) as part:
        give_name(part, path)
    sync_folder(path.parent)


def give_name(part: Path, path: Path) -> None:
    """Give a finished file the name that no file bears yet; `part` may be left beside it.

    Raises FileExistsError, whoever else was quicker, and OSError when it cannot be done.
    """
    try:
        path.hardlink_to(part)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links, such as a memory stick
        if path.exists():
            raise FileExistsError(17, "there is such a file", str(path)) from None
        part.replace(path)


@contextmanager
def _partial(path: Path, data: bytes, mode: int, *, durable: bool) -> Iterator[Path]:
    """Write the data beside where it belongs; what is left of it goes away in the end."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=PARTIAL)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            if durable:
                file.flush()
                os.fsync(file.fileno())
        part.chmod(mode)
        yield part
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Have the disk remember which files a folder holds, where the system can be asked to."""
    with suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, and have the disk remember them. Raises OSError."""
    made = []
    while not folder.is_dir():
        made.append(folder)
        folder = folder.parent
    for inner in reversed(made):
        inner.mkdir(exist_ok=True)
        sync_folder(inner.parent)


@contextmanager
def alone(lock: Path) -> Iterator[None]:
    """Let one program in at a time; the lock goes away with the program that holds it.

    Raises OSError when there is no writing `lock`.
    """
    with lock.open("ab") as held:
        try:
            import fcntl  # noqa: PLC0415 - not on Windows
        except ImportError:
            import msvcrt  # noqa: PLC0415

            msvcrt.locking(held.fileno(), msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined]
        else:
            fcntl.flock(held, fcntl.LOCK_EX)
        yield
