"""The workshop round the work: bench, wall, floor, shelf, bins, trestles and the fuselage jig."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from picture_kit.lettering import lettering
from picture_kit.shapes import Part, box, cylinder, joined, plate, revolve, rounded, tube
from picture_kit.tools import spring_clamp, straight_edge

if TYPE_CHECKING:
    from collections.abc import Sequence

WALL_Y = 5.2
FLOOR_Z = -9.0


def bench(length: float = 24, depth: float = 9) -> Part:
    """Make the bench: its top of boards along x is z = 0, on a frame with legs and a shelf."""
    boards = 6
    wide = depth / boards
    made = joined(
        [
            box(
                (length, wide - 0.015, 0.45),
                (0, -depth / 2 + wide * (k + 0.5), -0.45),
                "wood",
                0.012,
            )
            for k in range(boards)
        ]
    )
    for x in (-length / 2 + 0.6, 0, length / 2 - 0.6):
        for y in (-depth / 2 + 0.5, depth / 2 - 0.5):
            made += box((0.9, 0.7, -FLOOR_Z - 0.45), (x, y, FLOOR_Z), "pale_wood", 0.03)
    made += box((length - 0.6, 0.35, 0.9), (0, -depth / 2 + 0.4, -1.35), "pale_wood", 0.03)
    return made + box((length - 0.6, depth - 1, 0.2), (0, 0, -6.5), "pale_wood", 0.02)


def pegboard(x0: float, x1: float, z0: float, z1: float) -> Part:
    """Make a board on the wall, hung with clamps, a hose, straight edges and a square."""
    board = plate(rounded(x0, z0, x1, z1, 0.1), 0.1, "pegboard").turned(x=90).at(y=WALL_Y)
    front = WALL_Y - 0.12
    rail = box((5.2, 0.12, 0.3), (x0 + 3.2, front - 0.05, z0 + 2.6), "pale_wood", 0.02)
    row = joined(
        [
            spring_clamp(0.85).turned(y=90).at(x0 + 0.9 + k * 0.92, front - 0.1, z0 + 2.75)
            for k in range(6)
        ]
    )
    loops = [
        [(1.1 - 0.05 * k) * np.cos(a), -0.1 - 0.09 * k, (1.15 - 0.05 * k) * np.sin(a)]
        for k in range(4)
        for a in np.linspace(0, 2 * np.pi, 40, endpoint=False)
    ]
    hose = tube(loops, 0.085, "hose").at(x0 + 9.0, front, z0 + 2.2)
    edges = straight_edge(5, 0.42).turned(y=90).at(x1 - 2.6, front, z1 - 0.3)
    edges += straight_edge(3.4, 0.3).turned(y=90).at(x1 - 1.9, front, z1 - 0.3)
    square = box((0.25, 0.06, 2.2), (x1 - 1.1, front, z0 + 1.5), "steel") + box(
        (1.3, 0.12, 0.25), (x1 - 0.65, front, z0 + 1.5), "handle_wood"
    )
    return board + rail + row + hose + edges + square


def plain_bin(
    label: str, width: float = 1.5, depth: float = 1.8, height: float = 1.0, colour: str = "bin"
) -> Part:
    """Make an open-fronted storage bin facing -y, its number on a paper label."""
    t = 0.05
    made = box((width, depth, t), (0, 0, 0), colour, 0.015)
    made += box((width, t, height), (0, depth / 2 - t / 2, 0), colour, 0.015)
    made += box((width, t, height * 0.55), (0, -depth / 2 + t / 2, 0), colour, 0.015)
    side = np.array(
        [
            [-depth / 2, 0],
            [depth / 2, 0],
            [depth / 2, height],
            [-depth / 6, height],
            [-depth / 2, height * 0.55],
        ]
    )
    cheek = plate(side, t, colour).turned(x=90).turned(z=90)
    made += cheek.at(x=width / 2 - t) + cheek.at(x=-width / 2)
    card = plate(rounded(-width * 0.42, -0.17, width * 0.42, 0.17, 0.02), 0.006, "label")
    size = min(0.27, width * 0.84 / max(len(label), 1) * 1.5)
    card += lettering(label, size, "ink", centred=True).at(y=-size * 0.34, z=0.0065)
    return made + card.turned(x=90).at(y=-depth / 2 - 0.003, z=height * 0.28)


def filling(kind: str, count: int, seed: int, width: float = 1.3, depth: float = 1.4) -> Part:
    """Fill a bin with a loose heap of rivets, nuts or small angles."""
    draw = np.random.default_rng(seed)
    if kind == "rivets":
        piece = cylinder(0.028, 0.11, "rivet", 8) + revolve(
            [(0.055, 0.11), (0.05, 0.13), (0.03, 0.15), (1e-5, 0.155)], "rivet", 10
        )
    elif kind == "nuts":
        piece = revolve([(0.06, 0), (0.12, 0), (0.12, 0.1), (0.06, 0.1), (0.06, 0)], "brass", 6)
    else:
        piece = box((0.55, 0.3, 0.03), (0, 0, 0), "bare", 0.005) + box(
            (0.55, 0.03, 0.3), (0, 0.15, 0), "bare", 0.005
        )
    made = []
    for k in range(count):
        lift = 0.06 + 0.5 * (k / count) ** 1.2
        room = 1 - 0.55 * k / count
        x = draw.uniform(-width / 2, width / 2) * room
        y = draw.uniform(-depth / 2, depth / 2) * room
        a, b, c = draw.uniform(1, 180, 3)
        made.append(piece.turned(x=a, y=b * 0.5, z=c).at(x, y, lift))
    return joined(made)


def bin_shelf(
    labels: Sequence[str], x0: float, z: float, colours: Sequence[str] = ("bin", "bin2")
) -> Part:
    """Make a shelf on the wall at height z with a row of bins on it from x0."""
    pitch = 1.75
    long = pitch * len(labels) + 0.3
    made = box((long, 2.2, 0.2), (x0 + long / 2, WALL_Y - 1.1, z - 0.2), "pale_wood", 0.02)
    for k, label in enumerate(labels):
        part = plain_bin(label, colour=colours[k % len(colours)])
        part += filling(("rivets", "angles", "nuts")[k % 3], 26, k)
        made += part.at(x0 + pitch * (k + 0.6), WALL_Y - 1.2, z)
    return made


def bench_room(*, window: bool = True) -> Part:
    """Make the bench with the wall behind it: shelves of bins, board with tools, a window."""
    made = bench()
    made += box((70, 0.3, 34), (0, WALL_Y + 0.15, FLOOR_Z), "wall", 0.01)
    made += box((0.3, 60, 34), (-26, -20, FLOOR_Z), "wall", 0.01)
    made += box((0.3, 60, 34), (31, -20, FLOOR_Z), "wall", 0.01)
    made += box((70, 60, 0.3), (0, -20, FLOOR_Z - 0.3), "floor", 0.01)
    made += pegboard(-1.5, 12.5, 1.2, 7.8)
    made += bin_shelf(["FN-001", "FN-004", "RD-002", "ST-014", "EL-006"], -11.8, 3.0)
    made += bin_shelf(["3-3", "3-4", "4-4", "4-5", "AF-012"], -11.8, 5.6, ("bin2", "bin"))
    if window:
        made += window_in_wall(17, 3.5)
    return made


def window_in_wall(x: float, z: float) -> Part:
    """Make a window with four panes on the back wall; the panes shine with the hour's light."""
    made = box((6.4, 0.1, 5.4), (x, WALL_Y - 0.03, z - 0.2), "pane", 0.01)
    for dx in (-3.2, 0, 3.2):
        made += box((0.35, 0.3, 5.8), (x + dx, WALL_Y - 0.1, z - 0.4), "white_paint", 0.03)
    for dz in (-0.4, 2.35, 5.1):
        made += box((6.7, 0.3, 0.35), (x, WALL_Y - 0.1, z + dz), "white_paint", 0.03)
    return made + box((7.4, 0.8, 0.2), (x, WALL_Y - 0.3, z - 0.55), "white_paint", 0.03)


