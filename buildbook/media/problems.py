"""What can be wrong with a photo, in the builder's words."""

from dataclasses import dataclass

COPY_AGAIN = "copy it again from the phone or the camera"


@dataclass(frozen=True, slots=True)
class PictureProblem:
    """One photo that cannot be published, and what may mend it."""

    file: str
    """The photo as it was asked for."""
    code: str
    """Stable name of the kind of problem, such as `picture-damaged`."""
    sentence: str
    """What is wrong, without a full stop; names the file."""
    advice: str
    """What to do about it."""


class BadPictureError(Exception):
    """A photo cannot be used. Carries the code, what is wrong with it ("is empty") and advice."""

    def __init__(self, code: str, wrong: str, advice: str) -> None:
        super().__init__(wrong)
        self.code = code
        self.wrong = wrong
        self.advice = advice

    def about(self, file: str) -> PictureProblem:
        """Say it of a file."""
        shown = file.encode("utf-8", "replace").decode()  # names on disk need not be valid text
        return PictureProblem(file, self.code, f"`photos/{shown}` {self.wrong}", self.advice)


def damaged() -> BadPictureError:
    """Make the error for a picture that cannot be decoded to its end."""
    return BadPictureError("picture-damaged", "is cut short or damaged", COPY_AGAIN)


def too_large(what: str) -> BadPictureError:
    """Make the error for a picture that would take too much memory."""
    return BadPictureError(
        "picture-too-large",
        what,
        "save a smaller copy of it under this name, and keep the original",
    )


class CacheError(Exception):
    """The folder for prepared pictures cannot be used; the message says which and why."""
