"""A seal: the SHA-256 of every record and picture, chained month by month in a small text file.

Whoever keeps the file, or only its last line, can tell later whether anything was changed. It is
made to outlive this program: the lines of files are those that `sha256sum` writes and checks, and
how the digests come about is told in the file itself. SHA-256 is that of FIPS 180-4.

The same records make the same seal, byte for byte. Sessions and their pictures stand under their
month, so that the digests of months gone by stay what they were; what is not of one month, such as
lists and plans, comes last.
"""

import hashlib
import json
import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.kinds import kind_of
from buildbook.records.read import Reading, leads_inside

FORMAT = "# buildbook seal, format 1"
OTHERS = "not of one month"
"""Name of the last part: lists, plans, pages, and pictures that no session shows."""
MAX_BYTES = 50_000_000

_HEAD = """\
# Each line that begins with 64 letters and digits is the SHA-256 of a file and the file's name
# below the folder of records, as `sha256sum` writes it: `sha256sum -c` in that folder checks them.
# Below a list stand its records, each with the SHA-256 of what it says, however it is laid out.
# The digest of a part is the SHA-256 of the digest before it, a line end, and the part's lines.
# The seal is the SHA-256 of every line above it. Line ends are one line feed.
"""
_LINE = re.compile(r"(?P<escaped>\\?)(?P<digest>[0-9a-f]{64})  (?P<name>.+)")
_RECORD = re.compile(r"#   (?P<digest>[0-9a-f]{64})  (?P<name>.+)")
_DIGEST = re.compile(r"# digest (?P<digest>[0-9a-f]{64})")
_SEAL = re.compile(r"# seal (?P<digest>[0-9a-f]{64})\n?")


class NoSealError(Exception):
    """The file is no seal, or none that can be read; the message says why, in a sentence."""


@dataclass(slots=True)
class Part:
    """A month of a seal, or what is not of one month."""

    name: str
    files: dict[str, str] = field(default_factory=dict)
    """Digest of each file, by its path below the folder of records."""
    records: dict[str, dict[str, str]] = field(default_factory=dict)
    """Of a file that holds a list: the digest of each record, by what it is called."""
    lines: list[str] = field(default_factory=list)
    """As they stand in the seal."""
    digest: str = ""


@dataclass(slots=True)
class Seal:
    """A seal as read."""

    parts: list[Part]
    digest: str
    """Its last line."""
    faults: list[str]
    """What in it does not add up, in sentences; nothing in a seal as it was made."""

    @property
    def files(self) -> dict[str, str]:
        """Digest of every file it seals."""
        return {name: digest for part in self.parts for name, digest in part.files.items()}

    @property
    def records(self) -> dict[str, dict[str, str]]:
        """Digests of the records of lists, by file."""
        return {name: some for part in self.parts for name, some in part.records.items()}


@dataclass(frozen=True, slots=True)
class Differences:
    """What is not as it was sealed."""

    changed: tuple[tuple[str, tuple[str, ...]], ...]
    """Files, each with what became of the records in it, in words."""
    removed: tuple[str, ...]
    moved: tuple[tuple[str, str], ...]
    """Files that bear another name: the sealed one, and today's."""
    added: tuple[str, ...]
    """What came since; a seal says nothing of it."""
    same: int
    """Files that are as they were."""

    @property
    def any_sealed(self) -> bool:
        """Tell whether anything that was sealed is not as it was."""
        return bool(self.changed or self.removed or self.moved)


