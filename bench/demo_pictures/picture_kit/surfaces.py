"""Tail surfaces and skins: lofted skins with rivet lines, wedge surfaces, film that peels."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from picture_kit.shapes import Array, Part, scattered, sheet
from picture_kit.sheetmetal import SHEET, flush_heads, hole_marks
from picture_kit.tools import holder

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


def thickness_at(x: Array, ratio: float) -> Array:
    """Half thickness of the four-digit symmetrical section at chord fraction x.

    The polynomial of Jacobs, Ward and Pinkerton, NACA Report 460 (1933).
    """
    return (
        5
        * ratio
        * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
    )


def section(cut: float, ratio: float, count: int = 60) -> Array:
    """Points (n, 2) of a section from the upper cut round the nose to the lower, unit chord."""
    t = np.linspace(0, 1, count)
    x = cut * t**2
    y = thickness_at(x, ratio)
    return np.concatenate([np.stack([x, y], 1)[::-1], np.stack([x, -y], 1)[1:]])


def wedge(ratio: float, nose: float = 0.12, count: int = 60) -> Array:
    """Points (n, 2) of a control surface: round nose, then straight to the trailing edge."""
    angle = np.radians(np.linspace(90, 180, 14))
    curve = np.stack([nose + nose * np.cos(angle), ratio / 2 * np.sin(angle)], 1)
    flat = np.stack([np.linspace(1, nose, count), np.linspace(0.004, ratio / 2, count)], 1)
    upper = np.concatenate([flat[:-1], curve])
    return np.concatenate([upper, (upper * (1, -1))[::-1][1:]])


def loft(
    outline: Array, span: float, root: float, tip: float, sweep: float, stations: int = 13
) -> Array:
    """Grid (stations, n, 3): outline x along x, thickness along z, span along y."""
    u = np.linspace(0, 1, stations)[:, None]
    chord = root + (tip - root) * u
    x = sweep * u + chord * outline[None, :, 0]
    z = chord * outline[None, :, 1]
    return np.stack([x, np.broadcast_to(u * span, x.shape), z], axis=2)


def on_grid(grid: Array, u: Array, v: Array) -> tuple[Array, Array]:
    """Places and normals (n, 3) at fractions u along the rows and v along the columns."""
    rows, cols = grid.shape[:2]
    run = np.linalg.norm(np.diff(grid[rows // 2], axis=0), axis=1)
    at = np.concatenate([[0], np.cumsum(run)]) / run.sum()
    i = np.clip(np.asarray(u) * (rows - 1), 0, rows - 1.001)
    j = np.clip(np.interp(v, at, np.arange(cols)), 0, cols - 1.001)
    a, b = i.astype(int), j.astype(int)
    fi, fj = (i - a)[:, None], (j - b)[:, None]
    low = grid[a, b] * (1 - fj) + grid[a, b + 1] * fj
    high = grid[a + 1, b] * (1 - fj) + grid[a + 1, b + 1] * fj
    across = grid[a, b + 1] - grid[a, b]
    normal = np.cross(grid[a + 1, b] - grid[a, b], across)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-9)
    return low * (1 - fi) + high * fi, normal


def lines_on(
    grid: Array, across: Sequence[float], along: Sequence[float], pitch: float = 0.3
) -> tuple[Array, Array]:
    """Places and normals of rivets: a row at each u in `across` and each v in `along`."""
    length = np.linalg.norm(np.diff(grid[grid.shape[0] // 2], axis=0), axis=1).sum()
    span = np.linalg.norm(grid[-1, 0] - grid[0, 0])
    us, vs = [], []
    for u in across:
        v = np.linspace(0.015, 0.985, max(3, int(length / pitch)))
        us.append(np.full_like(v, u))
        vs.append(v)
    for v in along:
        u = np.linspace(0.015, 0.985, max(3, int(span / pitch)))
        us.append(u)
        vs.append(np.full_like(u, v))
    return on_grid(grid, np.concatenate(us), np.concatenate(vs))


def skin(
    grid: Array,
    *,
    across: Sequence[float] = (),
    along: Sequence[float] = (),
    kind: str = "flush",
    metal: str = "bare",
    pitch: float = 0.3,
    every: int = 2,
    facing: float = -1.0,
) -> Part:
    """Make a skin over a grid with rows of flush rivets, holes, or holes with `every`-th held.

    Holders stand only where the upward part of the normal is at least `facing`.
    """
    made = sheet(grid, SHEET, metal)
    if not (len(across) or len(along)):
        return made
    places, normals = lines_on(grid, across, along, pitch)
    surface = places + normals * SHEET / 2
    if kind == "flush":
        return made + flush_heads(surface, normals, 0.04)
    made += hole_marks(places, normals)
    if kind == "held":
        stood = np.flatnonzero(normals[:, 2] >= facing)[::every]
        made += scattered(holder(), surface[stood], normals[stood])
    return made


def film(
    grid: Array,
    lift: float = 0.006,
    across: Sequence[float] = (),
    along: Sequence[float] = (),
    bare: Callable[[Array, Array], Array] | None = None,
) -> Part:
    """Lay blue film over a grid, opened in strips round each u in `across` and v in `along`.

    `bare` says of fractions u, v (arrays) whether the film is gone there altogether.
    """
    rows, cols = grid.shape[:2]
    u = (np.arange(rows - 1) + 0.5) / (rows - 1)
    v = (np.arange(cols - 1) + 0.5) / (cols - 1)
    keep = np.ones((rows - 1, cols - 1), dtype=bool)
    for at in across:
        keep[np.abs(u - at) < 0.022] = False
    for at in along:
        keep[:, np.abs(v - at) < 0.022] = False
    if bare is not None:
        keep &= ~bare(u[:, None], v[None, :])
    normal = np.cross(np.gradient(grid, axis=0), np.gradient(grid, axis=1))
    normal /= np.maximum(np.linalg.norm(normal, axis=2, keepdims=True), 1e-9)
    return sheet(grid + normal * (SHEET / 2 + lift), 0.002, "film", keep)


def flat_grid(x0: float, y0: float, x1: float, y1: float, rows: int = 90, cols: int = 90) -> Array:
    """Grid (rows, cols, 3) flat on z = 0, normals up."""
    x, y = np.meshgrid(np.linspace(x0, x1, rows), np.linspace(y0, y1, cols), indexing="ij")
    return np.stack([x, y, np.zeros_like(x)], axis=2)


def peeled_flap(
    width: float, length: float, radius: float = 0.5, turns: float = 0.62, taper: float = 0
) -> Part:
    """Make a flap of film along x, lying from y = 0 and rolled back upon itself at its end.

    `taper` narrows it towards its end, by the fraction given.
    """
    s = np.linspace(0, length, 60)
    flat = length - radius * 2 * np.pi * turns
    a = np.clip((s - flat) / radius, 0, None)
    grow = radius * (1 - 0.25 * a / max(a.max(), 1e-6))
    y = np.where(s < flat, s, flat + grow * np.sin(a))
    z = np.where(s < flat, 0, grow * (1 - np.cos(a)))
    x = np.linspace(0, width, 24)
    sag = 0.05 * np.sin(x / width * 7)
    grid = np.stack(
        [
            width / 2 + (x[:, None] - width / 2) * (1 - taper * s[None] / length),
            y[None] + sag[:, None] * (a > 0),
            np.broadcast_to(z[None], (24, 60)),
        ],
        axis=2,
    )
    return sheet(grid, 0.004, "film")