def floor_room() -> Part:
    """Make the garage floor at z = 0: bench, board and shelves on the back wall, door, window."""
    back = 22
    made = box((110, 90, 0.3), (0, -18, -0.3), "floor", 0.01)
    made += box((110, 0.4, 34), (0, back, 0), "wall", 0.01)
    made += box((0.4, 90, 34), (-34, -18, 0), "wall", 0.01)
    made += box((0.4, 90, 34), (44, -18, 0), "wall", 0.01)
    made += box((109, 0.5, 0.8), (0, back - 0.3, 0), "white_paint", 0.05)
    made += box((0.5, 89, 0.8), (43.7, -18, 0), "white_paint", 0.05)
    made += bench(22, 7).at(13, back - 4, 9) + tin_row().at(13, back - 3, 9)
    made += pegboard(-1.5, 12.5, 1.2, 7.8).at(12, back - WALL_Y - 0.2, 9.8)
    labels = ["AF-001", "AF-003", "AF-005", "AF-012", "AF-015"]
    made += bin_shelf(labels, 0.0, 13.5, ("bin", "bin2")).at(y=back - WALL_Y - 0.2)
    made += bin_shelf(labels[::-1], 0.0, 16.5, ("bin2", "bin")).at(y=back - WALL_Y - 0.2)
    made += rack().at(-12, back - 2.2, 0)
    for k in range(6):
        made += box((0.3, 20, 3.3), (43.6, -4, 0.9 + 3.4 * k), "white_paint", 0.15)
    return made + window_in_wall(33, 3.5).at(y=back - WALL_Y - 0.2, z=9)


