"""Pictures brought in: what each is, where it goes, and whose session it belongs to."""

import hashlib
import os
import re
import shutil
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from zoneinfo import ZoneInfo

from buildbook.media.engine import open_original, render
from buildbook.media.exif import camera, moment
from buildbook.media.folder import MOST_BYTES
from buildbook.media.problems import BadPictureError
from buildbook.records.book import Book
from buildbook.records.clock import span
from buildbook.records.names import slugify
from buildbook.records.session import Session

ENDINGS = frozenset((".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".avif", ".tif", ".tiff"))
ALIKE = 6
"""Bits of 64 in which the perceptual hashes of two pictures of one thing may differ."""
_HASHED_EDGE = 256  # pixels; the hash looks at 32
_AROUND = timedelta(minutes=45)  # a picture taken this long before or after a session is of it


class Fate(StrEnum):
    """What becomes of a picture."""

    NEW = "new"
    KNOWN = "already in the book"
    TWICE = "twice in what is brought in"
    BAD = "cannot be used"


@dataclass(frozen=True, slots=True)
class Arrival:
    """One picture that is brought in."""

    source: Path
    fate: Fate
    said: str = ""
    """Why it cannot be used, or which picture it equals."""
    file: str = ""
    """Path inside `photos/`: where it goes, or where it already is."""
    taken: datetime | None = None
    """In the book's time zone, the camera's clock set right."""
    camera: str = ""
    alike: tuple[str, ...] = ()
    """Pictures that look much the same."""
    sessions: tuple[str, ...] = ()
    """Slugs of the sessions it may belong to; one when it is clear."""
    why: str = ""
    """On what the proposal rests, or why there is none."""


@dataclass(slots=True)
class Survey:
    """Looks at pictures one after the other, and remembers those it has seen."""

    book: Book
    clocks: Mapping[str, timedelta]
    """How far each camera's clock is ahead."""
    _by_size: dict[int, list[str]] = field(default_factory=lambda: defaultdict(list))
    _digests: dict[str, str] = field(default_factory=dict)
    _arrived: dict[str, Path] = field(default_factory=dict)
    _names: set[str] = field(default_factory=set)
    _hashes: list[tuple[str, int]] = field(default_factory=list)
    _sessions: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))

    def __post_init__(self) -> None:
        """Note what is in the book: sizes, names that differ only in capitals, sessions by date."""
        for file in self.book.photo_files:
            self._names.add(file.casefold())
            with suppress(OSError):
                self._by_size[self._photo(file).stat().st_size].append(file)
        for slug, session in self.book.sessions.items():
            self._sessions[session.date.isoformat()].append(slug)

    def _photo(self, file: str) -> Path:
        return self.book.folder / "photos" / file

    def look_at(self, source: Path) -> Arrival:
        """Say what becomes of one picture. Never raises for what is wrong with the picture."""
        try:
            data = _read(source)
            digest = hashlib.sha256(data).hexdigest()
            if known := self._known(len(data), digest):
                return self._placed(
                    Arrival(source, Fate.KNOWN, f"the same as {known}", known), data
                )
            if digest in self._arrived:
                return Arrival(source, Fate.TWICE, f"the same as {self._arrived[digest].name}")
            original = open_original(data)
            hashed = _perceptual_hash(render(original, (_HASHED_EDGE,))[0].jpeg)
        except BadPictureError as problem:
            return Arrival(source, Fate.BAD, f"{source.name} {problem.wrong}; {problem.advice}")
        self._arrived[digest] = source
        arrival = self._placed(Arrival(source, Fate.NEW), data, original.exif)
        alike = tuple(f for f, other in self._hashes if (hashed ^ other).bit_count() <= ALIKE)
        file = self._name(source, arrival.taken)
        self._hashes.append((file, hashed))
        return replace(arrival, file=file, alike=alike)

    def _known(self, size: int, digest: str) -> str:
        for file in self._by_size.get(size, ()):
            if file not in self._digests:
                with suppress(OSError):
                    self._digests[file] = hashlib.sha256(self._photo(file).read_bytes()).hexdigest()
            if self._digests.get(file) == digest:
                return file
        return ""

    def _placed(self, arrival: Arrival, data: bytes, exif: bytes | None = None) -> Arrival:
        """Add when it was taken, with what, and in which session."""
        if exif is None:
            with suppress(BadPictureError):
                exif = open_original(data).exif
        found = moment(exif) if exif else None
        name = camera(exif) if exif else ""
        if found is None:
            return replace(arrival, camera=name, why="it does not say when it was taken")
        taken = found.within(self.book.zone).astimezone(self.book.zone)
        taken -= self.clocks.get(name, timedelta(0))
        sessions, why = self._proposed(taken)
        return replace(arrival, taken=taken, camera=name, sessions=sessions, why=why)

    def _proposed(self, taken: datetime) -> tuple[tuple[str, ...], str]:
        """Propose sessions by the time: those at work then, else those of the date."""
        day = taken.date()
        candidates = [
            slug
            for near in (day - timedelta(days=1), day)  # the day before, for work past midnight
            for slug in self._sessions.get(near.isoformat(), ())
        ]
        during = [s for s in candidates if _at_work(self.book.sessions[s], taken, self.book.zone)]
        if during:
            return tuple(during), "taken while it was at work"
        same = [s for s in candidates if self.book.sessions[s].date == day]
        if len(same) == 1:
            return (same[0],), "the only session of that date"
        if same:
            return tuple(same), f"{len(same)} sessions on that date"
        return (), f"no session on {day}"

    def _name(self, source: Path, taken: datetime | None) -> str:
        """Choose a path inside `photos/` that no picture has, on a disk of any kind."""
        stem = slugify(source.stem)[:40].strip("-") or "photo"
        ending = source.suffix.lower()
        when = f"{taken:%Y/%m/%Y-%m-%d-%H%M%S}" if taken else "undated/undated"
        file, n = f"{when}-{stem}{ending}", 1
        while file.casefold() in self._names:
            n += 1
            file = f"{when}-{stem}-{n}{ending}"
        self._names.add(file.casefold())
        return file


