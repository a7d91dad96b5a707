"""Eight pictures of the elevators, April to August 2025."""

from __future__ import annotations

import numpy as np

from picture_kit.album import picture
from picture_kit.assembly import hinges, surface, upright
from picture_kit.shapes import Part, box, cylinder, joined, plate, rectangle, scattered, tube
from picture_kit.sheetmetal import angle_section, channel, hinge_bracket, hole_marks, rib
from picture_kit.stage import Stage, View
from picture_kit.surfaces import film, flat_grid, loft, skin, wedge
from picture_kit.tools import (
    dimple_dies,
    holder,
    plan_sheet,
    rule,
    spring_clamp,
    tag,
    tin,
)
from picture_kit.workshop import bench_room, corner_room, filling, plain_bin

WIDE = (1600, 1067)
UP = (0.0, 0.0, 1.0)


def elevator_rib(metal: str = "bare", size: float = 1.0, rivet_kind: str = "hole") -> Part:
    """Make an elevator rib: deep in front, shallow behind."""
    return rib(2.9 * size, 0.85 * size, 0.22 * size, crown=0.0, holes=2, metal=metal,
               rivet_kind=rivet_kind)  # fmt: skip


@picture(
    "elevators-parts-laid-out", "2025-04-27 10:15:50",
    "Elevator ribs, a spar and a skin with blue film laid out on the bench for the inventory, "
    "bins behind.",
    View((4.4, -9.6, 6.6), (0.2, 0.0, 0.1), 36),
)  # fmt: skip
def parts_laid_out(stage: Stage) -> None:
    """The skin on the left, ribs on the right, the spar in front."""
    stage.put(bench_room())
    grid = flat_grid(-5.6, -2.2, -0.3, 2.3, 81, 81)
    rows = [0.05, 0.28, 0.5, 0.72, 0.95]
    stage.put(skin(grid, along=rows, kind="hole").at(z=0.02), film(grid, along=rows).at(z=0.02))
    for k in range(7):
        piece = elevator_rib(size=1 - 0.03 * k).turned(z=2 * (-1) ** k)
        stage.put(piece.at(0.5 + 0.1 * k, 2.15 - 0.68 * k, 0.01))
    stage.put(channel(10.4, 0.85, end_height=0.7, holes=0).at(-5.4, -3.2, 0.01))
    stage.put(tag("EL-001", 0.24).at(5.6, -3.2, 0.005))
    stage.put(plan_sheet("SALTMARSH S-2   EL 1").turned(z=-12).at(4.3, -1.9, 0.004))
    for k, label in enumerate(("EL-006", "EL-009", "4-4", "4-5", "EL-012")):
        stage.put(plain_bin(label, 1.6, 1.5, 1.0, ("bin2", "bin")[k % 2]).at(-4.6 + 1.8 * k, 3.55))
        stage.put(filling(("angles", "rivets", "nuts")[k % 3], 20, k + 9).at(-4.6 + 1.8 * k, 3.55))
    stage.lamps()


@picture(
    "elevators-hinge-line-measured", "2025-05-15 19:55:18",
    "Three hinge brackets with their bearings on the elevator spar, a string through the hinge "
    "line and a steel rule.",
    View((-5.2, -4.6, 2.5), (-0.9, -0.2, 0.4), 36, 8, (-2.2, -0.1, 0.5)),
    at_sea=(3.25, -22.0),
)  # fmt: skip
def hinge_line(stage: Stage) -> None:
    """A taut red string runs through all three bearings."""
    stage.put(bench_room())
    stage.put(channel(10.8, 0.9, web_rows=[0.3, 3.2, 6.6, 10.4]).scaled(z=-1).at(-5.0, 0.0, 0.22))
    for x in (-3.2, 0.2, 3.6):
        stage.put(hinge_bracket().turned(z=90).at(x, 0, 0.226))
        spots = np.array([[x + a, b, 0.258] for a, b in ((-0.17, 0.21), (0.17, -0.21))])
        stage.put(scattered(holder(), spots, UP))
    stage.put(tube([(-6.5, 0, 0.726), (0, 0, 0.726), (8, 0, 0.726)], 0.014, "string", 8))
    stage.put(rule().turned(z=1.5).at(-4.1, -0.95, 0.002))
    stage.put(tag("EL-004-R", 0.2).turned(z=-12).at(0.5, -1.1, 0.005))
    stage.lamps()


