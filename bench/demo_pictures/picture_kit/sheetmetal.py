"""Sheet-metal pieces: ribs, spars, stiffeners, angles, brackets, frames, rivets and holes.

A rib lies with its web on z = 0 and its flanges up, x along the chord, y across it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from picture_kit.shapes import (
    Array,
    Part,
    circle,
    cylinder,
    joined,
    plate,
    revolve,
    rounded,
    scattered,
    sheet,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

SHEET = 0.0081  # .032 in
BEND = 0.025
RIVET = 0.016  # half of 1/8 in


def hole_marks(places: Array, normals: Array, radius: float = RIVET, depth: float = SHEET) -> Part:
    """Rivet holes seen from both faces of a thin sheet: dark discs with a fine bright rim."""
    lid = depth / 2 + 0.0012
    disc = revolve([(radius, 0.0), (1e-5, 0.0)], "hole", 14)
    return scattered(disc.at(z=lid) + disc.at(z=-lid), places, normals)


def domes(places: Array, normals: Array, radius: float = 0.033, metal: str = "rivet") -> Part:
    """Domed rivet heads (the AN470 kind): head twice the shank, set on the surface."""
    angle = np.radians([4, 20, 40, 60, 78, 90])
    height = radius * 0.82
    profile = [(radius * np.sin(a), height * np.cos(a)) for a in angle[::-1]]
    profile = [(radius, -0.004), *profile, (1e-5, height)]
    return scattered(revolve(profile, metal, 18), places, normals)


def flush_heads(places: Array, normals: Array, radius: float = 0.031, metal: str = "rivet") -> Part:
    """Flush rivet heads (the AN426 kind): a flat disc in a faint ring."""
    head = revolve([(radius, 0.001), (radius * 0.93, 0.0022), (1e-5, 0.0022)], metal, 16)
    ring = revolve([(radius * 1.3, 0.0014), (radius, 0.0016)], "seam", 16)
    return scattered(head + ring, places, normals)


def shop_heads(places: Array, normals: Array, radius: float = 0.025) -> Part:
    """Squeezed shop heads: a low drum one and a half shanks wide and half a shank high."""
    return scattered(cylinder(radius, 0.018, "rivet", 16), places, normals)


def lightening_lip(x: float, y: float, radius: float, metal: str, side: float = 1) -> Part:
    """Make the flared lip of a lightening hole, standing to the +z or -z side of the web."""
    t = np.linspace(0, 1, 5)
    r = radius + 0.045 * (1 - np.sin(t * np.pi / 2)) ** 1.0
    z = side * 0.06 * (1 - np.cos(t * np.pi / 2))
    angle = np.linspace(0, 2 * np.pi, 41)
    grid = np.stack(
        [
            x + r[:, None] * np.cos(angle),
            y + r[:, None] * np.sin(angle),
            np.broadcast_to(z[:, None] + SHEET / 2, (5, 41)),
        ],
        axis=2,
    )
    return sheet(grid, SHEET, metal)


def resampled(path: Array, step: float) -> tuple[Array, Array]:
    """Points (n, 2) about `step` apart along a path, and the distance (n,) of each along it."""
    legs = np.linalg.norm(np.diff(path, axis=0), axis=1)
    run = np.concatenate([[0], np.cumsum(legs)])
    at = np.linspace(0, run[-1], max(2, int(run[-1] / step) + 1))
    return np.stack([np.interp(at, run, path[:, k]) for k in range(2)], axis=1), at


def flange(
    path: Array,
    *,
    depth: float = 0.17,
    metal: str = "bare",
    flutes: Sequence[float] = (),
    dents: Sequence[float] = (),
    rivets: Sequence[float] = (),
    rivet_kind: str = "hole",
    lean: float = 0.0,
) -> Part:
    """Bend a flange up along a path (n, 2) whose outward side is on the right.

    `flutes`, `dents` and `rivets` are distances along the path; `lean` opens the bend (degrees).
    """
    dimpled = rivet_kind == "dimple"
    line, at = resampled(path, 0.006 if dimpled else 0.02)
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    out = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
    rise = 24 if dimpled else 6
    bend = np.radians(np.linspace(0, 90, 5))
    offset = [*(BEND * np.sin(bend)), *([BEND] * (rise - 1))]
    height = [*(BEND * (1 - np.cos(bend))), *np.linspace(BEND, depth, rise)[1:]]
    offset, height = np.array(offset), np.array(height)
    offset = offset + np.sin(np.radians(lean)) * height
    inward = np.zeros((len(at), len(height)))
    for s in flutes:
        inward += 0.034 * np.exp(-(((at - s) / 0.034) ** 2))[:, None] * (height / depth)
    for s in dents:
        shape = np.exp(-(((at - s) / 0.13) ** 2))[:, None]
        crease = 0.03 * np.exp(-(((at - s - 0.05) / 0.035) ** 2))[:, None]
        inward += (0.12 * shape - crease) * (height / depth) ** 1.5
    if dimpled:
        for s in rivets:
            away = np.hypot((at - s)[:, None], height - depth * 0.58)
            inward += 0.03 * np.clip((0.05 - away) / 0.032, 0, 1)
    grid = np.empty((len(at), len(height), 3))
    reach = offset[None, :] - inward
    grid[..., :2] = line[:, None] + out[:, None] * reach[..., None]
    drop = np.where(inward > 0.05, (inward - 0.05) * 0.35, 0)
    grid[..., 2] = height + SHEET / 2 - drop
    made = sheet(grid, SHEET, metal)
    if len(rivets):
        near = np.clip(np.searchsorted(at, rivets), 1, len(at) - 2)
        middle = line[near] + out[near] * (BEND + np.sin(np.radians(lean)) * depth * 0.58)
        places = np.c_[middle, np.full(len(near), depth * 0.58)]
        normals = np.c_[out[near], np.zeros(len(near))]
        surface = places + normals * SHEET / 2
        if rivet_kind == "hole":
            made += hole_marks(places, normals)
        elif rivet_kind == "dimple":
            pit = places - normals * 0.03
            made += hole_marks(pit, normals, 0.017)
        elif rivet_kind == "rivet":
            made += domes(surface, normals) + shop_heads(places - normals * SHEET / 2, -normals)
    return made


def dimples(places: Array, normals: Array, radius: float = 0.034, metal: str = "bare") -> Part:
    """Dimples seen from the dished face: a bright cone down to a dark hole."""
    dish = revolve([(radius * 1.3, 0.0015), (radius, 0.003), (radius * 0.5, 0.001)], metal, 20)
    pit = revolve([(radius * 0.52, 0.0022), (1e-5, 0.0022)], "hole", 16)
    back = revolve([(radius * 0.55, -0.032), (radius * 1.1, -SHEET)], metal, 16)
    return scattered(dish + pit + back, places, normals)


def pitches(length: float, pitch: float, margin: float) -> Array:
    """Distances (n,) along an edge about `pitch` apart, `margin` in from either end."""
    if length <= 2 * margin:
        return np.array([])
    return np.linspace(margin, length - margin, max(2, round((length - 2 * margin) / pitch) + 1))


def flanged_plate(
    outline: Array,
    edges: Sequence[Array],
    *,
    holes: Sequence[tuple[float, float, float]] = (),
    lips: float = 1,
    metal: str = "bare",
    depth: float = 0.17,
    fluted: Sequence[bool] = (),
    dents: Sequence[Sequence[float]] = (),
    rivet_kind: str = "hole",
    pitch: float = 0.27,
) -> Part:
    """Make a web with lightening holes (x, y, radius) and a flange along each of `edges`."""
    made = plate(outline, SHEET, metal, [circle(x, y, r + 0.045, 40) for x, y, r in holes])
    made += joined([lightening_lip(x, y, r, metal, lips) for x, y, r in holes])
    for k, edge in enumerate(edges):
        path = trimmed(edge, 0.06)
        length = resampled(path, 0.02)[1][-1]
        rivets = pitches(length, pitch, 0.1)
        flutes = (rivets[1:] + rivets[:-1]) / 2 if k < len(fluted) and fluted[k] else ()
        made += flange(
            path,
            depth=depth,
            metal=metal,
            flutes=flutes,
            rivets=rivets,
            rivet_kind=rivet_kind,
            dents=dents[k] if k < len(dents) else (),
        )
    return made


def trimmed(path: Array, margin: float) -> Array:
    """Cut `margin` from either end of a path (n, 2)."""
    line, at = resampled(np.asarray(path, dtype=float), 0.01)
    return line[(at >= margin) & (at <= at[-1] - margin)]


def rib(
    length: float,
    front: float,
    rear: float,
    *,
    crown: float = 0.06,
    holes: int = 2,
    metal: str = "bare",
    dented: bool = False,
    rivet_kind: str = "hole",
    fluted: bool = True,
    depth: float = 0.17,
) -> Part:
    """Make a rib between two spars: `length` along x, `front` and `rear` deep, edges crowned."""
    x = np.linspace(0, length, 24)
    half = np.interp(x, [0, length], [front / 2, rear / 2])
    half = half + crown * 4 * (x / length) * (1 - x / length)
    lower, upper = np.stack([x, -half], axis=1), np.stack([x, half], axis=1)[::-1]
    edges = [lower, np.array([lower[-1], upper[0]]), upper, np.array([upper[-1], lower[0]])]
    spots = []
    for k in range(holes):
        at = length * (k + 0.5) / holes + (0.02 * length if holes > 1 else 0)
        radius = min(np.interp(at, x, half) * 0.56, length / holes * 0.36)
        spots.append((at, 0.0, radius))
    return flanged_plate(
        np.concatenate([lower, upper]),
        edges,
        holes=spots,
        metal=metal,
        fluted=(fluted, False, fluted),
        dents=((), (), (length * 0.45,)) if dented else (),
        rivet_kind=rivet_kind,
        depth=depth,
    )


def nose_rib(
    length: float,
    height: float,
    *,
    metal: str = "bare",
    depth: float = 0.17,
    rivet_kind: str = "hole",
) -> Part:
    """Make a nose rib: round nose at -x, tab at x = 0, a flange above, below and behind."""
    angle = np.radians(np.linspace(90, 270, 41))
    x = length * np.cos(angle)
    y = height / 2 * np.sign(np.sin(angle)) * np.abs(np.sin(angle)) ** 0.85
    outline = np.stack([x, y], axis=1)
    upper, lower = outline[:16], outline[25:]
    rear = np.array([[0.0, -height / 2], [0.0, height / 2]])
    return flanged_plate(
        outline,
        [upper, lower, rear],
        holes=[(-length * 0.34, 0, height * 0.24)],
        metal=metal,
        fluted=(True, True),
        depth=depth,
        rivet_kind=rivet_kind,
    )


def channel(
    length: float,
    height: float,
    *,
    end_height: float | None = None,
    depth: float = 0.2,
    metal: str = "bare",
    holes: int = 0,
    rivet_kind: str = "hole",
    web_rows: Sequence[float] = (),
) -> Part:
    """Make a spar: a channel along x, web on z = 0, flanges up; `web_rows` are x of rivet rows."""
    end = height if end_height is None else end_height
    lower = np.array([[0, -height / 2], [length, -end / 2]])
    upper = np.array([[length, end / 2], [0, height / 2]])
    spots = []
    for k in range(holes):
        at = length * (k + 0.5) / holes
        spots.append((at, 0.0, np.interp(at, [0, length], [height, end]) * 0.27))
    made = flanged_plate(
        np.concatenate([lower, upper]),
        [lower, upper],
        holes=spots,
        metal=metal,
        depth=depth,
        rivet_kind=rivet_kind,
        pitch=0.3,
    )
    for x in web_rows:
        high = np.interp(x, [0, length], [height, end]) / 2 - 0.1
        rows = np.stack(
            [[x, y, SHEET / 2] for y in np.linspace(-high, high, max(3, int(high * 8)))]
        )
        made += hole_marks(rows, np.array([0, 0, 1.0]))
    return made


def angle_section(
    length: float,
    *,
    width: float = 0.2,
    metal: str = "bare",
    taper: float = 0.0,
    pitch: float = 0.25,
    marks: bool = True,
    thickness: float = SHEET,
) -> Part:
    """Make an L stiffener along x: one leg flat on z = 0 towards +y, one standing; ends tapered."""
    flat = np.array(
        [[0, BEND], [length, BEND], [length - taper * 0.4, width], [taper * 0.4, width]]
    )
    stand = [(0.0, BEND), (length, BEND), (length - taper, width), (taper, width)]
    made = plate(flat, thickness, metal)
    up = plate(np.array(stand), thickness, metal).turned(x=90).at(y=thickness / 2)
    t = np.radians(np.linspace(0, 90, 5))
    bend = np.stack([BEND * (1 - np.sin(t)), BEND * (1 - np.cos(t))], axis=1)
    grid = np.array([[[x, y, z + thickness / 2] for y, z in bend] for x in (0.0, length)])
    made += up + sheet(grid, thickness, metal)
    if marks:
        xs = pitches(length, pitch, taper * 0.5 + 0.09)
        rows = np.c_[xs, np.full((len(xs), 2), (width * 0.58, thickness / 2))]
        made += hole_marks(rows, np.array([0, 0, 1.0]), depth=thickness)
    return made


def hinge_bracket(metal: str = "bare", reach: float = 0.5) -> Part:
    """Make a hinge bracket: a foot on z = 0, two lugs along +z, a bearing in them."""
    foot = plate(rounded(-0.3, -0.26, 0.3, 0.26, 0.06), 0.032, metal)
    spots = np.array([[x, y, 0.016] for x in (-0.21, 0.21) for y in (-0.17, 0.17)])
    foot += hole_marks(spots, np.array([0, 0, 1.0]), 0.022, 0.032)
    top = np.radians(np.linspace(0, 180, 17))
    head = np.stack([0.13 * np.cos(top), reach + 0.13 * np.sin(top)], axis=1)
    outline = np.concatenate([[[-0.2, 0.0], [0.2, 0.0]], head])
    lug = plate(outline, 0.032, metal, [circle(0, reach, 0.075)])
    lug = lug.turned(x=90)
    lugs = lug.at(y=0.1) + lug.at(y=-0.068)
    ring = revolve(
        [
            (0.03, 0.0),
            (0.075, 0.0),
            (0.08, 0.01),
            (0.08, 0.09),
            (0.075, 0.1),
            (0.03, 0.1),
            (0.03, 0.0),
        ],
        "steel",
    )
    ring += revolve([(0.046, 0.103), (0.06, 0.103)], "seam")
    return foot + lugs + ring.turned(x=90).at(y=0.05, z=reach)