def _read(source: Path) -> bytes:
    try:
        if source.stat().st_size > MOST_BYTES:
            raise BadPictureError("picture-too-large", "is too large", "save it smaller")
        return source.read_bytes()
    except OSError as error:
        said = f"cannot be read: {error.strerror or error}"
        raise BadPictureError("picture-unreadable", said, "look at the card or the cable") from None


def _perceptual_hash(jpeg: bytes) -> int:
    """Hash what a picture looks like; alike pictures differ in few of the 64 bits."""
    import io  # noqa: PLC0415

    import imagehash  # noqa: PLC0415 - slow to load
    from PIL import Image  # noqa: PLC0415

    return int(str(imagehash.phash(Image.open(io.BytesIO(jpeg)))), 16)


def _at_work(session: Session, taken: datetime, zone: ZoneInfo) -> bool:
    for work in (session, *session.work):
        if work.start and work.end:
            with suppress(ValueError):  # a time that the clocks skipped is told by `check`
                began, ended = span(session.date, work.start, work.end, zone)
                if began - _AROUND <= taken.astimezone(UTC) <= ended + _AROUND:
                    return True
    return False


def pictures_in(paths: Iterable[Path]) -> Iterator[Path]:
    """Yield the pictures among files and in folders, in a fixed order; hidden files are left out.

    A file that is named itself is yielded whatever its ending: its content says what it is.
    """
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        for folder, folders, names in os.walk(path):
            folders[:] = sorted(f for f in folders if not f.startswith("."))
            for name in sorted(names):
                if not name.startswith(".") and Path(name).suffix.lower() in ENDINGS:
                    yield Path(folder) / name


def copy_in(arrival: Arrival, photos: Path) -> None:
    """Copy a new picture to its place, whole or not at all, never over another.

    Raises OSError when it cannot be written.
    """
    target = photos / arrival.file
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.part")
    try:
        shutil.copyfile(arrival.source, part)
        with part.open("rb") as written:
            os.fsync(written.fileno())
        if target.exists():
            raise FileExistsError(17, "another picture has that name", str(target))
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def clock_setting(words: str) -> tuple[str, timedelta]:
    """Read `Lumen Pocket 3 = +1:05`: a camera, and how far its clock is ahead.

    Raises ValueError with a sentence.
    """
    found = re.fullmatch(r"(.+?)\s*=\s*([+-]?)(\d{1,4}):([0-5]\d)(?::([0-5]\d))?\s*", words)
    if not found:
        raise ValueError(f"`{words}` is not a camera and its error; write `NAME=+1:05`")
    ahead = timedelta(hours=int(found[3]), minutes=int(found[4]), seconds=int(found[5] or 0))
    return found[1].strip(), -ahead if found[2] == "-" else ahead
