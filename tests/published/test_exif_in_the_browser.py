"""When a picture or clip was taken, as the page on which a session is written reads it.

Against ExifTool, an implementation of JEITA CP-3451 (Exif) of its own, on the demo's pictures, on
camera files of three libraries (see tests/fetch_samples.py), and on broken ones.
"""

import base64
import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from struct import pack

import pytest
from sites import ROOT

sys.path += [str(ROOT / "tests"), str(ROOT / "tests" / "site")]
import fetch_samples
from forms import jpeg

SCRIPTS = ROOT / "plugins" / "mkdocs_buildbook" / "assets" / "form"
NO_PICTURES = {"notjpeg.jpg"}


@pytest.fixture(scope="module")
def page(browser) -> Iterator:
    opened = browser.new_page()
    for name in ("exif.js", "film.js"):
        opened.add_script_tag(path=SCRIPTS / name)
    yield opened
    opened.close()


def in_browser(page, data: bytes):
    return page.evaluate(
        "data => bbForm.exifTime(Uint8Array.from(atob(data), c => c.charCodeAt(0)).buffer)",
        base64.b64encode(data).decode(),
    )


def pictures() -> list[Path]:
    folders = [archive.folder for archive in fetch_samples.ARCHIVES]
    samples = [f for folder in folders if folder.is_dir() for f in folder.iterdir() if f.is_file()]
    demo = (ROOT / "content" / "photos").rglob("*.*")
    wanted = (".jpg", ".jpeg", ".heic", ".png")
    return sorted(f for f in (*samples, *demo) if f.suffix.lower() in wanted)


def by_exiftool(files: list[Path]) -> dict[str, tuple[str, str] | None]:
    tool = shutil.which("exiftool")
    if not tool:
        pytest.skip("needs exiftool (Debian: apt install libimage-exiftool-perl)")
    wanted = ("-EXIF:DateTimeOriginal", "-EXIF:OffsetTimeOriginal")
    done = subprocess.run([tool, "-j", "-q", *wanted, *files], capture_output=True, check=False)
    found = {}
    for row in json.loads(done.stdout):
        taken = row.get("DateTimeOriginal", "")
        unset = not taken.strip(" :0")
        found[row["SourceFile"]] = None if unset else (taken, row.get("OffsetTimeOriginal", ""))
    return found


def test_it_reads_what_exiftool_reads(page) -> None:
    files = pictures()
    expected = by_exiftool(files)
    assert sum(1 for taken in expected.values() if taken) > 40
    kinds = set()
    for file in files:
        found = in_browser(page, file.read_bytes())
        taken = expected[str(file)]
        if taken is None:
            assert found is None, file
            continue
        assert found is not None, file
        date, _, time = taken[0].partition(" ")
        assert (found["date"], found["time"]) == (date.replace(":", "-"), time), file
        assert found["offset"] == taken[1], file
        kinds.add(file.suffix.lower())
    assert {".jpg"} <= kinds


@pytest.mark.parametrize("order", ["<", ">"])
def test_both_orders_of_bytes(page, order: str) -> None:
    """CP-3451, 4.5.2: `II` is little-endian, `MM` big-endian. A TIFF written out byte by byte."""
    text = b"2025:03:08 19:10:05\0"
    ifd0 = pack(f"{order}HHHIII", 1, 0x8769, 4, 1, 26, 0)
    exif = pack(f"{order}HHHIII", 1, 0x9003, 2, len(text), 44, 0)
    tiff = (b"II" if order == "<" else b"MM") + pack(f"{order}HI", 42, 8) + ifd0 + exif + text
    assert len(ifd0) == len(exif) == 18
    app1 = b"Exif\0\0" + tiff
    other = b"\xff\xe0" + pack(">H", 16) + b"JFIF\0".ljust(14, b"\0")
    data = b"\xff\xd8" + other + b"\xff\xe1" + pack(">H", len(app1) + 2) + app1 + b"\xff\xda"
    found = in_browser(page, data)
    assert found == {"date": "2025-03-08", "time": "19:10:05", "offset": ""}


