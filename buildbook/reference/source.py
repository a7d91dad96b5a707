"""Where a value comes from, and how sure that is."""

from dataclasses import dataclass
from enum import StrEnum

from buildbook.records.sayings import Saying


class Sure(StrEnum):
    """How a value came into this program."""

    SEEN = "seen"
    """Read in a copy or a quotation of the named document."""
    COMPUTED = "computed"
    """By the named formula or library."""
    MEMORY = "from memory"
    """Recalled and not looked up: shown as unverified."""


@dataclass(frozen=True, slots=True)
class Source:
    """A document, and the place in it."""

    document: str
    table: str
    """Table, paragraph, page or formula; may be empty."""
    edition: str
    """Date or revision; may be empty."""
    sure: Sure
    note: str = ""
    """How it was seen, when that was at second hand."""

    @property
    def verified(self) -> bool:
        """Whether somebody looked it up."""
        return self.sure is not Sure.MEMORY

    @property
    def name(self) -> str:
        """The document with its edition."""
        return f"{self.document} ({self.edition})" if self.edition else self.document

    @property
    def words(self) -> str:
        """Name it on one line, ending in how sure it is."""
        sure = Saying(self.sure.value if self.verified else f"{self.sure.value}, unverified")
        if self.note:
            sure = Saying("%(sure)s; %(note)s", sure=sure, note=Saying(self.note))
        place = f", {self.table}" if self.table else ""
        return Saying("%(document)s [%(sure)s]", document=f"{self.name}{place}", sure=sure)