@picture(
    "elevators-flange-dimpled", "2025-05-24 11:40:42",
    "Close-up of a dimpled elevator rib flange, a male and a female dimple die standing on the "
    "bench beside it.",
    View((-0.75, -2.3, 1.25), (0.05, -0.36, 0.12), 42, 8, (0.0, -0.45, 0.15)),
    at_sea=(-3.0, -12.5),
)  # fmt: skip
def flange_dimpled(stage: Stage) -> None:
    """The dished side of the dimples faces the viewer."""
    stage.put(bench_room())
    stage.put(rib(3.8, 0.9, 0.6, crown=0.0, rivet_kind="dimple", depth=0.2).at(-1.7, 0.1, 0.01))
    male, female = dimple_dies()
    stage.put(
        male.scaled(0.85, 0.85, 0.85).at(0.1, -0.78),
        female.scaled(0.85, 0.85, 0.85).at(0.62, -0.72),
    )
    stage.put(tag("EL-006-L", 0.13).turned(z=-8).at(-0.6, -0.85, 0.005))
    stage.lamps()


@picture(
    "elevators-spar-and-ribs-primed", "2025-06-08 16:25:05",
    "An elevator spar and its ribs in green primer laid on paper, one rib still bare for "
    "comparison.",
    View((-3.6, -7.6, 5.8), (-0.2, -0.2, 0.1), 34, size=WIDE),
)  # fmt: skip
def primed(stage: Stage) -> None:
    """Ribs side by side behind the spar, the bare one last."""
    stage.put(bench_room())
    stage.put(box((11.4, 7.6, 0.01), (0, -0.2, 0), "brown_paper", 0.002))
    stage.put(channel(9.6, 0.85, end_height=0.7, metal="green").at(-4.8, -2.6, 0.02))
    for k in range(7):
        metal = "bare" if k == 6 else "green"
        piece = elevator_rib(metal, 1 - 0.02 * k).turned(z=90 + 2 * (-1) ** k)
        stage.put(piece.at(-4.0 + 1.3 * k, -1.5, 0.02))
    stage.put(tin(["PRIMER", "GREEN"], 0.62, 1.35).at(-1.7, 2.7))
    stage.lamps()


@picture(
    "elevators-trailing-edge-clamped", "2025-06-21 13:05:37",
    "The elevator's trailing edge held straight between two angles by a row of spring clamps "
    "while the sealant cures.",
    View((-6.6, -7.0, 4.3), (-1.3, -1.4, 0.8), 36, size=WIDE),
)  # fmt: skip
def trailing_edge(stage: Stage) -> None:
    """The trailing edge overhangs its support, clamps out towards the viewer."""
    stage.put(bench_room())
    rows = np.linspace(0.03, 0.97, 8)
    body = surface(12, 4.2, 4.2, 0, tail=True, across=rows, along=[0.455, 0.545])
    z = 1.0
    stage.put(body.at(-6, 2.0, z))
    for s in (1, -1):
        bar = angle_section(12.4, width=0.4, marks=False, thickness=0.03).turned(z=180)
        stage.put(bar.at(6.2, -1.8, 0.03).scaled(z=s).at(z=z))
    bead = tube([(-6, -2.2, z), (0, -2.2, z), (6, -2.2, z)], 0.03, "sealant")
    stage.put(bead)
    for k in range(11):
        stage.put(
            spring_clamp(0.85, 3).turned(z=-90 + 4 * np.sin(k * 2.1)).at(-5.4 + 1.08 * k, -2.08, z)
        )
    for x in (-4, 0, 4):
        stage.put(box((0.8, 2.8, 0.55), (x, 0.6, 0)))
    stage.lamps()


