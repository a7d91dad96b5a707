"""Pictures brought in: what each is, where it goes, and whose session it belongs to."""

import hashlib
import os
import re
import shutil
import stat
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from zoneinfo import ZoneInfo

from buildbook.incoming.looks import Looks, look_of_clip, look_of_picture
from buildbook.media.boxes import is_clip
from buildbook.media.clipstore import MOST_BYTES as CLIP_BYTES
from buildbook.media.engine import open_original
from buildbook.media.exif import Moment, camera, moment
from buildbook.media.folder import MOST_BYTES, Folder
from buildbook.media.kinds import Kind, kind_of
from buildbook.media.problems import COPY_AGAIN, BadPictureError, too_large
from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.clip import CLIP_ENDINGS
from buildbook.records.clock import span
from buildbook.records.names import slugify
from buildbook.records.photo import PICTURE_ENDINGS
from buildbook.records.session import Session

ENDINGS: dict[Kind, tuple[str, ...]] = {
    Kind.JPEG: (".jpg", ".jpeg"),
    Kind.PNG: (".png",),
    Kind.WEBP: (".webp",),
    Kind.GIF: (".gif",),
    Kind.TIFF: (".tif", ".tiff"),
    Kind.AVIF: (".avif",),
    Kind.HEIF: (".heic", ".heif"),
    Kind.BMP: (".bmp",),
    Kind.DNG: (".dng",),
}
"""How the names of pictures end; the first is given to a picture whose name says another kind."""
MEDIA_ENDINGS = PICTURE_ENDINGS | CLIP_ENDINGS
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
    remarks: tuple[str, ...] = ()
    """What else its owner should know."""

    @property
    def is_clip(self) -> bool:
        """Whether it is a video clip, and not a picture."""
        return Path(self.file).suffix.lower() in CLIP_ENDINGS


