"""Bags: files with a list of what each of them holds, so that a change shows (RFC 8493, BagIt 1.0).

A bag is a folder, or a ZIP file of one. Writing is reproducible: the same files and facts make the
same bytes, and times are those that were given. Anyone can check a bag without this program.
"""

import hashlib
import os
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path, PurePosixPath
from typing import Protocol

ALGORITHMS = ("sha256", "sha512")
"""Digests written. RFC 8493, 2.4, wants both known, and the second by default."""
_READABLE = ("sha512", "sha256", "sha1", "md5")
DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
PAYLOAD = "data/"
_CHUNK = 1 << 20
_STORED = frozenset(".jpg .jpeg .png .webp .heic .heif .avif .mp4 .mov .gz .pdf .zip".split())
"""Endings of files that are packed already."""
_FIRST_YEAR = 1980  # of the dates a ZIP file can hold


class CannotReadFileError(Exception):
    """A file that belongs into a bag cannot be read; the message says which, in a sentence."""


@dataclass(frozen=True, slots=True)
class Item:
    """A file to be put into a bag."""

    path: str
    """Below the payload folder, with forward slashes."""
    source: Path | bytes
    """Where it is, or what it holds."""
    size: int
    """Bytes, as far as is known beforehand."""


@dataclass(frozen=True, slots=True)
class _Entry:
    path: str
    size: int
    digests: tuple[str, ...]


class Sink(Protocol):
    """Where the files of a bag are written."""

    def add(self, path: str, chunks: Iterable[bytes]) -> None:
        """Write a file. Raises OSError."""

    def close(self) -> None:
        """Finish. Raises OSError."""


class FolderSink:
    """Writes a bag as a folder; its files bear the given day."""

    def __init__(self, folder: Path, day: date | None) -> None:
        folder.mkdir()
        self._folder = folder
        self._when = datetime.combine(day or date(_FIRST_YEAR, 1, 1), time(12)).timestamp()

    def add(self, path: str, chunks: Iterable[bytes]) -> None:
        """Write a file. Raises OSError."""
        target = self._folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("xb") as file:
            for chunk in chunks:
                file.write(chunk)
        os.utime(target, (self._when, self._when))

    def close(self) -> None:
        """Finish: nothing is left to do."""


class ZipSink:
    """Writes a bag as one ZIP file that holds one folder (RFC 8493, 4.2)."""

    def __init__(self, file: Path, folder: str, day: date | None) -> None:
        self._zip = zipfile.ZipFile(file, "x", allowZip64=True)
        self._folder = folder
        day = day if day and day.year >= _FIRST_YEAR else date(_FIRST_YEAR, 1, 1)
        self._when = (day.year, day.month, day.day, 12, 0, 0)

    def add(self, path: str, chunks: Iterable[bytes]) -> None:
        """Write a file. Raises OSError."""
        info = zipfile.ZipInfo(f"{self._folder}/{path}", self._when)
        packed = PurePosixPath(path).suffix.lower() in _STORED
        info.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
        info.create_system = 3  # Unix, whatever this is run on
        info.external_attr = 0o100644 << 16
        with self._zip.open(info, "w", force_zip64=True) as file:
            for chunk in chunks:
                file.write(chunk)

    def close(self) -> None:
        """Write the list of files at the end. Raises OSError."""
        self._zip.close()


def write_bag(
    sink: Sink, items: Iterable[Item], info: Iterable[tuple[str, str]], tags: dict[str, bytes]
) -> tuple[int, int]:
    """Write a bag, and give how many bytes and files its payload has.

    `info` are the lines of `bag-info.txt`, to which the payload's size is added, and `tags` other
    files beside it. Raises CannotReadFileError, and OSError when something cannot be written.
    """
    entries = [_put(sink, item) for item in items]
    size = sum(entry.size for entry in entries)
    facts = [*info, ("Payload-Oxum", f"{size}.{len(entries)}")]
    files = {
        **tags,
        "bagit.txt": DECLARATION.encode(),
        "bag-info.txt": "".join(f"{name}: {_one_line(value)}\n" for name, value in facts).encode(),
    }
    for n, algorithm in enumerate(ALGORITHMS):
        lines = (f"{entry.digests[n]}  {encoded(entry.path)}\n" for entry in entries)
        files[f"manifest-{algorithm}.txt"] = "".join(lines).encode()
    for algorithm in ALGORITHMS:
        listed = sorted(name for name in files if not name.startswith("tagmanifest-"))
        lines = (f"{hashlib.new(algorithm, files[n]).hexdigest()}  {encoded(n)}\n" for n in listed)
        files[f"tagmanifest-{algorithm}.txt"] = "".join(lines).encode()
    for name in sorted(files):
        sink.add(name, [files[name]])
    sink.close()
    return size, len(entries)


