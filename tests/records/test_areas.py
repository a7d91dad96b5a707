"""Points and boxes on pictures, in fractions of width and height."""

import pytest

from buildbook.records.areas import Area, parse_area
from buildbook.records.photo import Photo

PHOTO = {"file": "a.jpg", "caption": "A rib"}


def test_points_and_boxes() -> None:
    assert parse_area("0.42, 0.61", 2) == Area(0.42, 0.61)
    assert parse_area(".1 .2 30% 40%", 4) == Area(0.1, 0.2, 0.3, 0.4)


@pytest.mark.parametrize(
    ("written", "numbers", "said"),
    [
        ("0.5", 2, "is not 2 fractions (left, top)"),
        ("0.5, 1.2", 2, "reaches past the edge"),
        ("0.8, 0.1, 0.3, 0.1", 4, "reaches past the edge"),
        ("0.1, 0.1, 0, 0.1", 4, "is a box without size"),
        ("-0.1, 0.1, 0.2, 0.2", 4, "is not 4 fractions"),
        ("a, b, c, d", 4, "is not 4 fractions"),
        ("nan, 0.1", 2, "is not 2 fractions"),
    ],
)
def test_what_is_no_place_on_a_picture(written: str, numbers: int, said: str) -> None:
    with pytest.raises(ValueError, match=said.replace("(", r"\(").replace(")", r"\)")):
        parse_area(written, numbers)


@pytest.mark.parametrize(
    "written",
    [
        "0.1, 0.2, 0.3, 0.4",
        ["0.1, 0.2, 0.3, 0.4"],
        ["0.1", "0.2", "0.3", "0.4"],
        [["0.1", "0.2", "0.3", "0.4"]],
    ],
)
def test_a_box_to_blur_may_be_written_in_several_ways(written: object) -> None:
    assert Photo.model_validate({**PHOTO, "blur": written}).blur == (Area(0.1, 0.2, 0.3, 0.4),)


def test_a_marker_has_one_place() -> None:
    point = {"at": "0.1, 0.2", "caption": "here"}
    assert Photo.model_validate({**PHOTO, "markers": point}).markers[0].area == Area(0.1, 0.2)
    for wrong in ({"caption": "nowhere"}, {**point, "box": "0.1, 0.2, 0.3, 0.4"}):
        with pytest.raises(ValueError, match="either `at` or `box`"):
            Photo.model_validate({**PHOTO, "markers": [wrong]})