def rack() -> Part:
    """Make an open rack along x with boxes, tins and a roll of film on its boards."""
    made = Part()
    for x in (-5.5, 5.5):
        for y in (-1.4, 1.4):
            made += box((0.35, 0.35, 17), (x, y, 0), "dark_steel", 0.03)
    for z in (1.0, 5.5, 10.0, 14.5):
        made += box((11.2, 3.2, 0.25), (0, 0, z), "pale_wood", 0.03)
    boxes = (
        (-3.8, 1.25, 3, 2.6), (0.2, 1.25, 3.6, 2.2), (3.9, 1.25, 2.4, 3.0),
        (-3.4, 5.75, 3.4, 2.4), (2.6, 10.25, 4.2, 2.0), (-3.6, 14.75, 3, 1.8),
    )  # fmt: skip
    for x, z, wide, high in boxes:
        made += box((wide, 2.4, high), (x, 0, z), "cardboard", 0.03)
    made += cylinder(0.75, 5, "film").turned(y=90).at(0.4, 0, 6.5)
    for k in range(4):
        made += cylinder(0.55, 1.4, "steel").at(-4.5 + 1.3 * k, -0.4, 10.25)
    return made


def tin_row() -> Part:
    """Set out a few closed boxes and a crate, for a lived-in bench."""
    made = box((2.4, 1.6, 1.4), (-5, 0, 0), "cardboard", 0.02)
    made += box((2.0, 1.4, 1.0), (-4.9, 0.1, 1.4), "cardboard", 0.02)
    made += box((1.4, 1.2, 2.0), (4.2, 0, 0), "tool_body", 0.08)
    return made + cylinder(0.6, 1.5, "steel").at(x=0.5) + cylinder(0.6, 1.5, "white_paint").at(x=2)


def trestle(height: float = 8, width: float = 9) -> Part:
    """Make a padded trestle across y, its pad's top at `height`."""
    made = box((0.6, width, 0.9), (0, 0, height - 1.2), "pale_wood", 0.03)
    made += box((0.75, width * 0.94, 0.3), (0, 0, height - 0.3), "pad_blue", 0.12)
    for y in (-width / 2 + 0.8, width / 2 - 0.8):
        for s in (-1, 1):
            leg = box((0.5, 0.7, height), (0, 0, -height + 0.2), "pale_wood", 0.03)
            made += leg.turned(y=14 * s).at(0, y, height - 0.9)
    return made


def jig_beam(length: float, *, top: float = 5.0) -> Part:
    """Make the jig's box beam along y from y = 0 on four legs, its top at `top`."""
    made = box((2.0, length, 1.8), (0, length / 2, top - 1.8), "pale_wood", 0.03)
    for y in (0.8, length - 0.8):
        made += box((6.0, 0.9, 0.6), (0, y, 0), "pale_wood", 0.03)
        for s in (-1, 1):
            made += box((0.8, 0.8, top - 1.8), (0.55 * s, y, 0.3), "pale_wood", 0.03)
        made += box((2.2, 0.5, 0.5), (0, y, top - 2.6), "pale_wood", 0.03)
    return made


def jig_upright(height: float, width: float, *, top: float = 5.0) -> Part:
    """Make an upright of the jig: two posts and a cross plate that a frame is clamped to."""
    made = Part()
    for s in (-1, 1):
        made += box(
            (0.45, 0.7, height - top + 1.14), (s * width / 2, 0, top - 1.2), "pale_wood", 0.03
        )
    made += box((width + 0.45, 0.4, 0.7), (0, 0.0, top), "pale_wood", 0.03)
    return made + box((width + 0.5, 0.4, 0.6), (0, 0, height - 0.6), "pale_wood", 0.03)


def corner_room() -> Part:
    """Make a bit of wall (y = 5) with its floor at z = 0, a skirting, a board and a few things."""
    made = box((70, 0.3, 34), (0, 5.15, 0), "wall", 0.01)
    made += box((0.3, 60, 34), (-22, -20, 0), "wall", 0.01)
    made += box((70, 60, 0.3), (0, -20, -0.3), "floor", 0.01)
    made += box((70, 0.25, 1.1), (0, 4.9, 0), "white_paint", 0.05)
    made += pegboard(4.2, 18, 8.2, 14.8).at(y=5 - WALL_Y)
    made += box((3.4, 2.6, 2.6), (8.6, 3.2, 0), "cardboard", 0.03)
    made += box((2.8, 2.2, 1.8), (8.9, 3.3, 2.6), "cardboard", 0.03)
    made += trestle(6.5, 4.5).turned(z=90).at(-9.5, 3.0, 0)
    return made + trestle(6.5, 4.5).turned(z=90).at(-9.2, 4.1, 0)