@picture(
    "elevators-trim-tab-hinge", "2025-07-06 15:35:29",
    "The trim tab and its piano hinge along the port elevator's trailing edge, temporary "
    "fasteners still in.",
    View((-4.3, -5.4, 3.6), (-0.3, -1.1, 0.75), 40, 9, (-1.2, -1.2, 0.8)),
    at_sea=(-0.25, -17.5),
)  # fmt: skip
def trim_tab(stage: Stage) -> None:
    """The tab hangs open a little on its hinge."""
    stage.put(bench_room())
    z = 0.95
    outline = wedge(0.15)
    outline = np.stack([np.minimum(outline[:, 0], 0.72), outline[:, 1]], axis=1)
    body = skin(
        loft(outline, 11, 4.4, 4.4, 0, 12), across=np.linspace(0.03, 0.97, 9), along=[0.44, 0.56]
    )
    stage.put(body.turned(z=-90).at(-5.2, 2.0, z))
    y, x0, long = -1.2, -3.2, 6.0
    knuckles = joined(
        [
            cylinder(0.06, 0.19, "steel", 16).turned(y=90).at(x0 + 0.2 * k, 0, 0)
            for k in range(int(long / 0.2))
        ]
    )
    leaf = plate(rectangle(x0, 0.03, x0 + long, 0.42), 0.02, "bare")
    stage.put(knuckles.at(y=y, z=z + 0.2), leaf.at(y=y, z=z + 0.215))
    tab = skin(loft(wedge(0.3, 0.1), long, 1.25, 1.25, 0, 6), across=[0.03, 0.35, 0.65, 0.97])
    tab = tab.turned(z=-90).turned(x=10).at(x0, y - 0.06, z + 0.12)
    other = plate(rectangle(x0, -0.42, x0 + long, -0.03), 0.02, "bare").turned(x=17)
    stage.put(tab, other.at(y=y, z=z + 0.225))
    pins = np.array([[x, y + 0.24, z + 0.236] for x in np.arange(x0 + 0.2, x0 + long, 0.4)])
    stage.put(scattered(holder(), pins, UP), hole_marks(pins + (0.2, 0, 0), UP))
    out = np.array([[x, y - 0.23, z + 0.17] for x in np.arange(x0 + 0.2, x0 + long, 0.8)])
    stage.put(scattered(holder("brass"), out, (0, -0.29, 0.96)))
    stage.put(
        box((9, 1.2, 0.6), (0, 0.6, 0)), tag("EL-021", 0.2).turned(z=10).at(-2.6, -3.2, 0.005)
    )
    stage.lamps()


@picture(
    "elevators-counterweight", "2025-08-02 12:15:56",
    "The horn end of an elevator, its end skin still off, with the lead counterweight bolted to "
    "two ribs.",
    View((-5.2, -2.9, 4.2), (-0.1, 0.6, 0.6), 34, 9, (-1.2, 0.9, 0.8)),
    at_sea=(2.0, -29.75),
)  # fmt: skip
def counterweight(stage: Stage) -> None:
    """Two green ribs reach forward with the lead between their ends."""
    stage.put(bench_room())
    z = 0.75
    body = surface(
        9, 4.2, 4.2, 0, tail=True, across=[0.02, 0.16, 0.32, 0.48, 0.64, 0.8], along=[0.455, 0.545]
    )
    stage.put(body.at(-0.2, 1.0, z))
    for x in (-1.7, -0.32):
        horn = (
            rib(5.2, 0.62, 0.3, crown=0.02, holes=3, metal="green")
            .turned(z=-90)
            .turned(y=-90 if x < -1 else 90)
        )
        stage.put(horn.at(x, 2.7, z))
    stage.put(channel(1.4, 0.6, metal="green").turned(x=90).at(-1.72, 0.9, z))
    stage.put(box((1.28, 1.0, 0.5), (-1.01, 2.15, z - 0.25), "lead", 0.06))
    for y in (1.85, 2.4):
        bolt = cylinder(0.09, 0.09, "steel", 6) + cylinder(0.045, 0.2, "steel", 12)
        stage.put(bolt.turned(y=-90).at(-1.715, y, z))
        stage.put(cylinder(0.12, 0.02, "brass", 24).turned(y=-90).at(-1.705, y, z))
    stage.put(box((0.7, 4, 0.42), (1.5, -0.6, 0)), box((0.7, 4, 0.42), (-1.0, -0.6, 0)))
    stage.put(tag("EL-030", 0.2).turned(z=-20).at(-2.7, -0.5, 0.005))
    stage.lamps()


@picture(
    "elevators-pair-finished", "2025-08-10 17:20:11",
    "The port and starboard elevators finished, standing side by side against the workshop wall.",
    View((-2.6, -17.5, 7.0), (0.6, 3.5, 4.7), 42),
)  # fmt: skip
def pair_finished(stage: Stage) -> None:
    """Mirror images, trailing edges together in the middle."""
    stage.put(corner_room())
    shape = (9.0, 4.4, 3.2, 0.0)
    rows = [0.02, *np.linspace(0.13, 0.87, 7), 0.98]
    body = surface(*shape, tail=True, across=rows, along=[0.455, 0.545])
    body += hinges(shape, [1.6, 4.6, 7.9], aft=False)
    one = upright(body).turned(x=-7)
    stage.put(one.at(-4.4, 3.65, 0.5), one.scaled(x=-1).at(5.0, 3.65, 0.5))
    stage.put(box((11.5, 1.5, 0.5), (0.3, 3.7, 0), "pale_wood", 0.03))
    stage.lamps(height=17)
