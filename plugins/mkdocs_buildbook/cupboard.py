"""What was read of a book, kept from one run to the next: reading it again takes a moment.

Every file is held against the bytes it was read from, so that nothing stale is ever shown, and
deleting what is kept is always safe. It is kept as a pickle, which could hold a program: one is
opened only where it bears a seal (a keyed BLAKE2 digest, RFC 7693) made with a key that lies
outside of the book, in the folder of this user's settings. A book that came from somebody else
has no such seal.
"""

import pickle
import secrets
from contextlib import suppress
from dataclasses import replace
from hashlib import blake2b
from hmac import compare_digest
from pathlib import Path

import click

from buildbook.files import make_folder, write_whole
from buildbook.records.memory import uncollected
from buildbook.records.shelf import Shelf
from mkdocs_buildbook.trace import program

_SEAL = 32  # bytes, as many as the key has
_FEW = 40
"""So many files that changed are read again as fast as all would be written down anew."""


class Cupboard:
    """The place where a shelf stands while no program runs."""

    def __init__(self, cache: Path, content: Path) -> None:
        """`cache` is the folder of what can be made again, `content` the one of the records."""
        self._file = cache / "records"
        self._what = f"{program()}\n{content.resolve()}\n".encode()
        self._there: dict[str, bytes] = {}
        """The files that are kept, each as it was when it was read."""

    def take_out(self) -> Shelf:
        """Give the shelf that was put away last; an empty one where there is none that fits."""
        with suppress(OSError):
            raw = self._file.read_bytes()
            key = _key(make=False)
            if key and compare_digest(raw[:_SEAL], self._seal(key, memoryview(raw)[_SEAL:])):
                return self._opened(memoryview(raw)[_SEAL:])
        return Shelf()

    def _opened(self, packed: memoryview) -> Shelf:
        try:
            with uncollected():
                shelf = pickle.loads(packed)  # noqa: S301 - sealed by this user
        except Exception:  # noqa: BLE001 - whatever it is, the records are there to be read
            return Shelf()
        if not isinstance(shelf, Shelf):
            return Shelf()
        # A file may have been changed and its time put back: now its bytes decide.
        shelf.files = {n: replace(one, stamp=(-1, 0)) for n, one in shelf.files.items()}
        self._there = {name: one.raw for name, one in shelf.files.items()}
        return shelf

    def put_away(self, shelf: Shelf) -> None:
        """Keep a shelf, unless what is kept already is nearly the same."""
        now = {name: one.raw for name, one in shelf.files.items()}
        changed = sum(self._there.get(name) != raw for name, raw in now.items())
        if changed + len(self._there.keys() - now.keys()) <= _FEW:
            return
        try:
            key = _key(make=True)
            with uncollected():
                packed = pickle.dumps(shelf, protocol=5)
            make_folder(self._file.parent)
            write_whole(self._file, self._seal(key, packed) + packed, durable=False)
        except (OSError, pickle.PicklingError, TypeError, AttributeError, RecursionError):
            return  # the next run reads the records
        self._there = now

    def _seal(self, key: bytes, packed: "bytes | memoryview") -> bytes:
        seal = blake2b(self._what, key=key, digest_size=_SEAL)
        seal.update(packed)
        return seal.digest()


def _key(*, make: bool) -> bytes:
    """Give this user's key; empty where there is none. Raises OSError."""
    file = Path(click.get_app_dir("buildbook")) / "key"
    with suppress(FileNotFoundError):
        key = file.read_bytes()
        if len(key) == _SEAL:
            return key
    if not make:
        return b""
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    key = secrets.token_bytes(_SEAL)
    file.touch(mode=0o600)
    write_whole(file, key)  # it keeps the file's permissions
    return key
