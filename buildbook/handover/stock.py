"""Sheets that labels are printed on, by their dimensions, and where each label stands on them.

The sizes of adhesive sheets are common practice: each is made by several makers. Lengths are
millimetres, written in inches times 25.4 where the sheet is an inch one.
"""

from collections.abc import Iterator
from dataclasses import dataclass

INCH = 25.4
A4 = (210.0, 297.0)
LETTER = (8.5 * INCH, 11 * INCH)
_CLEAR = 1.5
"""From the edge of a label: sheets do not feed true."""
_UNPRINTABLE = 5.0
"""From the edge of the sheet: what an office printer leaves white (common practice)."""
_MARK, _MARK_GAP = 4.0, 1.5


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet of equal labels. Lengths in millimetres."""

    name: str
    paper: str
    sheet: tuple[float, float]
    """Width and height."""
    columns: int
    rows: int
    label: tuple[float, float]
    """Width and height of one label."""
    margin: tuple[float, float]
    """From the left and from the top of the sheet to the first label."""
    pitch: tuple[float, float]
    """From one label to the next, across and down."""
    cut: bool = False
    """Plain paper, cut along marks."""

    @property
    def per_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    @property
    def words(self) -> str:
        """Say what the sheet is."""
        width, height = self.label
        unit = INCH if self.paper == "Letter" and not self.cut else 1
        size = f"{width / unit:g} x {height / unit:g} {'mm' if unit == 1 else 'in'}"
        kind = "plain paper to cut, " if self.cut else ""
        return f"{kind}{self.paper}, {self.columns} x {self.rows} labels of {size}"

    @property
    def inset(self) -> tuple[float, float]:
        """What stays white inside a label, left and right, top and bottom."""
        across, down = (max(_CLEAR, _UNPRINTABLE - m) for m in self.margin)
        return across, down

    def places(self, count: int, start: int = 1) -> Iterator[tuple[int, float, float]]:
        """Yield sheet (from 0), x and y of `count` labels, beginning on label `start` (from 1).

        Labels go across, then down. Raises ValueError when the sheet has no label `start`.
        """
        if not 1 <= start <= self.per_sheet:
            raise ValueError(f"a sheet has labels 1 to {self.per_sheet}, not {start}")
        for n in range(start - 1, start - 1 + count):
            sheet, at = divmod(n, self.per_sheet)
            row, column = divmod(at, self.columns)
            yield (
                sheet,
                self.margin[0] + column * self.pitch[0],
                self.margin[1] + row * self.pitch[1],
            )

    def marks(self) -> list[tuple[float, float, float, float]]:
        """List the lines to cut along, outside the labels, as x and y of both ends."""
        if not self.cut:
            return []
        (left, top), (right, bottom) = self.margin, self._far_corner()
        lines = []
        for i in range(self.columns + 1):
            x = left + i * self.pitch[0]
            for y, out in ((top, -1), (bottom, 1)):
                lines.append((x, y + out * _MARK_GAP, x, y + out * (_MARK_GAP + _MARK)))
        for i in range(self.rows + 1):
            y = top + i * self.pitch[1]
            for x, out in ((left, -1), (right, 1)):
                lines.append((x + out * _MARK_GAP, y, x + out * (_MARK_GAP + _MARK), y))
        return lines

    def _far_corner(self) -> tuple[float, float]:
        return (
            self.margin[0] + (self.columns - 1) * self.pitch[0] + self.label[0],
            self.margin[1] + (self.rows - 1) * self.pitch[1] + self.label[1],
        )


STOCKS = {
    s.name: s
    for s in (
        Stock("plain", "A4", A4, 3, 8, (60, 32), (15, 20.5), (60, 32), cut=True),
        Stock("plain-letter", "Letter", LETTER, 3, 8, (60, 32), (17.95, 11.7), (60, 32), cut=True),
        Stock("a4-3x8", "A4", A4, 3, 8, (70, 37), (0, 0.5), (70, 37)),
        Stock("a4-3x7", "A4", A4, 3, 7, (63.5, 38.1), (7.21, 15.15), (66.04, 38.1)),
        Stock("a4-5x13", "A4", A4, 5, 13, (38.1, 21.2), (4.67, 10.7), (40.64, 21.2)),
        Stock(
            "letter-3x10",
            "Letter",
            LETTER,
            3,
            10,
            (2.625 * INCH, INCH),
            (0.1875 * INCH, 0.5 * INCH),
            (2.75 * INCH, INCH),
        ),
        Stock(
            "letter-2x5",
            "Letter",
            LETTER,
            2,
            5,
            (4 * INCH, 2 * INCH),
            (0.15625 * INCH, 0.5 * INCH),
            (4.1875 * INCH, 2 * INCH),
        ),
    )
}
"""Every stock by name."""
