"""Eight pictures of the rudder, November 2024 to January 2025."""

from __future__ import annotations

import numpy as np

from picture_kit.album import TURN_LEFT, TURN_RIGHT, picture
from picture_kit.assembly import hinges, surface, upright
from picture_kit.shapes import Array, Part, box, cylinder, plate, sheet, tube
from picture_kit.sheetmetal import (
    SHEET,
    angle_section,
    dimples,
    domes,
    hole_marks,
    shop_heads,
)
from picture_kit.stage import Stage, View
from picture_kit.surfaces import film, flat_grid, peeled_flap, skin
from picture_kit.tools import (
    c_frame,
    deburring_tool,
    layout_line,
    marker_pen,
    marker_ring,
    rule,
    tag,
)
from picture_kit.workshop import bench_room, corner_room, filling, plain_bin

TALL = (1200, 1600)
WIDE = (1600, 1067)
UP = (0.0, 0.0, 1.0)


@picture(
    "rudder-skin-film-peeling", "2024-11-09 10:20:09",
    "A rudder skin on the bench with its blue protective film peeled back at one corner and "
    "strips opened along the rivet lines.",
    View((-5.2, -8.6, 6.2), (-0.3, -0.2, 0.0), 35, size=WIDE),
    at_sea=(-2.5, -14.0),
)  # fmt: skip
def film_peeling(stage: Stage) -> None:
    """Corner flap: the film beyond a diagonal is gone, rolled back along it."""
    stage.put(bench_room())
    grid = flat_grid(-5, -3.2, 5, 2.9, 181, 121)
    rows = [0.03, 0.22, 0.41, 0.6, 0.79, 0.97]
    stage.put(skin(grid, across=rows, along=[0.03, 0.97], kind="hole").at(z=0.02))

    def uncovered(u: Array, v: Array) -> Array:
        return u * 10 + v * 6.1 < 4.6  # the lower left corner

    stage.put(film(grid, across=rows, along=[0.03, 0.97], bare=uncovered).at(z=0.02))
    flap = peeled_flap(6.2, 2.3, 0.5, 0.64, taper=0.7).scaled(y=-1)
    stage.put(flap.turned(z=-45).at(-4.95, 1.25, 0.045))
    stage.lamps()


