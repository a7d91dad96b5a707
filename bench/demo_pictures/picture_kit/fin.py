"""Eight pictures of the fin, September to November 2024."""

from __future__ import annotations

import numpy as np

from picture_kit.album import TURN_LEFT, TURN_RIGHT, picture
from picture_kit.assembly import FIN, blocks, hinges, surface, upright
from picture_kit.shapes import Part, box, plate, rectangle, scattered, tube
from picture_kit.sheetmetal import channel, hinge_bracket, rib
from picture_kit.stage import Stage, View
from picture_kit.tools import (
    abrasive_pad,
    chips,
    deburring_tool,
    drill,
    holder,
    plan_sheet,
    rule,
    tag,
)
from picture_kit.workshop import bench_room

TALL = (1200, 1600)
WIDE = (1600, 1067)
UP = (0.0, 0.0, 1.0)


def fin_rib(k: int, metal: str = "bare") -> Part:
    """Make the k-th rib from the root (0 to 4)."""
    size = 1 - 0.13 * k
    return rib(4.2 * size, 1.35 * size, 0.85 * size, metal=metal, holes=3 if k < 3 else 2)


@picture(
    "fin-ribs-laid-out", "2024-09-07 10:41:07",
    "Five bare-metal fin ribs of falling size lie in order on the bench, each with a paper tag, "
    "a steel rule in front of them.",
    View((0.9, -8.4, 6.4), (0.15, -0.2, 0.1), 44),
)  # fmt: skip
def ribs_laid_out(stage: Stage) -> None:
    """From the root rib at the back to the tip rib in front."""
    stage.put(bench_room())
    y = 2.6
    for k in range(5):
        stage.put(fin_rib(k).turned(z=3 * (-1) ** k).at(-3.1 + 0.18 * k, y, 0.01))
        stage.put(
            tag(f"FN-00{k + 1}-L", 0.24).turned(z=-6 + 4 * k).at(2.2 - 0.35 * k, y - 0.1, 0.01)
        )
        y -= 1.5 - 0.13 * k
    stage.put(rule().turned(z=-2).at(-2.2, -3.55, 0.01))
    stage.put(plan_sheet("SALTMARSH S-2   FN 4").turned(z=14).at(3.3, -1.9, 0.01))
    stage.lamps()


@picture(
    "fin-rib-flange-deburred", "2024-09-12 19:34:52",
    "Close view along the flange of a bare fin rib with deburred edges, an abrasive pad and "
    "a hand deburring tool beside it.",
    View((-2.5, -2.2, 1.45), (0.0, -0.3, 0.1), 42, 5.6, (-0.9, -0.5, 0.1)),
    at_sea=(0.5, -12.25),
)  # fmt: skip
def flange_deburred(stage: Stage) -> None:
    """Low and near, the rib running away from the viewer."""
    stage.put(bench_room())
    stage.put(fin_rib(1).at(-1.9, 0.2, 0.01))
    stage.put(deburring_tool().turned(z=24).at(-0.6, -1.35))
    stage.put(abrasive_pad().turned(z=12).at(1.2, -1.4))
    stage.put(chips(34, (0.7, 0.2), 3).at(-0.5, -0.95))
    stage.lamps()


@picture(
    "fin-rib-fluted-straight-edge", "2024-09-21 11:15:20",
    "A fin rib on the bench with its fluted flange held against a steel straight edge to show "
    "that it is straight again.",
    View((1.7, -3.3, 2.6), (0.15, -0.25, 0.1), 40, 8),
    at_sea=(-3.75, -21.5),
)  # fmt: skip
def fluted(stage: Stage) -> None:
    """The straight edge lies flat, its edge against the flange."""
    stage.put(bench_room())
    stage.put(rib(4.4, 1.3, 1.3, crown=0.0, holes=3).at(-2.1, 0.22, 0.01))
    stage.put(plate(rectangle(-3.6, -0.9, 3.9, -0.465), 0.05, "rule").at(z=0.002))
    stage.put(tag("FN-002-L", 0.22).turned(z=8).at(0.3, 1.45, 0.01))
    stage.lamps()


@picture(
    "fin-skeleton-clamped", "2024-09-29 15:22:44",
    "Fin skeleton lying on the bench: ribs between front and rear spar, held with spring clamps "
    "and temporary fasteners.",
    View((-4.4, -9.4, 7.4), (-0.1, -0.45, 0.5), 36),
)  # fmt: skip
def clamped(stage: Stage) -> None:
    """On two battens, the rear spar towards the viewer."""
    stage.put(bench_room())
    body = FIN.part() + FIN.holders() + FIN.clamps([2.5, 4.7, 6.9])
    stage.put(body.at(-4.6, -2.2, 1.05))
    stage.put(blocks([(-3.5, -0.1), (3.2, -0.4)], (0.5, 6, 0.4)))
    stage.lamps()


