"""Assemblies shared by several pictures: tail skeletons, surfaces with ends, the aft fuselage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from picture_kit.frames import frame, fuselage_angles, on_frame, stringer, superellipse
from picture_kit.shapes import Part, box, joined, plate, scattered
from picture_kit.sheetmetal import (
    SHEET,
    channel,
    hinge_bracket,
    nose_rib,
    rib,
)
from picture_kit.surfaces import loft, section, skin, wedge
from picture_kit.tools import holder, spring_clamp

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True)
class Skeleton:
    """Ribs between two spars, lying level: span along x, front spar at +y, rear spar at -y."""

    span: float
    stations: tuple[float, ...]
    chord: tuple[float, float]
    """Distance between the spars at x = 0 and at x = span."""
    front: tuple[float, float]
    rear: tuple[float, float]
    """Heights of the spars at either end."""
    slant: float = 0.0
    """How far the front spar falls back over the span; the rear spar lies on y = 0."""

    def ends(self, x: float) -> tuple[float, float, float]:
        """The front spar's y and both spars' heights at x."""
        run = (0, self.span)
        return (
            float(np.interp(x, run, self.chord)),
            float(np.interp(x, run, self.front)),
            float(np.interp(x, run, self.rear)),
        )

    def part(
        self, metal: str = "bare", kind: str = "hole", nose: float = 0, holes: int = 3
    ) -> Part:
        """Make the whole skeleton; `nose` adds nose ribs of that length ahead of the front spar."""
        slope = (self.chord[1] - self.chord[0]) / self.span
        rows = self.stations
        front = channel(self.span, self.front[0], end_height=self.front[1], metal=metal,
                        rivet_kind=kind, web_rows=rows)  # fmt: skip
        rear = channel(self.span, self.rear[0], end_height=self.rear[1], metal=metal,
                       rivet_kind=kind, web_rows=rows)  # fmt: skip
        lean = np.array([[1, 0, 0], [slope, 1, 0], [0, 0, 1.0]])
        made = front.turned(x=90).by(lean).at(y=self.chord[0])
        made += rear.turned(x=90).scaled(y=-1)
        for x in self.stations:
            y, tall, low = self.ends(x)
            piece = rib(
                y - 0.03, low - 0.03, tall - 0.03, metal=metal, holes=holes, rivet_kind=kind
            )
            made += piece.turned(z=90).turned(y=90).at(x, 0.02, 0)
            if nose:
                tip = nose_rib(nose, tall - 0.03, metal=metal, rivet_kind=kind)
                made += tip.turned(z=-90).turned(y=90).at(x, y + 0.03, 0)
        return made

    def holders(self) -> Part:
        """Temporary fasteners through both spars at every rib."""
        rear, front = [], []
        for x in self.stations:
            y, tall, low = self.ends(x)
            rear += [[x, -SHEET, s * low * 0.2] for s in (-1, 1)]
            front += [[x, y + SHEET, s * tall * 0.22] for s in (-1, 1)]
        made = scattered(holder(), np.array(rear), (0, -1.0, 0))
        return made + scattered(holder("brass"), np.array(front), (0, 1.0, 0))

    def clamps(self, at: Sequence[float]) -> Part:
        """Spring clamps biting the upper flanges of both spars at some x."""
        made = Part()
        for x in at:
            y, tall, low = self.ends(x)
            made += spring_clamp(0.75, 4).turned(z=-75).at(x, 0.12, low / 2)
            made += spring_clamp(0.75, 4).turned(z=100).at(x + 0.1, y - 0.12, tall / 2)
        return made

    def skin(self, metal: str = "bare", *, over: bool = False, kind: str = "hole") -> Part:
        """Make the skin under the skeleton, or the one over it."""
        x = np.linspace(-0.05, self.span + 0.05, 40)
        ends = np.array([self.ends(float(v)) for v in x])
        v = np.linspace(-0.02, 1.02, 30)
        y = ends[:, :1] * v
        half = (ends[:, 2:] + (ends[:, 1:2] - ends[:, 2:]) * v) / 2 + 0.06 * 4 * v * (1 - v) + 0.02
        grid = np.stack([np.broadcast_to(x[:, None], y.shape), y, half], axis=2)
        rows = [s / self.span for s in self.stations]
        made = skin(grid, across=rows, along=[0.03, 0.97], metal=metal, kind=kind)
        return made if over else made.scaled(z=-1)


FIN = Skeleton(9.2, (0.15, 2.4, 4.6, 6.8, 9.0), (4.5, 3.2), (1.3, 0.7), (0.85, 0.46))
STABILISER = Skeleton(
    15, (0.15, 2.6, 5.05, 7.5, 9.95, 12.4, 14.85), (3.6, 3.6), (1.15, 1.15), (0.8, 0.8)
)


def surface(
    span: float,
    root: float,
    tip: float,
    sweep: float,
    *,
    tail: bool = False,
    across: Sequence[float] = (),
    along: Sequence[float] = (),
    kind: str = "flush",
    every: int = 2,
    facing: float = -1.0,
    rows: int = 24,
) -> Part:
    """Make a closed surface lying level: span along x, nose on y = 0, chord towards -y.

    A fixed surface ends at its rear spar; with `tail` it is a wedge to its trailing edge.
    """
    outline = wedge(0.15) if tail else section(0.72, 0.12)
    grid = loft(outline, span, root, tip, sweep, rows)
    made = skin(grid, across=across, along=along, kind=kind, every=every, facing=facing)
    for y, chord, x in ((0.05, root, 0.0), (span - 0.06, tip, sweep)):
        inset = outline * chord * (0.995, 0.97) + (x + 0.003 * chord, 0)
        made += plate(inset, SHEET, "bare").turned(x=90).at(y=y)
    if not tail:
        heights = [outline[0, 1] * 2 * c * 0.97 for c in (root, tip)]
        spar = channel(span, heights[0], end_height=heights[1], web_rows=[span * a for a in across])
        slope = (sweep + 0.72 * (tip - root)) / span
        lean = np.array([[1, slope, 0], [0, 1, 0], [0, 0, 1.0]])
        made += spar.turned(x=90).turned(z=90).scaled(x=-1).by(lean).at(0.72 * root - 0.01)
    return made.turned(z=-90)


def upright(part: Part) -> Part:
    """Stand a `surface` on its root: span along z, nose towards -x."""
    return part.turned(y=-90).turned(z=90)


def hinges(shape: tuple[float, float, float, float], at: Sequence[float], *, aft: bool) -> Part:
    """Hinge brackets for a `surface` of that shape: on its rear spar, or ahead of its nose."""
    span, root, tip, sweep = shape
    bracket = hinge_bracket().turned(z=90).scaled(0.8, 0.8, 0.8)
    made = Part()
    for x in at:
        f = x / span
        chord = root + (tip - root) * f
        if aft:
            made += bracket.turned(x=90).at(x, -(sweep * f + 0.72 * chord), 0)
        else:
            made += bracket.turned(x=-90).at(x, -sweep * f - 0.02, 0)
    return made


FRAMES = ((0.0, 8.6, 9.4), (5.0, 7.6, 8.3), (10.0, 6.5, 7.1), (15.0, 5.4, 5.9), (20.0, 4.3, 4.7))
"""Aft-fuselage frames: y along the fuselage, width and height."""
AXIS_Z = 10.0


def fuselage_frames(metal: str = "bare", kind: str = "hole", *, bulkhead: bool = True) -> Part:
    """Make all five frames standing in their places, the last one the rear bulkhead."""
    made = Part()
    for k, (y, wide, high) in enumerate(FRAMES):
        last = bulkhead and k == len(FRAMES) - 1
        made += frame(wide, high, metal=metal, solid=last, rivet_kind=kind).turned(x=90).at(y=y)
    return made.at(z=AXIS_Z)


def fuselage_stringers(metal: str = "bare", keep: Sequence[int] = range(16)) -> Part:
    """Run the stringers from the first frame to the last."""
    (y0, w0, h0), (y1, w1, h1) = FRAMES[0], FRAMES[-1]
    made = Part()
    for k in keep:
        angle = fuselage_angles()[k]
        a, b = on_frame(w0, h0, angle)[0], on_frame(w1, h1, angle)[0]
        start, end = (a[0], y0 - 0.3, a[1]), (b[0], y1 + 0.1, b[1])
        made += stringer(start, end, (-a[0], 0, -a[1]), metal)
    return made.at(z=AXIS_Z)


def fuselage_skin(
    first: float, last: float, *, kind: str = "held", rows: int = 41, every: int = 2
) -> Part:
    """Make a skin round the fuselage from angle `first` to `last` (0 is starboard, 90 up)."""
    (y0, w0, h0), (y1, w1, h1) = FRAMES[0], FRAMES[-1]
    ring = superellipse(1, 1, count=721)
    turn = np.linspace(0, 360, 721, endpoint=False)
    wanted = np.linspace(first, last, 90) % 360
    unit = np.stack([np.interp(wanted, turn, ring[:, k], period=360) for k in range(2)], axis=1)
    u = np.linspace(-0.015, 1.0, rows)[:, None]
    y = y0 + (y1 - y0) * u
    x = (w0 + (w1 - w0) * u + 0.09) * unit[None, :, 0]
    z = (h0 + (h1 - h0) * u + 0.09) * unit[None, :, 1]
    grid = np.stack([x, np.broadcast_to(y, x.shape), z], axis=2)
    run = np.linalg.norm(np.diff(grid[rows // 2], axis=0), axis=1)
    at = np.concatenate([[0], np.cumsum(run)]) / run.sum()
    seats = [a for a in [*fuselage_angles(), *(fuselage_angles() + 360)] if first < a < last]
    along = [
        float(np.interp((a - first) / (last - first), np.linspace(0, 1, 90), at)) for a in seats
    ]
    made = skin(
        grid, across=[0.02, 0.25, 0.5, 0.75, 0.99], along=along, kind=kind, pitch=0.42, every=every
    )
    return made.at(z=AXIS_Z)


def blocks(places: Sequence[tuple[float, float]], size: tuple[float, float, float]) -> Part:
    """Stand wooden blocks of one size at some x, y."""
    return joined([box(size, (x, y, 0), "pale_wood", 0.03) for x, y in places])