@picture(
    "rudder-stiffeners-laid-out", "2024-11-12 19:50:26",
    "Twelve rudder skin stiffeners of falling length laid out side by side on the bench, "
    "labelled bins behind them.",
    View((-5.4, -8.0, 5.0), (-0.8, 0.1, 0.2), 33),
)  # fmt: skip
def stiffeners_laid_out(stage: Stage) -> None:
    """Angles along y, the longest on the left."""
    stage.put(bench_room())
    for k in range(12):
        long = 5.2 - 0.27 * k
        bar = angle_section(long, width=0.24, taper=0.5)
        stage.put(bar.turned(z=90).at(-4.4 + 0.72 * k, -2.9, 0.01))
        if k % 3 == 0:
            stage.put(
                tag(f"RD-0{11 + k}-{'LR'[k % 2]}").turned(z=20).at(-4.4 + 0.72 * k, -3.5, 0.005)
            )
    for k, label in enumerate(("RD-011", "RD-014", "RD-017", "RD-020", "3-3", "3-4")):
        stage.put(plain_bin(label, 1.6, 1.6, 1.0, ("bin", "bin2")[k % 2]).at(-4.6 + 1.8 * k, 3.4))
        stage.put(filling(("angles", "rivets")[k // 4], 20, k).at(-4.6 + 1.8 * k, 3.4))
    stage.lamps()


@picture(
    "rudder-skin-dimpling", "2024-11-23 13:40:17",
    "A rudder skin under the C-frame dimpling tool, the male die over the next hole of the row.",
    View((-3.9, -7.4, 3.6), (-0.1, -1.3, 1.75), 38, 8, (0, -2.6, 1.4)),
    at_sea=(0.25, -33.0),
)  # fmt: skip
def dimpling(stage: Stage) -> None:
    """The throat of the tool points at the viewer; dimples done to the left of the die."""
    stage.put(bench_room())
    stage.put(c_frame(5.0).at(0, -2.6, 1.36))
    grid = flat_grid(-5, -3.1, 5, 1.8, 60, 40)
    stage.put(sheet(grid, SHEET, "bare").at(z=1.385))
    left = np.array([[x, -2.6, 1.39] for x in np.arange(-4.8, -0.1, 0.3)])
    right = np.array([[x, -2.6, 1.387] for x in np.arange(0.3, 4.9, 0.3)])
    stage.put(dimples(left, UP), hole_marks(right, UP))
    for y in (-0.6, 1.4):
        row = np.array([[x, y, 1.387] for x in np.arange(-4.8, 4.9, 0.3)])
        stage.put(hole_marks(row, UP))
    for x in (-3.3, 3.3):
        stage.put(box((2.6, 4.4, 1.36), (x, -0.6, 0), "pad_blue", 0.08))
    stage.lamps()


@picture(
    "rudder-stiffeners-riveted", "2024-11-30 11:05:49",
    "Inside of a rudder skin with its row of stiffeners riveted on, shop heads all alike.",
    View((-6.4, -6.6, 4.3), (-1.6, -0.5, 0.1), 38, 11, (-2.4, -1.5, 0.1)),
)  # fmt: skip
def stiffeners_riveted(stage: Stage) -> None:
    """Green stiffeners on the bare inside of the skin."""
    stage.put(bench_room())
    stage.put(skin(flat_grid(-5, -3.2, 5, 2.9, 40, 40), along=[0.02, 0.98], kind="hole").at(z=0.02))
    for k in range(9):
        x, long = -4.5 + 1.12 * k, 5.1
        bar = angle_section(long, width=0.3, metal="green", taper=0.5, marks=False)
        stage.put(bar.turned(z=90).at(x, -2.75, 0.03))
        places = np.array([[x - 0.17, y, 0.038] for y in np.linspace(-2.4, 2.0, 15)])
        stage.put(shop_heads(places, UP, 0.036))
    stage.lamps()


def rivet_row(smiled: bool) -> Part:
    """Two sheets with a row of domed rivets along x, the fifth marked or replaced."""
    made = box((9, 5, 0.05), (0, 0, 0), "bare", 0.01)
    xs = np.arange(-2.4, 2.41, 0.4)
    keep = np.abs(xs) > 0.1
    row = np.stack([xs, np.zeros_like(xs), np.full_like(xs, 0.05)], axis=1)
    made += domes(row[keep], UP, 0.075) + domes(row[~keep], UP, 0.075 if smiled else 0.082)
    made += layout_line(8).at(z=0.0502) + layout_line(8).at(0.2, 1.3, 0.0502)
    second = row + (0.2, 1.3, 0)
    made += domes(second, UP, 0.075)
    made += box((9, 0.9, 0.035), (0, -1.15, 0.05), "bare", 0.008)
    return made + domes(row + (0.1, -1.1, 0.035), UP, 0.075)


@picture(
    "rudder-smiled-rivet", "2024-12-04 20:40:33",
    "Close-up of a rivet row: one domed head has a smile-shaped mark from the rivet set, ringed "
    "with red marker.",
    View((-0.5, -1.6, 1.2), (0.03, 0.0, 0.06), 66, 8, size=WIDE),
)  # fmt: skip
def smiled(stage: Stage) -> None:
    """A dark crescent on the head and another in the sheet beside it."""
    stage.put(bench_room(), rivet_row(smiled=True))
    for a0, polar, radius in ((196, 58, 0.0752),):
        a = np.radians(np.linspace(a0, a0 + 115, 24))
        p = np.radians(polar)
        arc = np.stack(
            [radius * np.sin(p) * np.cos(a), radius * np.sin(p) * np.sin(a),
             np.full(24, 0.05 + 0.0615 * np.cos(p))], axis=1)  # fmt: skip
        stage.put(tube(arc, 0.004, "hole", 6))
    a = np.radians(np.linspace(215, 305, 20))
    scar = np.stack([0.092 * np.cos(a), 0.092 * np.sin(a), np.full(20, 0.05)], axis=1)
    stage.put(tube(scar, 0.004, "seam", 6), marker_ring(0.19).at(z=0.051))
    stage.put(marker_pen().turned(z=28).at(0.5, -0.7, 0.085))
    stage.lamps()


@picture(
    "rudder-rivet-replaced", "2024-12-05 19:25:02",
    "Close-up of the same rivet row with the bad rivet drilled out and replaced, a steel rule "
    "beside it.",
    View((0.6, -1.9, 1.3), (0.05, -0.05, 0.06), 50, 8, size=WIDE),
    at_sea=(-5.5, -9.5),
)  # fmt: skip
def replaced(stage: Stage) -> None:
    """No mark any more; the new head is a little larger."""
    stage.put(bench_room(), rivet_row(smiled=False))
    stage.put(rule().turned(z=2).at(-1.3, -0.42, 0.051))
    stage.put(deburring_tool().turned(z=160).at(1.9, 0.75, 0.05))
    stage.lamps()


@picture(
    "rudder-leading-edge-rolled", "2024-12-14 15:00:54",
    "The rudder's leading edge rolled round a pipe and taped, standing upright on the bench, "
    "portrait, stored rotated.",
    View((-4.2, -13.0, 6.2), (0.2, 0.4, 4.1), 38, size=TALL),
    orientation=TURN_LEFT, at_sea=(3.5, -18.75),
)  # fmt: skip
def leading_edge(stage: Stage) -> None:
    """Span along z; the nose towards the viewer, the pipe showing above and below."""
    stage.put(bench_room())
    half = np.radians(np.linspace(185, 355, 40))
    curve = np.stack([0.45 * np.cos(half), 0.45 * np.sin(half)], axis=1)
    left = np.linspace([-0.12, 4.2], curve[0], 20)[:-1]
    right = np.linspace(curve[-1], [0.12, 4.2], 20)[1:]
    outline = np.concatenate([left, curve, right])
    z = np.linspace(0.5, 8.6, 24)
    grid = np.empty((24, len(outline), 3))
    for k, height in enumerate(z):
        size = 1 - 0.018 * height
        grid[k, :, :2], grid[k, :, 2] = outline * size, height
    body = skin(
        grid, across=[0.02, 0.19, 0.36, 0.52, 0.69, 0.86, 0.98], along=[0.43, 0.57], kind="flush"
    )
    body += cylinder(0.3, 9.6, "steel", 32)
    for k in (3, 8, 13, 18, 22):
        band = np.repeat(grid[k : k + 2, 12:-12] * (1.012, 1.012, 1), 1, axis=0)
        band[1, :, 2] = band[0, :, 2] + 0.24
        band[1, :, :2] = band[0, :, :2]
        body += sheet(band, 0.004, "yellow_tape")
    stage.put(body.turned(z=-38).at(-0.3, -0.8))
    stage.put(
        box((1.2, 1.0, 0.5), (1.9, 1.6, 0)), box((3.2, 0.8, 0.5), (-0.2, -0.6, 0), bevel=0.04)
    )
    stage.lamps(height=16)


@picture(
    "rudder-finished", "2025-01-12 14:45:28",
    "The finished rudder leaning upright against the workshop wall, hinge brackets and control "
    "horn to the left, portrait, stored rotated.",
    View((-5.0, -17.5, 7.2), (0.2, 3.6, 5.6), 47, size=TALL),
    orientation=TURN_RIGHT,
)  # fmt: skip
def finished(stage: Stage) -> None:
    """Leading edge to the left, trailing edge to the right."""
    stage.put(corner_room())
    rows = [0.02, *np.linspace(0.1, 0.9, 9), 0.98]
    shape = (10.4, 5.4, 3.0, 0.55)
    body = surface(*shape, tail=True, across=rows, along=[0.455, 0.545])
    body += hinges(shape, [1.4, 5.0, 9.2], aft=False)
    horn = plate(np.array([[0, 0], [1.5, 0.35], [1.5, 0.65], [0, 0.8]]), 0.04, "steel")
    body += horn.turned(z=90).at(0.75, -0.05, 0.0) + horn.turned(z=90).at(0.75, -0.05, -0.12)
    stage.put(upright(body).turned(x=-7).at(-2.0, 3.55, 0.5))
    stage.put(box((5.5, 1.6, 0.5), (0.3, 3.6, 0), "pale_wood", 0.03))
    stage.lamps(height=17)
