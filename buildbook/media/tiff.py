"""TIFF directories, which Exif and DNG are written in.

After TIFF 6.0, section 2: a header with the byte order and the place of the first directory; each
directory has a count, entries of twelve bytes (tag, type, count, value or where it stands), and
the place of the next one.
"""

import struct
from dataclasses import dataclass

_ENTRY = 12  # bytes
_FIT = 4  # bytes that fit into the entry itself
_ASCII, _SHORT, _LONG, _IFD = 2, 3, 4, 13
_MOST_LETTERS, _MOST_NUMBERS = 64, 64
_ORDERS = {b"II*\0": "<", b"MM\0*": ">"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a directory, its value not read yet."""

    kind: int
    """Type of its values."""
    count: int
    value: int
    """The value as one number, or where in the file the values stand."""
    at: int
    """Where in the file that number stands."""


class Tiff:
    """The directories of a TIFF file, read as they are asked for.

    Whatever is out of bounds reads as not there. Raises ValueError when it is no TIFF file.
    """

    def __init__(self, data: bytes) -> None:
        order = _ORDERS.get(data[:4])
        if order is None:
            raise ValueError("no TIFF file")
        self._data = data
        self._order = order
        self.first = self._number(4)
        """Where the first directory stands."""

    def directory(self, start: int) -> tuple[dict[int, Entry], int]:
        """Give the entries of a directory by tag, and where the next directory stands, or 0."""
        if not 0 < start <= len(self._data) - 2:
            return {}, 0
        (count,) = struct.unpack_from(f"{self._order}H", self._data, start)
        end = start + 2 + count * _ENTRY
        found: dict[int, Entry] = {}
        for at in range(start + 2, min(end, len(self._data) - _ENTRY + 1), _ENTRY):
            tag, kind, size, value = struct.unpack_from(f"{self._order}HHII", self._data, at)
            found.setdefault(tag, Entry(kind, size, value, at + 8))
        return found, self._number(end)

    def inner(self, entry: Entry | None) -> dict[int, Entry]:
        """Give the directory an entry leads to; empty when it leads nowhere."""
        if entry is None or entry.kind not in {_LONG, _IFD}:
            return {}
        return self.directory(entry.value)[0]

    def text(self, entry: Entry | None) -> str:
        """Give the beginning of a text; empty when the entry is none."""
        if entry is None or entry.kind != _ASCII:
            return ""
        start = entry.at if entry.count <= _FIT else entry.value
        held = self._data[start : start + min(entry.count, _MOST_LETTERS)]
        return held.split(b"\0")[0].decode("ascii", "replace").strip()

    def numbers(self, entry: Entry | None) -> tuple[int, ...]:
        """Give the first whole numbers of an entry; none when it holds others."""
        code = {_SHORT: "H", _LONG: "I", _IFD: "I"}.get(entry.kind) if entry else None
        if entry is None or code is None:
            return ()
        form = f"{self._order}{min(entry.count, _MOST_NUMBERS)}{code}"
        start = entry.at if entry.count * struct.calcsize(code) <= _FIT else entry.value
        try:
            return struct.unpack_from(form, self._data, start)
        except struct.error:
            return ()

    def number(self, entry: Entry | None) -> int:
        """Give the first whole number of an entry, or 0."""
        return next(iter(self.numbers(entry)), 0)

    def _number(self, at: int) -> int:
        if at > len(self._data) - 4:
            return 0
        (value,) = struct.unpack_from(f"{self._order}I", self._data, at)
        return int(value)
