"""Boxes nobody shall see into: gone from every derivative, and from no other picture."""

from datetime import UTC
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from buildbook.media.store import PictureStore

BOX = (0.25, 0.25, 0.25, 0.5)


def stripes(path: Path, size: tuple[int, int] = (2000, 1500)) -> None:
    """Draw fine black and white stripes: any left unhidden is seen as contrast."""
    image = Image.new("L", size, 255)
    draw = ImageDraw.Draw(image)
    for x in range(0, size[0], 40):
        draw.rectangle((x, 0, x + 19, size[1]), fill=0)
    image.convert("RGB").save(path)


def contrast(image: Image.Image, box: tuple[float, float, float, float]) -> int:
    """Measure the span from darkest to lightest inside a box, away from its edges."""
    width, height = image.size
    left, top = box[0] * width, box[1] * height
    inner = (left + 4, top + 4, left + box[2] * width - 4, top + box[3] * height - 4)
    low, high = image.convert("L").crop(tuple(map(round, inner))).getextrema()
    return int(high - low)  # type: ignore[operator]


@pytest.fixture
def store(tmp_path: Path) -> PictureStore:
    (tmp_path / "photos").mkdir()
    stripes(tmp_path / "photos/a.png")
    return PictureStore(tmp_path / "photos", tmp_path / "cache", zone=UTC)


def test_what_is_in_a_box_is_in_no_derivative(store: PictureStore) -> None:
    pictures, problems = store.prepare(["a.png"], hidden={"a.png": (BOX,)})
    assert not problems
    for derivative in pictures["a.png"].derivatives:
        image = Image.open(store.path(derivative))
        assert contrast(image, BOX) < 40
        assert contrast(image, (0.6, 0.25, 0.25, 0.5)) > 100  # the rest is as it was


def test_other_boxes_make_other_files(store: PictureStore) -> None:
    names = set()
    for boxes in ((), (BOX,), ((0.0, 0.0, 1.0, 1.0),)):
        pictures, _ = store.prepare(["a.png"], hidden={"a.png": boxes})
        names |= {d.file for d in pictures["a.png"].derivatives}
    assert len(names) == 9  # three sizes of three pictures, none made over another


def test_a_box_at_the_edge_and_one_of_a_pixel(store: PictureStore, tmp_path: Path) -> None:
    Image.new("RGB", (3, 2), "red").save(tmp_path / "photos/tiny.png")
    boxes = ((0.9, 0.9, 0.1, 0.1), (0.0, 0.0, 0.0001, 0.0001))
    pictures, problems = store.prepare(
        ["a.png", "tiny.png"], hidden={"a.png": boxes, "tiny.png": boxes}
    )
    assert not problems
    assert set(pictures) == {"a.png", "tiny.png"}