@pytest.mark.parametrize(
    "taken",
    [
        "0000:00:00 00:00:00",
        "2025:02:30 10:00:00",
        "2025:13:01 10:00:00",
        "2025:03:08 25:00:00",
        "x",
    ],
)
def test_a_clock_that_was_never_set(page, taken: str) -> None:
    assert in_browser(page, jpeg(taken)) is None


def test_broken_pictures_break_nothing(page) -> None:
    """Cut off anywhere, and with any byte changed."""
    data = jpeg("2025:03:08 19:10:05", "+01:00")
    whole = {"date": "2025-03-08", "time": "19:10:05", "offset": "+01:00"}
    assert in_browser(page, data) == whole
    wrong = [data[:n] for n in range(300)]
    wrong += [data[:n] + bytes([data[n] ^ 0xFF]) + data[n + 1 :] for n in range(2, 300)]
    for one in wrong:
        found = in_browser(page, one)
        assert found is None or found.keys() == whole.keys()


# Clips: ISO/IEC 14496-12, 4.2 and 8.2.2; ExifTool calls the time `QuickTime:CreateDate`.


def film_in_browser(page, data: bytes):
    return page.evaluate(
        """async data => {
             const bytes = Uint8Array.from(atob(data), c => c.charCodeAt(0));
             const found = await bbForm.filmTime(new File([bytes], 'a.mp4'));
             return found?.toISOString() ?? null; }""",
        base64.b64encode(data).decode(),
    )


def box(kind: bytes, content: bytes, *, wide: bool = False) -> bytes:
    if wide:
        return pack(">I4sQ", 1, kind, len(content) + 16) + content
    return pack(">I4s", len(content) + 8, kind) + content


def film(seconds: int, version: int = 0, *, last: bool = False, wide: bool = False) -> bytes:
    """Make the boxes of a film without pictures, recorded so many seconds after 1904."""
    times = pack(">QQIQ" if version else ">IIII", seconds, seconds, 1000, 1000)
    rest = pack(">IH10x", 0x10000, 0x100) + pack(">9I", 65536, 0, 0, 0, 65536, 0, 0, 0, 1 << 30)
    mvhd = box(b"mvhd", bytes([version, 0, 0, 0]) + times + rest + bytes(24) + pack(">I", 2))
    parts = [box(b"moov", mvhd), box(b"mdat", bytes(5000), wide=wide)]
    head = box(b"ftyp", b"isom" + pack(">I", 512) + b"isommp41")
    return head + b"".join(parts[::-1] if last else parts)


SINCE_1904 = 3824305805
"""2025-03-08 19:10:05 UTC."""


@pytest.mark.parametrize("version", [0, 1])
@pytest.mark.parametrize("last", [False, True])
@pytest.mark.parametrize("wide", [False, True])
def test_a_clip(page, tmp_path: Path, version: int, last: bool, wide: bool) -> None:
    data = film(SINCE_1904, version, last=last, wide=wide)
    assert film_in_browser(page, data) == "2025-03-08T19:10:05.000Z"
    file = tmp_path / "a.mp4"
    file.write_bytes(data)
    tool = shutil.which("exiftool")
    if not tool:
        pytest.skip("needs exiftool")
    done = subprocess.run(
        [tool, "-s3", "-QuickTime:CreateDate", file], capture_output=True, check=True
    )
    assert done.stdout.decode().strip() == "2025:03:08 19:10:05"


def test_a_clip_that_does_not_say(page) -> None:
    for data in (film(0), b"", b"no film", film(SINCE_1904)[:40], box(b"free", b"", wide=True)):
        assert film_in_browser(page, data) is None


def test_a_clip_with_the_cameras_own_time(page) -> None:
    """Apple, QuickTime File Format: `com.apple.quicktime.creationdate`, local with its offset."""
    told = box(b"meta", b"com.apple.quicktime.creationdate" + b"2025-03-08T20:10:00+0100")
    moov = box(b"moov", told + film(SINCE_1904)[32:148])
    assert film_in_browser(page, box(b"ftyp", b"qt  ") + moov) == "2025-03-08T19:10:00.000Z"