def make(reading: Reading) -> bytes:
    """Seal a book. Raises OSError when a file cannot be read."""
    book = reading.book
    months = _months(book)
    by_part: dict[str, list[str]] = {}
    for name in sorted(files_in(book.folder), key=_bytes):
        by_part.setdefault(months.get(name, OTHERS), []).append(name)
    last = max((s.date for s in book.sessions.values()), default=None)
    lines = [f"# Seal of the records of {_plain(book.file.title)}"]
    if last:
        lines.append(f"# Up to the session of {last}")
    lines += [FORMAT, "#", *_HEAD.splitlines()]
    before = ""
    for part in sorted(by_part, key=lambda p: (p == OTHERS, p)):
        inside: list[str] = []
        for name in by_part[part]:
            inside.append(_file_line(name, digest_of(book.folder / name)))
            inside += [
                f"#   {digest}  {said}" for said, digest in records_in(reading, name).items()
            ]
        before = _chained(before, inside)
        lines += ["#", f"# part {part}", *inside, f"# digest {before}"]
    text = "".join(f"{line}\n" for line in [*lines, "#"])
    return _bytes(f"{text}# seal {_sha256(_bytes(text))}\n")


def _months(book: Book) -> dict[str, str]:
    """Tell the month of every file that is of one: sessions, and the pictures they show."""
    found: dict[str, str] = {}
    for session in book.sessions.values():
        month = f"{session.date:%Y-%m}"
        found[session.place.file] = month
        for file in (*(p.file for p in session.photos), *(c.file for c in session.clips)):
            if file:
                found.setdefault(f"photos/{file}", month)
    return found


def files_in(content: Path) -> Iterator[str]:
    """Yield every file of a folder of records, by its path: what is hidden is left out.

    A link is followed if what it leads to is inside the folder too. Raises OSError.
    """
    root = content.resolve()
    yield from _walk(content, "", root)


def _walk(folder: Path, prefix: str, root: Path) -> Iterator[str]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith((".", "__")):
                continue
            if entry.is_symlink() and not leads_inside(Path(entry.path), root):
                continue
            if entry.is_dir(follow_symlinks=False):
                yield from _walk(Path(entry.path), f"{prefix}{entry.name}/", root)
            elif entry.is_file():
                yield prefix + entry.name


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file, which may be large. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def records_in(reading: Reading, name: str) -> dict[str, str]:
    """Return the digest of every record of a file that holds a list of them.

    It is that of its fields and values, whatever their order, comments and line breaks.
    """
    file, kind = reading.files.get(name), kind_of(name)
    if not file or not kind or not isinstance(file.data, list):
        return {}
    found: dict[str, str] = {}
    names = {"signoffs": ("step", "inspection"), "costs": ("what", "date")}
    fields = names.get(kind.name, (kind.identity,))
    for item in file.data:
        given = [str(item[f]) for f in fields if item.get(f)] if isinstance(item, dict) else []
        said = called = _plain(f"{kind.one} {', '.join(given)}")
        count = 1
        while said in found:
            count += 1
            said = f"{called} ({count})"
        found[said] = _sha256(_canonical(item))
    return found


def _canonical(value: Any) -> bytes:
    written = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return _bytes(written)


def _plain(text: str) -> str:
    return " ".join(printable(text).split())


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _chained(before: str, lines: Iterable[str]) -> str:
    return _sha256(_bytes("".join(f"{line}\n" for line in (before, *lines))))


def _file_line(name: str, digest: str) -> str:
    """Write a line as `sha256sum` does, which marks a name with odd characters at the front."""
    escaped = name.replace("\\", "\\\\").replace("\n", "\\n").replace("\r", "\\r")
    return f"{'' if escaped == name else chr(92)}{digest}  {escaped}"


_ESCAPES = {r"\\": "\\", r"\n": "\n", r"\r": "\r"}


def _unescape(name: str) -> str:
    return re.sub(r"\\[\\nr]", lambda found: _ESCAPES[found[0]], name)