def _put(sink: Sink, item: Item) -> _Entry:
    """Write a file of the payload, and reckon its digests from the same bytes."""
    digests = [hashlib.new(algorithm) for algorithm in ALGORITHMS]
    size = 0

    def chunks() -> Iterator[bytes]:
        nonlocal size
        for chunk in _read(item):
            size += len(chunk)
            for digest in digests:
                digest.update(chunk)
            yield chunk

    path = PAYLOAD + item.path
    sink.add(path, chunks())
    return _Entry(path, size, tuple(digest.hexdigest() for digest in digests))


def _read(item: Item) -> Iterator[bytes]:
    if isinstance(item.source, bytes):
        yield item.source
        return
    try:
        with item.source.open("rb") as file:
            while chunk := file.read(_CHUNK):
                yield chunk
    except OSError as error:
        why = "is no longer there" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise CannotReadFileError(f"{item.source} {why}") from error


def _one_line(value: str) -> str:
    return " ".join(value.split())


def encoded(path: str) -> str:
    """Spell a path as manifests do: per cent and line ends are written out (RFC 8493, 2.1.3)."""
    return path.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def decoded(path: str) -> str:
    """Undo `encoded`."""
    return re.sub("%(25|0D|0A)", lambda found: chr(int(found[1], 16)), path, flags=re.IGNORECASE)


# Looking at a bag.