@dataclass(slots=True)
class Survey:
    """Looks at pictures one after the other, and remembers those it has seen."""

    book: Book
    clocks: Mapping[str, timedelta]
    """How far each camera's clock is ahead."""
    today: date = field(default_factory=lambda: datetime.now(UTC).date() + timedelta(days=1))
    """No photo is later; a day more than the calendar's, as it is tomorrow elsewhere."""
    looks: Looks = field(default_factory=Looks)
    """What the pictures and clips look like that are in the book already; grows with each new."""
    _by_size: dict[int, list[str]] = field(default_factory=lambda: defaultdict(list))
    _digests: dict[str, str] = field(default_factory=dict)
    _arrived: dict[str, Path] = field(default_factory=dict)
    _names: set[str] = field(default_factory=set)
    _sessions: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))

    def __post_init__(self) -> None:
        """Note what is in the book: sizes, names that differ only in capitals, sessions by date."""
        for file in self.book.photo_files | self.book.clip_files:
            self._names.add(file.casefold())
            with suppress(OSError):
                self._by_size[self._photo(file).stat().st_size].append(file)
        for slug, session in self.book.sessions.items():
            self._sessions[session.date.isoformat()].append(slug)

    def _photo(self, file: str) -> Path:
        return self.book.folder / "photos" / file

    def look_at(self, source: Path) -> Arrival:
        """Say what becomes of one picture or clip. Never raises for what is wrong with it."""
        try:
            if _is_clip(source):
                return self._look_at_clip(source)
            data = _read(source)
            digest = hashlib.sha256(data).hexdigest()
            if known := self._known(len(data), digest):
                return self._placed(
                    Arrival(source, Fate.KNOWN, f"the same as {known}", known), data
                )
            if digest in self._arrived:
                return Arrival(source, Fate.TWICE, f"the same as {named(self._arrived[digest])}")
            original = open_original(data)
            look = look_of_picture(original)
        except BadPictureError as problem:
            return Arrival(source, Fate.BAD, f"{named(source)} {problem.wrong}; {problem.advice}")
        self._arrived[digest] = source
        arrival = self._placed(Arrival(source, Fate.NEW), data, original.exif)
        alike = self.looks.like(look)
        kind, ending = kind_of(data), source.suffix.lower()
        remarks = original.remarks
        if ending not in ENDINGS[kind]:
            ending = ENDINGS[kind][0]
            remarks = (f"its content is {kind}, so its name will end in {ending}", *remarks)
        file = self._name(source, arrival.taken, ending)
        self.looks.add(file, look)
        return replace(arrival, file=file, alike=alike, remarks=remarks)

    def _look_at_clip(self, source: Path) -> Arrival:
        """Say what becomes of one clip. Raises BadPictureError when it cannot be used."""
        from buildbook.media.clipfacts import look_at  # noqa: PLC0415 - loads a large library

        folder = Folder(source.parent, most=CLIP_BYTES)
        size, digest = folder.stat(source.name).st_size, folder.digest(source.name)
        if digest in self._arrived:
            return Arrival(source, Fate.TWICE, f"the same as {named(self._arrived[digest])}")
        facts = look_at(source)
        found = None
        if facts.recorded:
            found = Moment(facts.recorded.replace(tzinfo=None), facts.recorded.utcoffset())
        if known := self._known(size, digest):
            arrival = Arrival(source, Fate.KNOWN, f"the same as {known}", known)
            return self._dated(arrival, found, facts.camera)
        self._arrived[digest] = source
        arrival = self._dated(Arrival(source, Fate.NEW), found, facts.camera)
        ending = source.suffix.lower()
        remarks: tuple[str, ...] = ()
        if ending not in CLIP_ENDINGS:
            ending = ".mp4"
            remarks = ("it is a clip, so its name will end in .mp4",)
        look = look_of_clip(source, facts)
        alike = self.looks.like(look)
        file = self._name(source, arrival.taken, ending)
        self.looks.add(file, look)
        return replace(arrival, file=file, alike=alike, remarks=remarks)

    def _known(self, size: int, digest: str) -> str:
        for file in self._by_size.get(size, ()):
            if file not in self._digests:
                with suppress(OSError), self._photo(file).open("rb") as opened:
                    self._digests[file] = hashlib.file_digest(opened, "sha256").hexdigest()
            if self._digests.get(file) == digest:
                return file
        return ""

    def _placed(self, arrival: Arrival, data: bytes, exif: bytes | None = None) -> Arrival:
        """Add when it was taken, with what, and in which session."""
        if exif is None:
            with suppress(BadPictureError):
                exif = open_original(data).exif
        return self._dated(arrival, moment(exif) if exif else None, camera(exif) if exif else "")

    def _dated(self, arrival: Arrival, found: Moment | None, name: str) -> Arrival:
        """Add the time the camera of that name wrote, set right, and the session it leads to."""
        if found is None:
            return replace(arrival, camera=name, why="it does not say when it was taken")
        try:
            taken = found.within(self.book.zone).astimezone(self.book.zone)
            taken -= self.clocks.get(name, timedelta(0))
        except OverflowError:  # the last day of all that can be reckoned with
            taken = datetime.max.replace(tzinfo=UTC)
        if taken.date() > self.today:
            why = f"it says {found.local.date()}, which is still to come: see --clock"
            return replace(arrival, camera=name, why=why)
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

    def _name(self, source: Path, taken: datetime | None, ending: str) -> str:
        """Choose a path inside `photos/` that no picture has, on a disk of any kind."""
        stem = slugify(source.stem)[:40].strip("-") or "photo"
        when = f"{taken:%Y/%m/%Y-%m-%d-%H%M%S}" if taken else "undated/undated"
        file, n = f"{when}-{stem}{ending}", 1
        while file.casefold() in self._names:
            n += 1
            file = f"{when}-{stem}-{n}{ending}"
        self._names.add(file.casefold())
        return file


def _is_clip(source: Path) -> bool:
    """Tell by its first bytes."""
    if not source.is_file():  # a pipe would keep us waiting for them
        return False
    try:
        with source.open("rb") as file:
            start = file.read(12)
    except OSError:
        return False  # told when it is read
    return is_clip(start) if start else source.suffix.lower() in CLIP_ENDINGS


def _read(source: Path) -> bytes:
    try:
        found = source.stat()
        if not stat.S_ISREG(found.st_mode):
            raise BadPictureError("picture-unknown", "is not a file", COPY_AGAIN)
        if found.st_size > MOST_BYTES:
            raise too_large(f"is too large to bring in: {found.st_size // 1_000_000} MB")
        return source.read_bytes()
    except OSError as error:
        said = f"cannot be read: {error.strerror or error}"
        raise BadPictureError("picture-unreadable", said, "look at the card or the cable") from None


def named(path: Path) -> str:
    """Give the name of a file as it can be shown: names on disk may hold anything."""
    return printable(path.name, "\N{REPLACEMENT CHARACTER}")


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
                if not name.startswith(".") and Path(name).suffix.lower() in MEDIA_ENDINGS:
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
