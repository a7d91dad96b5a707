"""Raw pictures: the largest preview inside a DNG is what is shown.

The files are put together here from tags of TIFF 6.0 and of the Digital Negative Specification
1.4; Pillow, which knows nothing of previews, reads the tags back in the control.
"""

import struct
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from buildbook.media.dng import is_dng
from buildbook.media.engine import open_original, render
from buildbook.media.exif import camera, moment
from buildbook.media.kinds import Kind, kind_of
from buildbook.media.privacy import given_away
from buildbook.media.problems import BadPictureError
from buildbook.media.store import PictureStore

BYTE, ASCII, SHORT, LONG = 1, 2, 3, 4
SIZES = {BYTE: "B", ASCII: "s", SHORT: "H", LONG: "I"}
JPEG, UNCOMPRESSED, CFA, YCBCR = 7, 1, 32803, 6
Tags = dict[int, tuple[int, object]]


class Writer:
    """Puts directories and what they lead to behind one another, little-endian or big."""

    def __init__(self, order: str = "<") -> None:
        self.order = order
        self.data = bytearray(b"II*\0" if order == "<" else b"MM\0*") + b"\0\0\0\0"

    def put(self, held: bytes) -> int:
        self.data += b"\0" * (len(self.data) % 2)
        self.data += held
        return len(self.data) - len(held)

    def directory(self, tags: Tags, after: int = 0) -> int:
        entries = []
        for tag, (kind, value) in sorted(tags.items()):
            values = value if isinstance(value, (tuple, bytes)) else (value,)
            count = len(values)
            packed = (
                values
                if isinstance(values, bytes)
                else struct.pack(f"{self.order}{count}{SIZES[kind]}", *values)
            )
            if len(packed) > 4:
                packed = struct.pack(f"{self.order}I", self.put(packed))
            entries.append(
                struct.pack(f"{self.order}HHI", tag, kind, count) + packed.ljust(4, b"\0")
            )
        held = struct.pack(f"{self.order}H", len(entries)) + b"".join(entries)
        return self.put(held + struct.pack(f"{self.order}I", after))

    def finish(self, first: int) -> bytes:
        struct.pack_into(f"{self.order}I", self.data, 4, first)
        return bytes(self.data)