@picture(
    "fin-spar-hinge-brackets-drilled", "2024-10-09 20:05:13",
    "The fin's rear spar on the bench with two hinge brackets held by temporary fasteners, "
    "match-drilled, a drill and chips beside it.",
    View((-3.4, -5.0, 3.5), (-0.2, -0.55, 0.2), 35, 8, (-1.4, -0.5, 0.3)),
)  # fmt: skip
def brackets_drilled(stage: Stage) -> None:
    """The spar lies web up, its flanges down."""
    stage.put(bench_room())
    rows = [0.5, 3.4, 6.3, 8.5]
    stage.put(channel(9.2, 0.95, end_height=0.7, web_rows=rows).scaled(z=-1).at(-4.4, 0.1, 0.22))
    for x in (-2.3, 0.9):
        stage.put(hinge_bracket().turned(z=90).at(x, 0.1, 0.226))
        places = np.array([[x + a, 0.1 + b, 0.258] for a, b in ((-0.17, -0.21), (0.17, 0.21))])
        stage.put(scattered(holder(), places, UP))
    stage.put(drill().turned(z=38).at(-0.3, -1.5, 0.28))
    stage.put(chips(70, (0.9, 0.25), 8).at(-1.3, -0.85))
    stage.put(tag("FN-006-R", 0.2).turned(z=-10).at(-2.9, -1.0, 0.005))
    stage.lamps()


@picture(
    "fin-parts-primed", "2024-10-19 14:31:58",
    "Fin ribs in green primer hanging from a line to dry, portrait, stored rotated.",
    View((-1.6, -9.6, 3.9), (0.0, 2.6, 3.6), 38, 0, None, TALL),
    orientation=TURN_RIGHT, at_sea=(1.125, -15.75),
)  # fmt: skip
def primed(stage: Stage) -> None:
    """Each rib on a wire, turned a little more than the last."""
    stage.put(bench_room(window=False))
    line = np.array([[x, 1.2, 6.6 + 0.012 * x * x] for x in np.linspace(-8, 8, 30)])
    stage.put(tube(line, 0.03, "string"))
    for k, x in enumerate((-2.5, -1.2, 0.15, 1.4, 2.5)):
        piece = fin_rib(k, "green").turned(y=90).turned(z=35 + 9 * k)
        top = 6.55 + 0.012 * x * x
        stage.put(
            tube([(x, 1.2, top), (x, 1.2, top - 0.5), (x, 1.2, top - 0.9)], 0.014, "steel", 6)
        )
        stage.put(piece.at(x, 1.2, top - 0.75))
    stage.put(box((9, 6, 0.01), (0, 0, 0.0), "brown_paper", 0.002))
    stage.lamps()


@picture(
    "fin-before-closing", "2024-10-27 16:10:35",
    "Inside the fin before closing: one skin on, ribs and spars in green primer riveted to it, "
    "a cable conduit running through the lightening holes.",
    View((-5.4, -5.4, 4.4), (-0.9, -0.4, 0.45), 36),
    at_sea=(-0.75, -25.0),
)  # fmt: skip
def before_closing(stage: Stage) -> None:
    """The conduit runs through the middle hole of each rib."""
    stage.put(bench_room())
    body = FIN.part("green", "rivet") + FIN.skin("green")
    xs = np.linspace(-0.3, 9.6, 50)
    middle = np.interp(xs, [0, 9.2], [0.52 * 4.5, 0.52 * 3.2])
    run = np.stack([xs, middle, 0.02 * np.sin(3 * xs)], axis=1)
    stage.put((body + tube(run, 0.11, "cable", 16)).at(-4.6, -2.2, 0.72))
    stage.lamps()


@picture(
    "fin-finished", "2024-11-03 12:25:41",
    "The finished fin, skins on and bare metal, standing on two wooden blocks on the bench, "
    "portrait, stored rotated.",
    View((-6.4, -17.5, 6.6), (0.1, 0, 4.5), 42, 0, None, TALL),
    orientation=TURN_LEFT,
)  # fmt: skip
def finished(stage: Stage) -> None:
    """Root down, leading edge to the left."""
    stage.put(bench_room())
    shape = (9.2, 6.2, 3.4, 1.9)
    body = surface(*shape, across=[0.02, 0.25, 0.48, 0.71, 0.98], along=[0.02, 0.36, 0.64, 0.98])
    body += hinges(shape, [1.2, 4.7, 8.2], aft=True)
    stage.put(upright(body).turned(z=-14).at(-2.6, 0.9, 0.6))
    stage.put(blocks([(-1.4, 0.6), (0.7, 0.1)], (0.7, 2.6, 0.6)))
    stage.lamps(height=17)
