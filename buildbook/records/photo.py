"""Photos as records cite them."""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from buildbook.records.areas import Area, Box, Point
from buildbook.records.names import Line, Listed, Several, SeveralPeople, bad
from buildbook.records.record import Record
from buildbook.records.references import (
    OperationRef,
    PartRef,
    PersonRef,
    PhotoRef,
    SquawkRef,
    StepRef,
)

PHOTOS = "photos"
"""The folder of the content folder that holds the pictures."""
UNCAPTIONED = "caption to be written"
"""What stands where a caption belongs until the builder has written it."""
PICTURE_ENDINGS = frozenset(
    ".jpg .jpeg .png .webp .gif .heic .heif .avif .tif .tiff .bmp .dng".split()
)


class Marker(Record):
    """A point or a box on a picture; they are numbered in the order they are written."""

    at: Point | None = Field(None, description="A point: fractions of width and height.")
    box: Box | None = Field(None, description="A box: left, top, width and height as fractions.")
    caption: Line = Field(description="What is to be seen there.")
    part: PartRef | None = Field(None, description="The part it points at.")
    squawk: SquawkRef | None = Field(None, description="The squawk it shows.")

    @model_validator(mode="after")
    def _one_place(self) -> "Marker":
        if (self.at is None) == (self.box is None):
            said = "a marker has either `at` or `box`"
            advice = "write one of the two, as `at: 0.42, 0.61`"
            raise bad("marker-place", said, advice, field="box" if self.box else "caption")
        return self

    @property
    def area(self) -> Area:
        """Where it is."""
        area = self.at or self.box
        assert area is not None  # one of them is there, or the record would not be
        return area


def not_only_a_name(one: str, data: Any) -> Any:
    """Refuse a file's name in place of a picture or clip. Raises PydanticCustomError."""
    if isinstance(data, str):
        said = f"the {one} `{data.strip()}` needs a caption as well"
        advice = f"write `- file: {data.strip()}`, and below `file` a line `caption: ...`"
        raise bad("no-caption", said, advice)
    return data


def one_or_more_boxes(value: Any) -> Any:
    """Let a single box stand for a list of one, as text or as four numbers."""
    if isinstance(value, str):
        return [value]
    numbers = isinstance(value, list) and all(isinstance(v, str) and "," not in v for v in value)
    if numbers and len(value) == 4:  # noqa: PLR2004
        return [value]
    return value


class Photo(Record):
    """A picture with its caption."""

    file: PhotoRef = Field(description="Path inside `photos/`, as `2025/03/rear-spar.jpg`.")
    caption: Line = Field(description="What is to be seen; also its text for who cannot see it.")
    step: StepRef | None = Field(None, description="Step it shows, when not the session's own.")
    parts: Several[PartRef] = Field((), description="Parts it shows.")
    operation: OperationRef | None = Field(None, description="Kind of work it shows.")
    who: SeveralPeople[PersonRef] = Field((), description="People at work in it.")
    markers: Listed[Marker] = Field((), description="Points and boxes, each with its caption.")
    blur: Annotated[tuple[Box, ...], BeforeValidator(one_or_more_boxes)] = Field(
        (), description="Boxes nobody shall see into: faces, registration marks, addresses."
    )
    before: PhotoRef | None = Field(
        None, description="The picture of the same thing before the work, shown beside it."
    )
    shows: Line | None = Field(
        None, description="The photo asked for that it is, as the step's `required photos` says."
    )

    @model_validator(mode="before")
    @classmethod
    def _not_only_a_name(cls, data: Any) -> Any:
        return not_only_a_name("picture", data)
