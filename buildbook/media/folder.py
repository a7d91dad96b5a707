"""The folder of photos: files inside it, and nothing outside."""

import errno
import hashlib
import os
import stat
from pathlib import Path, PurePosixPath

from buildbook.media.problems import BadPictureError, too_large

MOST_BYTES = 250_000_000
"""Largest file read, in bytes: several times what a 108-megapixel telephone writes."""


class Folder:
    """Reads files inside a folder, by names such as `2025/03/rear-spar.jpg`.

    Links are followed as long as they stay inside. Files of more than `most` bytes are not used.
    """

    def __init__(self, root: Path, *, most: int = MOST_BYTES) -> None:
        self._root = root.resolve()
        self._most = most
        self._inside: dict[PurePosixPath, bool] = {}

    def stat(self, file: str) -> os.stat_result:
        """Give the size and the time of a file. Raises BadPictureError when it cannot be used."""
        try:
            path = self._path(file)
            found = path.lstat()
            if stat.S_ISLNK(found.st_mode):
                if not path.resolve().is_relative_to(self._root):
                    raise _outside()
                found = path.stat()
        except (OSError, ValueError, RuntimeError) as error:
            raise _in_plain_words(error) from error
        if not stat.S_ISREG(found.st_mode):
            raise BadPictureError("picture-unknown", "is not a file", "name a photo")
        if found.st_size > self._most:
            raise too_large(f"is too large to prepare: {found.st_size // 1_000_000} MB")
        return found

    def has(self, file: str) -> bool:
        """Tell whether a file is there and can be used."""
        try:
            self.stat(file)
        except BadPictureError:
            return False
        return True

    def read(self, file: str) -> bytes:
        """Give what a file holds. Raises BadPictureError when it cannot be used."""
        self.stat(file)
        try:
            return self._path(file).read_bytes()
        except (OSError, ValueError) as error:
            raise _in_plain_words(error) from error

    def digest(self, file: str) -> str:
        """Give the SHA-256 of what a file holds, without holding it. Raises BadPictureError."""
        try:
            with self.path(file).open("rb") as opened:
                return hashlib.file_digest(opened, "sha256").hexdigest()
        except (OSError, ValueError) as error:
            raise _in_plain_words(error) from error

    def path(self, file: str) -> Path:
        """Give where a file is. Raises BadPictureError when it cannot be used."""
        self.stat(file)
        return self._path(file)

    def _path(self, file: str) -> Path:
        name = PurePosixPath(file)
        first = file.partition("/")[0]
        if name.is_absolute() or ".." in name.parts or "\\" in file or ":" in first:
            raise _outside()
        inside = self._inside.get(name.parent)
        if inside is None:  # asked once for each folder, not for each of its photos
            inside = (self._root / name.parent).resolve().is_relative_to(self._root)
            self._inside[name.parent] = inside
        if not inside:
            raise _outside()
        return self._root / name


def _outside() -> BadPictureError:
    return BadPictureError(
        "picture-outside",
        "leads out of the folder of photos",
        "copy the picture into `photos/` and name it from there, as `2025/03/rear-spar.jpg`",
    )


def _in_plain_words(error: Exception) -> BadPictureError:
    number = error.errno if isinstance(error, OSError) else None
    if number in {errno.ENOENT, errno.ENOTDIR, errno.ENAMETOOLONG, errno.ELOOP} or number is None:
        return BadPictureError(
            "picture-gone", "is not there", "check its name, and that it was not moved or deleted"
        )
    if number in {errno.EACCES, errno.EPERM}:
        return BadPictureError(
            "picture-unreadable",
            "may not be read",
            "change the permissions of the file so that you can open it",
        )
    return BadPictureError(
        "picture-unreadable",
        f"cannot be read from the disk ({os.strerror(number)})",
        "check the disk, or copy the picture again",
    )
