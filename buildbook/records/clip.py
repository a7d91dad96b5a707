"""Video clips as records cite them: brought into the book, or hosted elsewhere."""

import re
from typing import Annotated, Any
from urllib.parse import urlsplit

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from buildbook.records.areas import Box
from buildbook.records.names import Line, Listed, Looks, Several, SeveralPeople, YesNo, bad
from buildbook.records.photo import not_only_a_name, one_or_more_boxes
from buildbook.records.record import Record
from buildbook.records.references import ClipRef, OperationRef, PartRef, PersonRef, StepRef
from buildbook.records.timecode import Code

CLIP_ENDINGS = frozenset((".mp4", ".m4v", ".mov"))


def _address(value: str) -> str:
    example = "write it as the browser shows it, as `https://example.org/videos/12`"
    try:
        parts = urlsplit(value)
        whole = parts.scheme == "https" and bool(parts.hostname) and parts.port != 0
    except ValueError:
        whole = False
    if not whole or not re.fullmatch(r"[!-~]+", value):
        raise bad("address", f"`{value}` is not the address of a video (https)", example)
    if "@" in parts.netloc:
        said = "a user name or password in an address would be published"
        raise bad("address", said, example)
    if "#" in value:
        said = f"`{value}` leads to one place of a page"
        raise bad("address", said, "leave out `#` and what follows; times go into `chapters`")
    return value


class Chapter(Record):
    """A place in a clip, with what begins there."""

    at: Code = Field(description="Time code from the clip's beginning, as `1:20`.")
    caption: Line = Field(description="What is to be seen from there on.")


class Clip(Record):
    """A video clip with its caption."""

    file: ClipRef | None = Field(
        None, description="Path inside `photos/`, as `2025/03/drilling.mp4`."
    )
    link: Annotated[str, AfterValidator(_address), Looks("https://.+")] | None = Field(
        None, description="Address of a video that is hosted elsewhere, in place of `file`."
    )
    caption: Line = Field(description="What is to be seen; all that is read where it cannot play.")
    step: StepRef | None = Field(None, description="Step it shows, when not the session's own.")
    parts: Several[PartRef] = Field((), description="Parts it shows.")
    operation: OperationRef | None = Field(None, description="Kind of work it shows.")
    who: SeveralPeople[PersonRef] = Field((), description="People at work in it.")
    poster: Code | None = Field(
        None, description="Time code of the frame that stands for it before it is played."
    )
    chapters: Listed[Chapter] = Field((), description="Places in it, in their order.")
    blur: Annotated[tuple[Box, ...], BeforeValidator(one_or_more_boxes)] = Field(
        (),
        description="Boxes nobody shall see into, in all of its frames: faces, addresses. They "
        "stay where they are: make each large enough for what moves.",
    )
    silent: YesNo = Field(False, description="Publish it without its sound.")

    @model_validator(mode="before")
    @classmethod
    def _not_only_a_name(cls, data: Any) -> Any:
        return not_only_a_name("clip", data)

    @model_validator(mode="after")
    def _one_source(self) -> "Clip":
        if self.file is None and self.link is None:
            said = "a clip has either `file` or `link`"
            advice = "write the `file` inside `photos/`, or the `link` to where it is hosted"
            raise bad("clip-source", said, advice, field="caption")
        if self.file is not None and self.link is not None:
            said = "a clip has `file` or `link`, not both"
            raise bad("clip-source", said, "make two entries of it", field="link")
        for name in ("poster", "blur", "silent"):
            if self.link is not None and getattr(self, name):
                said = f"`{name}` can do nothing to a video that is hosted elsewhere"
                raise bad("hosted-elsewhere", said, f"take `{name}` away", field=name)
        return self
