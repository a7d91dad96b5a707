"""What an entry from elsewhere becomes: fields of a session, notes, and what was not understood."""

from dataclasses import dataclass, field

from buildbook.incoming.entries import Cell, Entry
from buildbook.records.problems import Finding
from buildbook.writing.draft import prose
from buildbook.writing.yamltext import Plain


@dataclass(slots=True)
class Brought:
    """What an entry says of a session, as far as it is understood."""

    entry: Entry
    fields: dict[str, Plain] = field(default_factory=dict)
    """As the session's file would hold them; `notes` among them."""
    origin: dict[str, Cell] = field(default_factory=dict)
    """The cell each field was taken from."""
    findings: list[Finding] = field(default_factory=list)
    """What was not understood."""
    file: str = ""
    """Path below the folder of records where it goes; empty while it cannot be a session."""
    unfit: bool = False
    """No record can hold its words at all."""

    @property
    def is_whole(self) -> bool:
        """It says all that a session needs."""
        fields = self.fields
        return "date" in fields and "step" in fields and bool(fields.keys() & {"hours", "from"})

    def keep(self, cell: Cell, said: str = "", advice: str = "") -> None:
        """Keep a cell's words in the notes; `said` is why they are no more than that."""
        if said:
            told = f"{said}; it stays in the notes"
            self.findings.append(self.entry.finding("not-understood", told, advice, cell))
        first, *rest = cell.words.splitlines()
        line = "\n".join([f"- {cell.heading}: {first}", *(f"  {ln}".rstrip() for ln in rest)])
        self.add_notes(line, together=True)

    def add_notes(self, text: str, *, together: bool = False) -> None:
        """Add to the notes, a paragraph or a line of the list at their end."""
        before = str(self.fields.get("notes", "")).rstrip()
        gap = "\n" if together and before.rsplit("\n\n", 1)[-1].startswith("- ") else "\n\n"
        self.fields["notes"] = prose(f"{before}{gap}{text}" if before else text)

    def give_up(self, name: str, said: str, advice: str = "") -> None:
        """Put a field that the book will not take back among the notes."""
        for one in ("from", "to", "break") if name in ("from", "to") else (name,):
            cell = self.origin.pop(one, None)
            if self.fields.pop(one, None) is not None and cell:
                self.keep(cell, said, advice)

    def refuse(self, code: str, said: str, advice: str = "", cell: Cell | None = None) -> None:
        """Tell why it cannot be a session."""
        self.findings.append(self.entry.finding(code, said, advice, cell, error=True))
