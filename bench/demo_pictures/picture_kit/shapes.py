"""Shapes as plain arrays: points and faces, made and moved without a renderer.

Lengths are decimetres, angles degrees, z is up. The methods of a `Part` return new ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from mathutils import Vector
from mathutils.geometry import tessellate_polygon

if TYPE_CHECKING:
    from collections.abc import Sequence

INCH = 0.254
Array = np.ndarray
NONE3 = np.zeros((0, 3), dtype=np.int64)
NONE4 = np.zeros((0, 4), dtype=np.int64)


@dataclass(frozen=True)
class Shape:
    """Points (n, 3) with triangles (k, 3) and quads (m, 4) in one material."""

    points: Array
    tris: Array
    quads: Array
    material: str


@dataclass(frozen=True)
class Part:
    """Some shapes that move together."""

    shapes: tuple[Shape, ...] = ()

    def __add__(self, other: Part) -> Part:
        """Both parts as one."""
        return Part(self.shapes + other.shapes)

    def by(self, matrix: Array, shift: Sequence[float] = (0, 0, 0)) -> Part:
        """Points times a 3x3 matrix, then shifted; faces are turned over if it mirrors."""
        flip = np.linalg.det(matrix) < 0
        moved = []
        for s in self.shapes:
            tris, quads = (s.tris[:, ::-1], s.quads[:, ::-1]) if flip else (s.tris, s.quads)
            moved.append(Shape(s.points @ matrix.T + np.asarray(shift), tris, quads, s.material))
        return Part(tuple(moved))

    def at(self, x: float = 0, y: float = 0, z: float = 0) -> Part:
        """Moved by x, y, z."""
        return self.by(np.eye(3), (x, y, z))

    def turned(self, x: float = 0, y: float = 0, z: float = 0) -> Part:
        """Turned about the x, then the y, then the z axis."""
        return self.by(turn(z=z) @ turn(y=y) @ turn(x=x))

    def scaled(self, x: float = 1, y: float = 1, z: float = 1) -> Part:
        """Scaled along each axis; a negative number mirrors."""
        return self.by(np.diag([x, y, z]).astype(float))

    def made_of(self, material: str) -> Part:
        """The same shapes, all in one material but for their dark holes."""
        return Part(
            tuple(
                Shape(s.points, s.tris, s.quads, "hole" if s.material == "hole" else material)
                for s in self.shapes
            )
        )


def turn(x: float = 0, y: float = 0, z: float = 0) -> Array:
    """Rotation matrix about one axis (give one angle)."""
    angle = np.radians(x or y or z)
    c, s = np.cos(angle), np.sin(angle)
    if x:
        return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    if y:
        return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def joined(parts: Sequence[Part]) -> Part:
    """All parts as one."""
    return Part(tuple(s for p in parts for s in p.shapes))


def _part(points: Array, material: str, *, tris: Array = NONE3, quads: Array = NONE4) -> Part:
    return Part((Shape(np.asarray(points, dtype=float), tris, quads, material),))


def box(
    size: Sequence[float],
    at: Sequence[float] = (0, 0, 0),
    material: str = "wood",
    bevel: float = 0.02,
) -> Part:
    """Make a box of `size` standing on `at` (the middle of its bottom), edges bevelled."""
    half = np.asarray(size, dtype=float) / 2
    bevel = min(bevel, *(half * 0.4))
    index, points = {}, []
    for sign in product((-1, 1), repeat=3):
        for axis in range(3):
            index[(*sign, axis)] = len(points)
            inset = np.full(3, bevel)
            inset[axis] = 0
            points.append(np.array(sign) * (half - inset))
    tris = []
    for sign in product((-1, 1), repeat=3):
        ring = [index[(*sign, k)] for k in range(3)]
        tris.append(ring if np.prod(sign) > 0 else ring[::-1])
    quads = [quad for axis in range(3) for quad in _sides(index, axis)]
    shift = np.asarray(at, dtype=float) + (0, 0, half[2])
    return _part(np.array(points) + shift, material, tris=np.array(tris), quads=np.array(quads))


def _sides(index: dict[tuple[int, ...], int], axis: int) -> list[list[int]]:
    """A box's two faces across an axis and its four bevels along it, as corner numbers."""
    a, b = (axis + 1) % 3, (axis + 2) % 3

    def corner(s: int, sa: int, sb: int, facing: int) -> int:
        sign = [0, 0, 0]
        sign[axis], sign[a], sign[b] = s, sa, sb
        return index[(*sign, facing)]

    quads = []
    for s in (-1, 1):
        ring = [corner(s, sa, sb, axis) for sa, sb in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        quads.append(ring if s > 0 else ring[::-1])
    for sa, sb in product((-1, 1), repeat=2):
        ring = [corner(s, sa, sb, k) for s, k in ((-1, a), (1, a), (1, b), (-1, b))]
        quads.append(ring[::-1] if sa * sb > 0 else ring)
    return quads


def revolve(profile: Sequence[tuple[float, float]], material: str, sides: int = 24) -> Part:
    """Turn a profile of (radius, height) about z; a radius of nought closes the end."""
    angle = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    rows = [
        np.stack([r * np.cos(angle), r * np.sin(angle), np.full(sides, z)], axis=1)
        for r, z in profile
    ]
    near = np.arange(sides)
    far = (near + 1) % sides
    quads = [
        np.stack(
            [k * sides + near, k * sides + far, (k + 1) * sides + far, (k + 1) * sides + near], 1
        )
        for k in range(len(rows) - 1)
    ]
    return _part(np.concatenate(rows), material, quads=np.concatenate(quads))


def cylinder(
    radius: float, height: float, material: str = "steel", sides: int = 24, top: float | None = None
) -> Part:
    """Make a closed cylinder on z = 0, or a cone whose upper radius is `top`, edges eased."""
    top = radius if top is None else top
    ease = min(radius, top, height) * 0.12
    profile = [
        (1e-5, 0), (radius - ease, 0), (radius, ease),
        (top, height - ease), (top - ease, height), (1e-5, height),
    ]  # fmt: skip
    return revolve(profile, material, sides)


def plate(outline: Array, thickness: float, material: str, holes: Sequence[Array] = ()) -> Part:
    """Cut a flat plate from an outline (n, 2), counter-clockwise, with holes; it lies on z = 0."""
    rings = [np.asarray(outline, dtype=float), *(np.asarray(h, dtype=float) for h in holes)]
    flat = np.concatenate(rings)
    tris = np.array(tessellate_polygon([[Vector((x, y, 0)) for x, y in ring] for ring in rings]))
    a, b, c = (flat[tris[:, k]] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    tris = np.where((area < 0)[:, None], tris[:, ::-1], tris)
    count = len(flat)
    points = np.concatenate([np.c_[flat, np.full(count, thickness)], np.c_[flat, np.zeros(count)]])
    quads, start = [], 0
    for ring in rings:
        near = start + np.arange(len(ring))
        far = start + (np.arange(len(ring)) + 1) % len(ring)
        side = np.stack([near + count, far + count, far, near], axis=1)
        x, y = ring.T
        turns = np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) > 0
        outer = start == 0
        quads.append(side if turns == outer else side[:, ::-1])
        start += len(ring)
    faces = np.concatenate([tris, tris[:, ::-1] + count])
    return _part(points, material, tris=faces, quads=np.concatenate(quads))


def circle(x: float, y: float, radius: float, sides: int = 32) -> Array:
    """Points (sides, 2) round a circle."""
    angle = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    return np.stack([x + radius * np.cos(angle), y + radius * np.sin(angle)], axis=1)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Array:
    """The four corners (4, 2), counter-clockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


def rounded(x0: float, y0: float, x1: float, y1: float, r: float, steps: int = 6) -> Array:
    """Make a rectangle with round corners, counter-clockwise."""
    arcs = []
    for (cx, cy), start in zip(
        ((x1 - r, y0 + r), (x1 - r, y1 - r), (x0 + r, y1 - r), (x0 + r, y0 + r)),
        (-90, 0, 90, 180),
        strict=True,
    ):
        angle = np.radians(np.linspace(start, start + 90, steps + 1))
        arcs.append(np.stack([cx + r * np.cos(angle), cy + r * np.sin(angle)], axis=1))
    return np.concatenate(arcs)


def sheet(grid: Array, thickness: float, material: str, keep: Array | None = None) -> Part:
    """Thicken a grid of points (a, b, 3) to both sides; `keep` (a-1, b-1) leaves cells out."""
    rows, cols = grid.shape[:2]
    along, across = np.gradient(grid, axis=0), np.gradient(grid, axis=1)
    normal = np.cross(along, across)
    normal /= np.maximum(np.linalg.norm(normal, axis=2, keepdims=True), 1e-9)
    points = np.concatenate(
        [
            (grid + normal * thickness / 2).reshape(-1, 3),
            (grid - normal * thickness / 2).reshape(-1, 3),
        ]
    )
    number = np.arange(rows * cols).reshape(rows, cols)
    cells = np.stack([number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]], axis=-1)
    cells = cells.reshape(-1, 4) if keep is None else cells[keep]
    count = rows * cols
    quads = [cells, cells[:, ::-1] + count]
    if keep is None:
        rim = np.concatenate([number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]])
        far = np.roll(rim, -1)
        quads.append(np.stack([far, rim, rim + count, far + count], axis=1))
    return _part(points, material, quads=np.concatenate(quads))


def tube(path: Sequence[Sequence[float]], radius: float, material: str, sides: int = 10) -> Part:
    """Run a round tube along a path (n, 3), ends open unless very thin."""
    line = np.asarray(path, dtype=float)
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    up = np.array([0, 0, 1.0])
    if np.abs(ahead @ up).max() > 0.9:
        up = np.array([0.3, 1.0, 0.2]) / np.linalg.norm([0.3, 1.0, 0.2])
    side = np.cross(ahead, up)
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    over = np.cross(side, ahead)
    angle = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    rings = (
        line[:, None]
        + radius * np.cos(angle)[None, :, None] * side[:, None]
        + radius * np.sin(angle)[None, :, None] * over[:, None]
    )
    near, far = np.arange(sides), (np.arange(sides) + 1) % sides
    quads = [
        np.stack(
            [k * sides + far, k * sides + near, (k + 1) * sides + near, (k + 1) * sides + far], 1
        )
        for k in range(len(line) - 1)
    ]
    return _part(rings.reshape(-1, 3), material, quads=np.concatenate(quads))


def scattered(part: Part, places: Array, normals: Array) -> Part:
    """Copies of a part, its z turned to each normal (n, 3) at each place (n, 3)."""
    places = np.atleast_2d(np.asarray(places, dtype=float))
    out = np.broadcast_to(np.asarray(normals, dtype=float), places.shape)
    out = out / np.linalg.norm(out, axis=1, keepdims=True)
    aid = np.where(np.abs(out[:, :1]) > 0.9, [[0, 1.0, 0]], [[1.0, 0, 0]])
    right = np.cross(aid, out)
    right /= np.linalg.norm(right, axis=1, keepdims=True)
    frames = np.stack([right, np.cross(out, right), out], axis=2)
    shapes = []
    for s in part.shapes:
        moved = np.einsum("nij,kj->nki", frames, s.points) + places[:, None]
        offset = (np.arange(len(places)) * len(s.points))[:, None, None]
        shapes.append(
            Shape(
                moved.reshape(-1, 3),
                (s.tris[None] + offset).reshape(-1, 3),
                (s.quads[None] + offset).reshape(-1, 4),
                s.material,
            )
        )
    return Part(tuple(shapes))


def spaced(a: Sequence[float], b: Sequence[float], pitch: float, margin: float = 0) -> Array:
    """Points (n, 3) from a to b about `pitch` apart, `margin` in from either end."""
    start, end = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
    length = np.linalg.norm(end - start)
    step = (end - start) / length
    count = max(2, round((length - 2 * margin) / pitch) + 1)
    return start + np.linspace(margin, length - margin, count)[:, None] * step