def read_seal(raw: bytes) -> Seal:
    """Read a seal and add it up. Raises NoSealError when the file is none.

    A seal that was edited is read all the same, as far as it goes; `faults` tells.
    """
    if len(raw) > MAX_BYTES:
        raise NoSealError("it is far too large to be a seal")
    text = raw.decode("utf-8", "surrogateescape")
    faults = []
    if "\r\n" in text:
        faults.append("its line ends were changed, as some programs do when they save a text")
        text = text.replace("\r\n", "\n")
    if FORMAT not in text.split("\n", 10)[:10]:
        raise NoSealError("it does not begin as a seal does")
    lines = text.removesuffix("\n").split("\n")
    seal = Seal(_parts(lines, faults), "", faults)
    last = _SEAL.fullmatch(lines[-1])
    if last is None:
        faults.append("its last line, the seal itself, is missing: the file was cut short")
        return seal
    seal.digest = last["digest"]
    above = "".join(f"{line}\n" for line in lines[:-1])
    faults += _unchained(seal.parts)
    if _sha256(_bytes(above)) != seal.digest and not faults:
        faults.append("its last line does not fit the lines above it: one of the two was edited")
    return seal


def _parts(lines: list[str], faults: list[str]) -> list[Part]:
    parts: list[Part] = []
    part: Part | None = None
    name = ""
    for number, line in enumerate(lines, 1):
        if line.startswith("# part "):
            part = Part(line.removeprefix("# part "))
            parts.append(part)
        elif part is None or line == "#" or line.startswith("# seal "):
            continue
        elif found := _DIGEST.fullmatch(line):
            part.digest = found["digest"]
            part = None
        elif found := _LINE.fullmatch(line):
            name = _unescape(found["name"]) if found["escaped"] else found["name"]
            part.files[name] = found["digest"]
            part.lines.append(line)
        elif found := _RECORD.fullmatch(line):
            part.records.setdefault(name, {})[found["name"]] = found["digest"]
            part.lines.append(line)
        else:
            faults.append(f"its line {number} is not one that a seal has")
            part.lines.append(line)
    return parts


def _unchained(parts: list[Part]) -> Iterator[str]:
    before = ""
    for part in parts:
        if _chained(before, part.lines) != part.digest:
            yield f"the lines of {part.name} do not add up to its digest: they were edited"
        before = part.digest


def compare(seal: Seal, reading: Reading) -> Differences:
    """Hold the files of a book against a seal. Raises OSError when one cannot be read."""
    content = reading.book.folder
    there = set(files_in(content))
    sealed = seal.files
    now = {name: digest_of(content / name) for name in sorted(sealed.keys() & there)}
    changed = sorted(name for name, digest in now.items() if digest != sealed[name])
    removed = sorted(sealed.keys() - there)
    added = sorted(there - sealed.keys())
    moved = _moved({name: sealed[name] for name in removed}, content, added)
    to = {new for _, new in moved}
    away = {old for old, _ in moved}
    records = seal.records
    return Differences(
        tuple((n, _records_changed(records.get(n), records_in(reading, n))) for n in changed),
        tuple(name for name in removed if name not in away),
        moved,
        tuple(name for name in added if name not in to),
        len(now) - len(changed),
    )


def _moved(
    removed: Mapping[str, str], content: Path, added: Iterable[str]
) -> tuple[tuple[str, str], ...]:
    """Pair sealed files that are gone with new ones that hold the same."""
    if not removed:
        return ()
    new: dict[str, list[str]] = {}
    for name in added:
        new.setdefault(digest_of(content / name), []).append(name)
    return tuple((name, new[digest].pop(0)) for name, digest in removed.items() if new.get(digest))


def _without(records: Mapping[str, str], digests: Counter[str]) -> dict[str, str]:
    """Leave out records that are there before and after, wherever they stand."""
    left = Counter(digests)
    kept = {}
    for name, digest in records.items():
        if left[digest]:
            left[digest] -= 1
        else:
            kept[name] = digest
    return kept


def _records_changed(before: Mapping[str, str] | None, now: Mapping[str, str]) -> tuple[str, ...]:
    """Say what became of the records of a list."""
    if not before:
        return ()
    both = Counter(before.values()) & Counter(now.values())
    before, now = _without(before, both), _without(now, both)
    told = [f"{name} changed" for name in before if name in now and now[name] != before[name]]
    told += [f"{name} is gone" for name in before if name not in now]
    told += [f"{name} is new" for name in now if name not in before]
    return tuple(told) or ("its records say the same; comments, order or line breaks changed",)
