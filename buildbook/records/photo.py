"""Photos as records cite them."""

from pydantic import Field

from buildbook.records.names import Line, Several
from buildbook.records.record import Record
from buildbook.records.references import OperationRef, PartRef, PersonRef, PhotoRef, StepRef

PHOTOS = "photos"
"""The folder of the content folder that holds the pictures."""
PICTURE_ENDINGS = frozenset((".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".avif"))


class Photo(Record):
    """A picture with its caption."""

    file: PhotoRef = Field(description="Path inside `photos/`, as `2025/03/rear-spar.jpg`.")
    caption: Line = Field(description="What is to be seen; also its text for who cannot see it.")
    step: StepRef | None = Field(None, description="Step it shows, when not the session's own.")
    parts: Several[PartRef] = Field((), description="Parts it shows.")
    operation: OperationRef | None = Field(None, description="Kind of work it shows.")
    who: Several[PersonRef] = Field((), description="People at work in it.")
