"""Nothing of the camera and its owner is in the published site, as read by exiftool.

exiftool is no part of this project: it is Debian's `libimage-exiftool-perl`. It reads every file
of the built demo site, whatever its kind. The control: the same words find plenty in the originals
of the demo and of the cameras' own samples.
"""

import json
import os
import re
import shutil
import subprocess
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from PIL import Image
from sites import BASE, BOOK, ROOT, Site, SmallSite

TELLING = re.compile(
    r"GPS|Serial|Owner|Artist|Creator$|Author|Copyright|By-?line|MakerNote|Maker|ThumbnailImage"
    r"|PreviewImage|JpgFromRaw|Latitude|Longitude|Altitude|Location|City$|LensID|UniqueID|XMPToolkit"
    r"|^Make$|^Model$|DateTimeOriginal|ContentIdentifier",
    re.IGNORECASE,
)
"""Names of exiftool's tags that tell where, when, by whom and with what a picture was taken."""
OURS = {"HTML", "JSON", "File", "System", "ExifTool", "SourceFile"}
"""Groups of what a file is, and of what our own pages say of themselves."""


@pytest.fixture(scope="session")
def told() -> Callable[[Iterable[Path]], dict[str, set[str]]]:
    """Give what exiftool finds telling in files and folders, by file: groups and names of tags."""
    exiftool = shutil.which("exiftool")
    if not exiftool:
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail("exiftool is not installed: apt install libimage-exiftool-perl")
        pytest.skip("exiftool is not installed")

    def read(paths: Iterable[Path]) -> dict[str, set[str]]:
        # -ee and -U look into what is embedded and into tags without a name of their own.
        command = [exiftool, "-r", "-j", "-G1", "-a", "-s", "-ee", "-U", *map(str, paths)]
        said = subprocess.run(command, capture_output=True, check=False)
        found: dict[str, set[str]] = {}
        for entry in json.loads(said.stdout):
            tags = {tag for tag in entry if tag.split(":")[0] not in OURS}
            found[entry["SourceFile"]] = {t for t in tags if TELLING.search(t.split(":")[-1])}
        return found

    return read


def files_of(folder: Path) -> set[str]:
    return {str(file) for file in folder.rglob("*") if file.is_file()}


def test_no_file_of_the_site_tells_anything(
    demo_site: Site, told: Callable[[Iterable[Path]], dict[str, set[str]]]
) -> None:
    found = told([demo_site.folder])
    pictures = [f for f in found if f.endswith((".jpg", ".mp4", ".webp"))]
    assert len(pictures) > 100, "the pictures were read"
    unread = files_of(demo_site.folder) - set(found)
    assert {Path(f).suffix for f in unread} <= {
        ".css",
        ".js",
        ".map",
        ".xml",
        ".json",
        ".inv",
        ".txt",
        ".csv",
        ".yml",
        ".md",
    }, "only what cannot hold a picture is passed over"
    telling = {Path(file).name: sorted(tags) for file, tags in found.items() if tags}
    assert telling == {}


def test_the_check_finds_it_in_the_originals(
    sample: Callable[[str], Path], told: Callable[[Iterable[Path]], dict[str, set[str]]]
) -> None:
    words = {
        tag.split(":")[-1] for tags in told([ROOT / "content/photos"]).values() for tag in tags
    }
    assert {"GPSLatitude", "SerialNumber", "Artist", "Make"} <= words
    canon = {t.split(":")[-1] for t in told([sample("piexif/r_canon.jpg")]).popitem()[1]}
    assert canon & {"ThumbnailImage", "SerialNumber", "OwnerName"}
    pug = {t.split(":")[-1] for t in told([sample("pillow-heif/heif_other/pug.heic")]).popitem()[1]}
    assert {"GPSLatitude", "GPSLongitude"} <= pug


SESSION = """\
date: 2025-03-08
step: fin/skeleton
hours: 1
photos:
"""


def test_pictures_in_full_size_tell_nothing_either(
    small_site: SmallSite,
    sample: Callable[[str], Path],
    told: Callable[[Iterable[Path]], dict[str, set[str]]],
) -> None:
    """The demo publishes none, so here is a book that does, with the cameras' own files."""
    names = [f"piexif/r_{maker}.jpg" for maker in ("canon", "casio", "olympus", "sony")]
    names += ["pillow-heif/heif_other/pug.heic", "imagesize/test-rotated.jpg"]
    files: dict[str, str | bytes] = {
        f"photos/{Path(name).name}": sample(name).read_bytes() for name in names
    }
    entries = "".join(f"  - {{file: {Path(n).name}, caption: One}}\n" for n in names)
    book = f"{BOOK}full size photos: yes\n"
    site = small_site({**BASE, **files, "book.yml": book, "sessions/a.yml": SESSION + entries})
    full = list(site.folder.glob("pictures/*-full.jpg"))
    assert len(full) == len(names)
    assert {f: t for f, t in told([site.folder]).items() if t} == {}
    with Image.open(next(f for f in full if "pug" in f.name)) as image:
        assert image.size == (4032, 3024)
