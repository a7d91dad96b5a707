"""Ten pictures of the stabiliser, January to May 2025."""

from __future__ import annotations

import numpy as np

from picture_kit.album import picture
from picture_kit.assembly import STABILISER, blocks, hinges, surface
from picture_kit.shapes import (
    Array,
    Part,
    box,
    circle,
    plate,
    rectangle,
    rounded,
    scattered,
    tube,
)
from picture_kit.sheetmetal import channel, hole_marks, nose_rib, rib
from picture_kit.stage import Stage, View
from picture_kit.tools import (
    abrasive_pad,
    arrow,
    drill,
    fluting_pliers,
    holder,
    layout_line,
    marker_pen,
    marker_ring,
    roller,
    tag,
    tape,
    tin,
)
from picture_kit.workshop import bench_room, floor_room, trestle

WIDE = (1600, 1067)
UP = (0.0, 0.0, 1.0)


def stabiliser_rib(metal: str = "bare", *, dented: bool = False) -> Part:
    """Make a rib between the stabiliser's spars."""
    return rib(3.6, 1.15, 0.8, metal=metal, dented=dented)


@picture(
    "stabiliser-spars-laid-out", "2025-01-18 10:30:15",
    "The stabiliser's front and rear spars with their centre doublers side by side on the bench, "
    "seen along their length.",
    View((-10.6, -3.6, 3.4), (-1.2, -0.35, 0.1), 34, size=WIDE),
    at_sea=(5.0, -23.5),
)  # fmt: skip
def spars_laid_out(stage: Stage) -> None:
    """Both web up, doublers held on the middle."""
    stage.put(bench_room())
    rows = [0.4, 2.8, 5.2, 10.2, 12.6, 15.0]
    for y, high in ((1.1, 1.2), (-1.5, 0.85)):
        spar = channel(15.6, high, web_rows=rows).scaled(z=-1).at(-8.2, y, 0.22)
        doubler = plate(rounded(-3, -high * 0.36, 3, high * 0.36, 0.15), 0.03, "bare")
        stage.put(spar, doubler.at(-0.4, y, 0.225))
        grid = np.array(
            [[x, y + s * high * 0.26, 0.256] for x in np.arange(-3.1, 2.4, 0.42) for s in (-1, 1)]
        )
        stage.put(
            hole_marks(grid, UP),
            scattered(holder(), grid[::4], UP),
            scattered(holder("brass"), grid[3::4], UP),
        )
    stage.put(tag("ST-001", 0.26).turned(z=-65).at(-6.0, -0.1, 0.005))
    stage.put(tag("ST-002", 0.26).turned(z=-70).at(-6.2, -2.6, 0.005))
    stage.lamps()


@picture(
    "stabiliser-nose-ribs-fluted", "2025-01-26 11:50:36",
    "A row of stabiliser nose ribs standing on the bench after fluting, the fluting pliers in "
    "front.",
    View((-3.4, -5.4, 2.9), (-0.1, -0.4, 0.55), 38, 8, (-0.6, -0.4, 0.6)),
)  # fmt: skip
def nose_ribs_fluted(stage: Stage) -> None:
    """Nose up, standing on their rear flanges."""
    stage.put(bench_room())
    for k in range(8):
        piece = nose_rib(1.55, 1.15).turned(y=90).turned(z=24)
        stage.put(piece.at(-3.0 + 0.86 * k, 0.15 + 0.1 * k, 0.035))
    stage.put(fluting_pliers().turned(z=-158).at(0.2, -1.75))
    stage.put(tag("ST-014-L", 0.2).turned(z=8).at(-2.3, -1.15, 0.005))
    stage.lamps()


@picture(
    "stabiliser-dented-flange", "2025-02-04 20:15:47",
    "A defect: the flange of a stabiliser rib is dented where a clamp slipped, an arrow of red "
    "tape points at it.",
    View((0.35, -2.9, 1.75), (0.1, -0.2, 0.12), 46, 8, (0.1, -0.4, 0.15)),
    at_sea=(-4.5, -16.25),
)  # fmt: skip
def dented_flange(stage: Stage) -> None:
    """The dented flange is the near one."""
    stage.put(bench_room())
    stage.put(stabiliser_rib(dented=True).scaled(y=-1).at(-1.9, 0.25, 0.01))
    stage.put(arrow(0.9, 0.13).turned(z=62).at(-0.05, -0.52, 0.004))
    stage.put(tag("ST-014-L-03", 0.13).turned(z=-4).at(0.85, -0.78, 0.005))
    stage.lamps()


