"""Published pictures: their sizes and their names."""

import re
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import PurePosixPath

from buildbook.records.names import slugify

EDGES = (400, 800, 1600)
"""Long edges of the derivatives in pixels, from small to large.

The first is for lists of pictures on plain screens, the second for lists on fine screens and for
one picture on a phone, the third fills a laptop's or a tablet's screen.
"""

QUALITY = 82
"""JPEG quality (libjpeg's scale, 4:2:0 chroma): rivet heads and scribed lines stay clear at 1600
pixels and a picture weighs about 0.2 MB. Why JPEG: `bench/README.md`."""
FULL_QUALITY = 92
"""JPEG quality of a picture in full size that had to be coded anew."""
FULL = "full"
"""What stands in a name for the size of a picture in full size."""

_MADE_AS = 2  # raise it whenever the same original would come out as other pixels
SETTINGS = f"{_MADE_AS} q{QUALITY} {EDGES} {FULL_QUALITY}"
"""All that shapes a derivative besides its original; part of its name."""

_MOST_LETTERS = 40  # of the original's name
_NAME = re.compile(r"[a-z0-9-]+-([0-9a-f]{12}-(?:\d+|full)\.jpg)")


@dataclass(frozen=True, slots=True)
class Derivative:
    """A JPEG made from an original: upright, sRGB, without any metadata."""

    file: str
    """Name to publish it under, as `rear-spar-3f0c9a61b2de-1600.jpg`: a plain file name."""
    width: int
    """Pixels."""
    height: int
    """Pixels."""


@dataclass(frozen=True, slots=True)
class Picture:
    """What is known of an original photo, and its derivatives."""

    width: int
    """Pixels of the original as it is looked at, its orientation applied."""
    height: int
    """Pixels of the original as it is looked at."""
    derivatives: tuple[Derivative, ...]
    """From small to large; at least one, and none larger than the original."""
    full: Derivative | None
    """The picture in full size, where the book publishes such."""
    colour: str
    """Of the whole picture on average, as `#8a8f91`: shown until it is loaded."""
    taken: datetime | None
    """When the camera says it was taken, with its time zone."""
    sha256: str
    """Digest of the original file, in hexadecimal: says which photo this was made from."""


def edges(width: int, height: int) -> tuple[int, ...]:
    """Give the long edges to make from an original of that size, from small to large."""
    long = max(width, height)
    return *(edge for edge in EDGES[:-1] if edge < long), min(long, EDGES[-1])


def content_key(digest: str) -> str:
    """Give twelve hexadecimal digits that stand for an original and the settings."""
    return sha256(f"{digest} {SETTINGS}".encode()).hexdigest()[:12]


def derivative_name(file: str, key: str, edge: int | str) -> str:
    """Give the name to publish under: of the original's name only plain letters are kept."""
    words = slugify(PurePosixPath(file).stem)[:_MOST_LETTERS].strip("-") or "photo"
    return f"{words}-{cached_name(key, edge)}"


def published_name(file: str, derivative: Derivative) -> str:
    """Give the name to publish a derivative under when its original is to be called `file`."""
    words, key, rest = derivative.file.rsplit("-", 2)
    own = slugify(PurePosixPath(file).stem)[:_MOST_LETTERS].strip("-")
    return f"{own or words}-{key}-{rest}"


def cached_name(key: str, edge: int | str) -> str:
    """Give the name inside the cache, the same for all copies of one photo."""
    return f"{key}-{edge}.jpg"


def cached_name_of(derivative: Derivative) -> str:
    """Give the name in the cache of a derivative. Raises ValueError for a name not made here."""
    found = _NAME.fullmatch(derivative.file)
    if not found:
        raise ValueError(f"`{derivative.file}` is not the name of a prepared picture")
    return found[1]