def jpeg(size: tuple[int, int], colour: tuple[int, int, int], **more: object) -> bytes:
    out = BytesIO()
    image = Image.new("RGB", size, colour)
    image.paste((255, 255, 255), (0, 0, size[0] // 2, size[1] // 2))  # tells which way is up
    image.save(out, "JPEG", quality=90, **more)  # type: ignore[arg-type]
    return out.getvalue()


def picture(writer: Writer, data: bytes, size: tuple[int, int], more: Tags | None = None) -> int:
    """Write a directory of a picture coded as JPEG, in one strip."""
    tags: Tags = {
        0x00FE: (LONG, 1),  # NewSubFileType: a preview
        0x0100: (LONG, size[0]),
        0x0101: (LONG, size[1]),
        0x0103: (SHORT, JPEG),
        0x0106: (SHORT, YCBCR),
        0x0111: (LONG, writer.put(data)),
        0x0117: (LONG, len(data)),
    }
    return writer.directory(tags | (more or {}))


LOSSLESS = (
    b"\xff\xd8\xff\xc3\x00\x0b\x08\x0f\xa0\x17\x70\x01\x00\x11\x00" + b"\0" * 64 + b"\xff\xd9"
)
"""A raw picture coded as lossless JPEG (SOF3), 6000 x 4000: the largest, and not to be shown."""


def dng(
    order: str = "<", orientation: int = 6, previews: tuple[tuple[int, int], ...] = ((1200, 800),)
) -> bytes:
    writer = Writer(order)
    shown = [picture(writer, jpeg(p, (200, 30, 30)), p) for p in previews]
    raw: Tags = {
        0x00FE: (LONG, 0),
        0x0100: (LONG, 6000),
        0x0101: (LONG, 4000),
        0x0103: (SHORT, JPEG),
        0x0106: (SHORT, CFA),
        0x0111: (LONG, writer.put(LOSSLESS)),
        0x0117: (LONG, len(LOSSLESS)),
    }
    exif = writer.directory(
        {0x9003: (ASCII, b"2031:03:08 14:05:09\0"), 0x9011: (ASCII, b"+02:00\0")}
    )
    thumbnail = b"\x80" * (16 * 12 * 3)
    first: Tags = {
        0x00FE: (LONG, 1),
        0x0100: (LONG, 16),
        0x0101: (LONG, 12),
        0x0102: (SHORT, (8, 8, 8)),
        0x0103: (SHORT, UNCOMPRESSED),
        0x0106: (SHORT, 2),
        0x010F: (ASCII, b"Lumen\0"),
        0x0110: (ASCII, b"Field 2\0"),
        0x0111: (LONG, writer.put(thumbnail)),
        0x0112: (SHORT, orientation),
        0x0115: (SHORT, 3),
        0x0117: (LONG, len(thumbnail)),
        0x014A: (LONG, (writer.directory(raw), *shown)),
        0x8769: (LONG, exif),
        0xC612: (BYTE, b"\x01\x04\0\0"),
        0xC62F: (ASCII, b"LF2-00077\0"),
    }
    return writer.finish(writer.directory(first))


@pytest.mark.parametrize("order", ["<", ">"])
def test_the_largest_preview_is_shown_upright(order: str) -> None:
    data = dng(order, previews=((640, 427), (1200, 800), (320, 214)))
    with Image.open(BytesIO(data)) as control:
        assert control.size == (12, 16), "what a reader of TIFF finds is a thumbnail"
        assert control.getexif()[0x0112] == 6
    assert is_dng(data)
    assert kind_of(data) is Kind.DNG
    original = open_original(data)
    assert (original.width, original.height) == (800, 1200)  # turned by 6
    assert original.remarks == ("the preview inside it is shown, 1200 x 800 pixels",)
    large = render(original, (400, 800))[-1]
    with Image.open(BytesIO(large.jpeg)) as shown:
        assert shown.size == (533, 800)
        # What was stored at the top left is at the top right after a turn to the right.
        right, left = shown.getpixel((400, 200)), shown.getpixel((100, 200))
    assert min(right) > 240  # type: ignore[type-var]
    assert left[0] > 180 > left[1]  # type: ignore[index]


def test_time_and_camera_of_a_raw_picture() -> None:
    data = dng()
    found = moment(open_original(data).exif)
    assert found
    assert found.within(ZoneInfo("UTC")).isoformat() == "2031-03-08T14:05:09+02:00"
    assert camera(data) == "Lumen Field 2"


def test_the_time_may_stand_in_the_first_directory() -> None:
    writer = Writer()
    first = writer.directory({0x9003: (ASCII, b"2031:03:08 14:05:09\0")})
    found = moment(writer.finish(first))
    assert found
    assert found.local.isoformat() == "2031-03-08T14:05:09"


def test_what_a_raw_picture_gives_away(tmp_path: Path) -> None:
    (tmp_path / "a.dng").write_bytes(dng())
    assert "the camera's serial number" in given_away(tmp_path / "a.dng")


def test_a_raw_picture_goes_through_the_store(store: PictureStore, photos: Path) -> None:
    (photos / "a.dng").write_bytes(dng())
    pictures, problems = store.prepare(["a.dng"])
    assert not problems
    assert [(d.width, d.height) for d in pictures["a.dng"].derivatives] == [
        (267, 400),
        (533, 800),
        (800, 1200),
    ]


@pytest.mark.parametrize(
    ("previews", "said"),
    [((), "no preview"), (((160, 120),), "only a preview of 160 x 120 pixels")],
)
def test_a_raw_picture_without_a_useful_preview_is_told(
    previews: tuple[tuple[int, int], ...], said: str
) -> None:
    with pytest.raises(BadPictureError, match=said) as told:
        open_original(dng(previews=previews))
    assert told.value.code == "picture-no-preview"
    assert "JPEG" in told.value.advice


def test_a_preview_cut_short_is_told() -> None:
    writer = Writer()
    cut = jpeg((900, 600), (9, 9, 200))[:-400]
    first = picture(writer, cut, (900, 600), {0xC612: (BYTE, b"\x01\x04\0\0")})
    with pytest.raises(BadPictureError) as told:
        open_original(writer.finish(first))
    assert told.value.code == "picture-damaged"


def test_metadata_of_the_preview_itself_is_gone_and_does_not_turn_it_twice() -> None:
    exif = Image.Exif()
    exif[0x0112], exif[0x013B] = 3, "SECRET-owner"
    writer = Writer()
    data = jpeg((900, 600), (9, 9, 200), exif=exif)
    first = picture(writer, data, (900, 600), {0xC612: (BYTE, b"\x01\x04\0\0"), 0x0112: (SHORT, 6)})
    original = open_original(writer.finish(first))
    assert (original.width, original.height) == (600, 900)
    assert b"SECRET-owner" not in original.jpeg


def test_directories_that_lead_in_circles_come_to_an_end() -> None:
    writer = Writer()
    first = writer.directory({0x014A: (LONG, (8, 8)), 0xC612: (BYTE, b"\x01\x04\0\0")}, after=8)
    data = bytearray(writer.finish(first))
    place = data.index(struct.pack("<HHI", 0x014A, LONG, 2)) + 8
    struct.pack_into("<I", data, place, first)  # the list of directories is a directory
    with pytest.raises(BadPictureError, match="no preview"):
        open_original(bytes(data))


SMALL = dng(previews=((420, 280),))


@settings(deadline=None, max_examples=200, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.integers(0, len(SMALL) - 1), st.integers(0, 255)), max_size=6))
def test_garbled_raw_pictures_give_a_picture_or_a_problem(
    changes: list[tuple[int, int]],
) -> None:
    garbled = bytearray(SMALL)
    for at, value in changes:
        garbled[at] = value
    try:
        original = open_original(bytes(garbled))
        if original.width * original.height < 1_000_000:
            assert render(original, (40,))
    except BadPictureError:
        pass  # anything else fails the test