@picture(
    "stabiliser-rib-replaced", "2025-02-15 09:55:21",
    "The dented rib, crossed with red tape and tagged SCRAP, beside its new replacement on the "
    "bench.",
    View((0.5, -5.2, 4.5), (0.25, 0.0, 0.1), 36),
)  # fmt: skip
def rib_replaced(stage: Stage) -> None:
    """The old one behind, the new one in front."""
    stage.put(bench_room())
    stage.put(stabiliser_rib(dented=True).turned(z=3).at(-2.2, 1.1, 0.01))
    for slope, z in ((26, 0.024), (-26, 0.032)):
        cross = tape([(-0.62, 0), (0.62, 0)], 0.14).turned(z=slope)
        stage.put(cross.at(-0.22, 1.22, z))
    stage.put(tag("SCRAP", 0.26).turned(z=12).at(2.15, 1.35, 0.005))
    stage.put(stabiliser_rib().turned(z=-2).at(-2.0, -0.7, 0.01))
    stage.put(tag("ST-014-L-09", 0.22).turned(z=-4).at(2.55, -0.75, 0.005))
    stage.put(abrasive_pad().turned(z=30).at(-3.9, -1.3))
    stage.lamps()


@picture(
    "stabiliser-skeleton-in-jig", "2025-02-23 16:30:08",
    "The stabiliser's skeleton of ribs and spars held level in a wooden jig on the bench.",
    View((-7.2, -11.2, 7.4), (-0.5, -0.5, 0.8), 31),
    at_sea=(-1.25, -19.0),
)  # fmt: skip
def skeleton_in_jig(stage: Stage) -> None:
    """Cross boards with posts at both ends of each carry the spars."""
    stage.put(bench_room())
    z = 1.9
    stage.put((STABILISER.part(nose=1.3) + STABILISER.holders()).at(-7.5, -2.3, z))
    stage.put(STABILISER.clamps([2.7, 10.0]).at(-7.5, -2.3, z))
    for x in (-6.3, -1.4, 1.4, 6.3):
        stage.put(box((0.5, 6.6, 0.5), (x, -0.3, 0), "pale_wood"))
        stage.put(box((0.44, 0.42, 2.0), (x + 0.01, -2.6, 0.02), "pale_wood"))
        stage.put(box((0.4, 0.3, z - 1.05), (x, 1.0, 0.5), "pale_wood"))
        stage.put(box((0.4, 0.3, z - 0.9), (x, -2.0, 0.5), "pale_wood"))
    stage.lamps()


@picture(
    "stabiliser-match-drilling-skin", "2025-03-08 13:20:40",
    "The stabiliser's upper skin in place for match drilling, temporary fasteners in every second "
    "hole, a drill lying on it.",
    View((-6.8, -8.8, 5.4), (-0.9, -1.0, 0.8), 36, size=WIDE),
    at_sea=(2.25, -7.75),
)  # fmt: skip
def match_drilling(stage: Stage) -> None:
    """A curved skin over the ribs, its holders like a hedge."""
    stage.put(bench_room())
    rows = [0.015, 0.175, 0.34, 0.5, 0.66, 0.825, 0.985]
    body = surface(
        14, 4.9, 4.9, 0, across=rows, along=[0.03, 0.3, 0.7, 0.97], kind="held", facing=0.2
    )
    stage.put(body.at(-7, 2.0, 1.3))
    stage.put(blocks([(-5, 0), (0, 0), (5, 0)], (0.6, 4.2, 0.9)))
    stage.put(drill().turned(x=-6).turned(z=32).at(-2.4, -0.35, 1.92))
    stage.lamps()


def double_drilled(x: float, y: float, radius: float, apart: float) -> Array:
    """Outline (n, 2) of two overlapping holes."""
    half = np.arccos(apart / 2 / radius)
    a = np.linspace(half, 2 * np.pi - half, 30)
    left = np.stack([x - apart / 2 + radius * np.cos(a), y + radius * np.sin(a)], axis=1)
    b = np.linspace(np.pi + half, 3 * np.pi - half, 30)
    right = np.stack([x + apart / 2 + radius * np.cos(b), y + radius * np.sin(b)], axis=1)
    return np.concatenate([left, right[1:-1]])


