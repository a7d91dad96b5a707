"""Fuselage pieces: ring frames and bulkheads, their outlines, and stringers.

A frame lies with its web on z = 0 and its flanges up, x across the fuselage and y upwards in it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from picture_kit.shapes import Array, Part, circle, joined, plate
from picture_kit.sheetmetal import SHEET, angle_section, flange, lightening_lip, pitches, resampled

if TYPE_CHECKING:
    from collections.abc import Sequence


def superellipse(width: float, height: float, power: float = 2.6, count: int = 160) -> Array:
    """Points (count, 2) round a rounded box, counter-clockwise from +x."""
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    c, s = np.cos(angle), np.sin(angle)
    return np.stack(
        [
            width / 2 * np.sign(c) * np.abs(c) ** (2 / power),
            height / 2 * np.sign(s) * np.abs(s) ** (2 / power),
        ],
        axis=1,
    )


def fuselage_angles(count: int = 16) -> Array:
    """Where the stringers run round a frame, in degrees, spaced evenly."""
    return (np.arange(count) + 0.5) * 360 / count


def on_frame(width: float, height: float, degrees: Array, power: float = 2.6) -> Array:
    """Points (n, 2) of a frame's outline at some angles of its parameter."""
    a = np.radians(np.atleast_1d(degrees))
    c, s = np.cos(a), np.sin(a)
    x = width / 2 * np.sign(c) * np.abs(c) ** (2 / power)
    y = height / 2 * np.sign(s) * np.abs(s) ** (2 / power)
    return np.stack([x, y], axis=1)


def frame(
    width: float,
    height: float,
    *,
    web: float = 0.42,
    metal: str = "bare",
    stringers: int = 16,
    solid: bool = False,
    rivet_kind: str = "hole",
) -> Part:
    """Make a ring frame on z = 0, flanges up, notched for stringers; `solid` is a bulkhead."""
    fine = superellipse(width, height, count=640)
    cut = np.zeros(640, dtype=bool)
    gap = 0.13
    seats = on_frame(width, height, fuselage_angles(stringers))
    for seat in seats:
        cut |= np.linalg.norm(fine - seat, axis=1) < gap
    ahead = np.roll(fine, -1, axis=0) - np.roll(fine, 1, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    out = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
    outline = np.where(cut[:, None], fine - out * 0.2, fine)
    inner = superellipse(width - 2 * web, height - 2 * web, count=160)
    spots = _bulkhead_holes(width, height) if solid else []
    holes = [circle(x, y, r + 0.045, 40) for x, y, r in spots] if solid else [inner]
    made = plate(outline, SHEET, metal, holes)
    made += joined([lightening_lip(x, y, r, metal) for x, y, r in spots])
    if not solid:
        closed = np.concatenate([inner, inner[:1]])
        made += flange(closed[::-1], depth=0.12, metal=metal)
    start = np.flatnonzero(cut)[0]
    order = np.roll(np.arange(640), -start)
    run: list[int] = []
    for k in [*order, order[0]]:
        if cut[k]:
            if len(run) > 8:
                made += _tab(fine[run], metal, rivet_kind)
            run = []
        else:
            run.append(k)
    return made


def _tab(path: Array, metal: str, rivet_kind: str) -> Part:
    length = resampled(path, 0.02)[1][-1]
    rivets = pitches(length, 0.3, 0.12)
    return flange(path, depth=0.19, metal=metal, rivets=rivets, rivet_kind=rivet_kind)


def _bulkhead_holes(width: float, height: float) -> list[tuple[float, float, float]]:
    size = min(width, height)
    return [
        (0.0, height * 0.22, size * 0.1),
        (-width * 0.2, -height * 0.12, size * 0.085),
        (width * 0.2, -height * 0.12, size * 0.085),
    ]


def stringer(
    start: Sequence[float], end: Sequence[float], inward: Sequence[float], metal: str = "bare"
) -> Part:
    """Run a stringer (an L) between two points, its standing leg turned `inward`."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    length = float(np.linalg.norm(b - a))
    ahead = (b - a) / length
    into = np.asarray(inward, dtype=float)
    into = into - ahead * (into @ ahead)
    into /= np.linalg.norm(into)
    side = np.cross(into, ahead)
    bar = angle_section(length, width=0.17, metal=metal, pitch=0.3)
    return bar.by(np.stack([ahead, side, into], axis=1), a)