class _Folder:
    """The files of a bag that is a folder."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def names(self) -> Iterator[str]:
        for path in sorted(self._folder.rglob("*")):
            if path.is_symlink() or not path.is_dir():
                yield path.relative_to(self._folder).as_posix()

    def chunks(self, name: str) -> Iterator[bytes]:
        path = self._folder / name
        if path.is_symlink():
            raise OSError(0, "it is a link and no file")
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                yield chunk


class _Zip:
    """The files of a bag that is a ZIP file."""

    def __init__(self, file: Path) -> None:
        self._zip = zipfile.ZipFile(file)
        marks = [n for n in self._zip.namelist() if n.rpartition("/")[2] == "bagit.txt"]
        self._top = min(marks, key=len, default="").removesuffix("bagit.txt")

    def names(self) -> Iterator[str]:
        for name in self._zip.namelist():
            if not name.endswith("/"):
                yield name.removeprefix(self._top)

    def chunks(self, name: str) -> Iterator[bytes]:
        with self._zip.open(self._top + name) as file:
            while chunk := file.read(_CHUNK):
                yield chunk


def is_bag(path: Path) -> bool:
    """Tell whether something is a bag, or a ZIP file of one."""
    if path.is_dir():
        return (path / "bagit.txt").is_file()
    try:
        with zipfile.ZipFile(path) as packed:
            return any(name.rpartition("/")[2] == "bagit.txt" for name in packed.namelist())
    except (OSError, zipfile.BadZipFile):
        return path.is_file() and path.suffix.lower() == ".zip"


def verify_bag(path: Path) -> list[str]:
    """Say what is wrong with a bag, a sentence each; nothing where it is as it was made."""
    try:
        return list(_Verifier(_Folder(path) if path.is_dir() else _Zip(path)).faults())
    except zipfile.BadZipFile:
        return ["the ZIP file is damaged: its list of files cannot be read"]
    except OSError as error:
        return [f"it cannot be read: {error.strerror or error}"]


def info_of(path: Path) -> dict[str, str]:
    """Read what a bag says of itself. Raises OSError and zipfile.BadZipFile."""
    bag = _Folder(path) if path.is_dir() else _Zip(path)
    return _info(b"".join(bag.chunks("bag-info.txt")))


def _info(raw: bytes) -> dict[str, str]:
    found = {}
    for line in raw.decode("utf-8", "replace").splitlines():
        name, colon, value = line.partition(":")
        if colon and not line[:1].isspace():
            found[name.strip()] = value.strip()
    return found


_DECLARED = re.compile(r"BagIt-Version: \d+\.\d+\nTag-File-Character-Encoding: \S+\n?")
_LISTED = re.compile(r"([0-9a-fA-F]+)[ \t]+\*?(.+)")
_MANIFEST = re.compile(r"(tag)?manifest-([a-z0-9]+)\.txt")


class _Verifier:
    """Holds the files of a bag against its lists."""

    def __init__(self, bag: "_Folder | _Zip") -> None:
        self.bag = bag
        self.there = set(bag.names())
        self.sizes: dict[str, int] = {}
        self.unread = False
        """Something could not be read to its end, so that sizes say nothing."""

    def faults(self) -> Iterator[str]:
        """Yield what is wrong, the payload first."""
        try:
            declared = self._text("bagit.txt")
        except KeyError:
            yield "it holds no `bagit.txt`, which every such archive has"
            return
        if not _DECLARED.fullmatch(declared.replace("\r\n", "\n")):
            yield "`bagit.txt` was changed"
        listed: dict[str, dict[str, str]] = {}
        for name in sorted(self.there):
            found = _MANIFEST.fullmatch(name)
            if found and found[2] in _READABLE:
                for path, digest in self._entries(name).items():
                    listed.setdefault(path, {})[found[2]] = digest
                yield from (f"`{name}` has a line that is none: {x}" for x in self._odd(name))
        lists = [n for n in self.there if n.startswith("manifest-") and _MANIFEST.fullmatch(n)]
        if not lists:
            yield "it holds no list of its files (`manifest-sha256.txt`), so nothing can be told"
            return
        yield from self._against(listed, lists)
        yield from self._size()

    def _against(self, listed: dict[str, dict[str, str]], lists: list[str]) -> Iterator[str]:
        for path in sorted(listed):
            if not _is_inside(path):
                yield f"a list names {path}, which would be outside the archive"
            elif path not in self.there:
                yield f"{path} is missing"
            else:
                yield from self._of_file(path, listed[path])
        payload = {path for path in self.there if path.startswith(PAYLOAD)}
        of_list = {name: set(self._entries(name)) for name in lists}
        for path in sorted(payload):
            if not any(path in names for names in of_list.values()):
                yield f"{path} was added: no list names it"
            elif any(path not in names for names in of_list.values()):
                yield f"{path} is not in all of the lists"

    def _of_file(self, path: str, digests: dict[str, str]) -> Iterator[str]:
        running = {algorithm: hashlib.new(algorithm) for algorithm in digests}
        size = 0
        try:
            for chunk in self.bag.chunks(path):
                size += len(chunk)
                for digest in running.values():
                    digest.update(chunk)
        except (zipfile.BadZipFile, EOFError, zlib.error):
            yield f"{path} was changed: the ZIP file is damaged there"
            self.unread = True
            return
        except OSError as error:
            yield f"{path} cannot be read: {error.strerror or error}"
            self.unread = True
            return
        self.sizes[path] = size
        wrong = [a for a, digest in digests.items() if running[a].hexdigest() != digest.lower()]
        if len(wrong) == len(digests):
            yield f"{path} was changed: it is not what it was when the archive was made"
        elif wrong:
            yield f"{path}: its {wrong[0]} is another, though others fit: a list was changed"

    def _size(self) -> Iterator[str]:
        """Hold the payload's size against what `bag-info.txt` says."""
        if "bag-info.txt" not in self.there or self.unread:
            return
        said = _info(b"".join(self.bag.chunks("bag-info.txt"))).get("Payload-Oxum", "")
        if not said:
            return
        payload = [path for path in self.there if path.startswith(PAYLOAD)]
        size = sum(self.sizes.get(path, 0) for path in payload)
        if said != f"{size}.{len(payload)}":
            number, _, count = said.partition(".")
            yield (
                f"it says of itself that it holds {count} files with {number} bytes, and holds "
                f"{len(payload)} with {size}"
            )

    def _text(self, name: str) -> str:
        if name not in self.there:
            raise KeyError(name)
        return b"".join(self.bag.chunks(name)).decode("utf-8", "replace")

    def _entries(self, name: str) -> dict[str, str]:
        found = (_LISTED.fullmatch(line) for line in self._text(name).splitlines())
        return {decoded(line[2]).removeprefix("./"): line[1] for line in found if line}

    def _odd(self, name: str) -> list[str]:
        lines = self._text(name).splitlines()
        return [line[:60] for line in lines if line.strip() and not _LISTED.fullmatch(line)]


def _is_inside(path: str) -> bool:
    pure = PurePosixPath(path)
    return not pure.is_absolute() and ".." not in pure.parts and ":" not in pure.parts[0]