@picture(
    "stabiliser-figure-eight-hole", "2025-03-12 20:55:12",
    "A defect: close-up of one hole drilled twice into a figure eight in a row of round holes, "
    "ringed with red marker.",
    View((0.3, -1.7, 1.75), (0.0, 0.02, 0.0), 52, 8, size=WIDE),
)  # fmt: skip
def figure_eight(stage: Stage) -> None:
    """True holes through a sheet lying over a dark gap."""
    stage.put(bench_room())
    xs = np.arange(-2.4, 2.41, 0.4)
    holes = [circle(x, y, 0.055) for y in (0.0, 0.95) for x in xs if abs(x) > 0.1 or y]
    holes.append(double_drilled(0, 0, 0.055, 0.075))
    sheet = plate(rectangle(-4, -0.5, 4, 2.4), 0.03, "bare", holes)
    stage.put(layout_line(8, 0.1).at(z=0.2302), layout_line(8, 0.1).at(0, 0.95, 0.2302))
    stage.put(sheet.at(z=0.2), box((8, 2.7, 0.02), (0, 1.0, 0.1), "black"))
    stage.put(plate(rectangle(-4, -1.6, 4, -0.51), 0.03, "bare").at(z=0.14))
    stage.put(marker_ring(0.2).turned(z=30).at(z=0.2305))
    stage.put(marker_pen().turned(z=-24).at(0.35, 0.62, 0.23))
    stage.lamps()


@picture(
    "stabiliser-parts-primed", "2025-03-30 15:10:59",
    "Stabiliser ribs in grey primer drying on wooden sticks, a tin of primer and a roller behind.",
    View((-3.2, -7.0, 4.9), (0.1, 0.1, 0.35), 38),
)  # fmt: skip
def primed(stage: Stage) -> None:
    """Six ribs across two sticks."""
    stage.put(bench_room())
    stage.put(box((9.4, 7.4, 0.01), (0, 0, 0), "brown_paper", 0.002))
    for y in (-2.2, 0.1):
        stage.put(box((8.4, 0.22, 0.22), (0, y, 0.01), "pale_wood"))
    for k in range(6):
        stage.put(
            stabiliser_rib("grey").turned(z=-90 + 2 * (-1) ** k).at(-3.4 + 1.35 * k, 0.85, 0.24)
        )
    stage.put(tin(["PRIMER", "GREY"], 0.62, 1.35).at(1.9, 2.3))
    stage.put(roller().turned(z=70).at(-1.2, 2.3, 0.01))
    stage.lamps()


@picture(
    "stabiliser-before-closing", "2025-04-12 11:30:24",
    "View into the stabiliser's open end before closing: grey-primed ribs, lightening holes in "
    "line, both spars and the lower skin.",
    View((-9.5, -0.75, 2.05), (-3.0, -0.5, 0.95), 27),
    at_sea=(0.9, -27.5),
)  # fmt: skip
def before_closing(stage: Stage) -> None:
    """The end rib is still off, so that one looks along the bays."""
    stage.put(bench_room())
    inner = type(STABILISER)(
        15, STABILISER.stations[1:], STABILISER.chord, STABILISER.front, STABILISER.rear
    )
    body = inner.part("grey", "rivet") + STABILISER.skin("grey")
    run = np.array([[x, 0.52 * 3.6 - 0.75, 0.03 * np.sin(2 * x)] for x in np.linspace(0.2, 15, 50)])
    stage.put((body + tube(run, 0.09, "cable", 14)).at(-8.3, -2.3, 0.95))
    stage.put(blocks([(-6, -0.5), (0, -0.5), (5, -0.5)], (0.6, 4.0, 0.32)))
    stage.lamps()


@picture(
    "stabiliser-finished", "2025-05-03 14:05:33",
    "The finished stabiliser lying on two padded trestles in the workshop, bare skins with their "
    "rivet lines.",
    View((-11.5, -18.5, 15.0), (0.2, 0.6, 6.9), 40),
)  # fmt: skip
def finished(stage: Stage) -> None:
    """Rear spar towards the viewer, its hinge brackets on."""
    stage.put(floor_room())
    shape = (17.0, 5.6, 5.6, 0.0)
    rows = [0.01, 0.13, 0.25, 0.37, 0.5, 0.63, 0.75, 0.87, 0.99]
    body = surface(*shape, across=rows, along=[0.03, 0.34, 0.66, 0.97])
    body += hinges(shape, [1.5, 8.5, 15.5], aft=True)
    stage.put(body.at(-8.5, 2.2, 8.35))
    for x in (-5.2, 5.2):
        stage.put(trestle(8, 6.5).at(x, 0.4, 0))
    stage.lamps(height=22, reach=1.5, strength=3.2)
