"""Eight pictures of the fin, September to November 2024."""

from __future__ import annotations

import numpy as np

from picture_kit.album import TURN_LEFT, TURN_RIGHT, picture
from picture_kit.sheetmetal import channel, domes, hinge_bracket, hole_marks, rib, shop_heads
from picture_kit.shapes import Part, box, joined, scattered, spaced, tube
from picture_kit.stage import Stage, View
from picture_kit.surfaces import loft, section, skin
from picture_kit.tools import (
    abrasive_pad,
    chips,
    deburring_tool,
    drill,
    holder,
    plan_sheet,
    rule,
    spring_clamp,
    straight_edge,
    tag,
)
from picture_kit.workshop import bench_room

TALL = (1200, 1600)
UP = (0.0, 0.0, 1.0)


def fin_rib(k: int, metal: str = "bare", **more: object) -> Part:
    """Make the k-th rib from the root (0 to 4)."""
    scale = 1 - 0.13 * k
    return rib(4.2 * scale, 1.35 * scale, 0.85 * scale, metal=metal, holes=3 if k < 3 else 2, **more)


@picture(
    "fin-ribs-laid-out", "2024-09-07 10:41:07",
    "Five bare-metal fin ribs of falling size lie in order on the bench, each with a paper tag, "
    "a steel rule in front of them.",
    View((0.6, -8.6, 6.2), (0.2, 0.1, 0.2), 36),
)  # fmt: skip
def ribs_laid_out(stage: Stage) -> None:
    stage.put(bench_room())
    y = 2.6
    for k in range(5):
        stage.put(fin_rib(k).turned(z=3 * (-1) ** k).at(-3.1 + 0.18 * k, y, 0.01))
        stage.put(tag(f"FN-00{k + 1}-L").turned(z=-6 + 4 * k).at(2.6 - 0.35 * k, y - 0.1, 0.01))
        y -= 1.5 - 0.13 * k
    stage.put(rule().turned(z=-2).at(-2.2, -3.55, 0.01))
    stage.put(plan_sheet("SALTMARSH S-2   FN 4").turned(z=14).at(4.5, -1.6, 0.01))
    stage.lamps()


@picture(
    "fin-rib-flange-deburred", "2024-09-12 19:34:52",
    "Close view along the flange of a bare fin rib with deburred edges, an abrasive pad and "
    "a hand deburring tool beside it.",
    View((-2.3, -2.3, 1.35), (-0.1, -0.1, 0.15), 45, 5.6, (-0.6, -0.6, 0.15)),
    at_sea=(0.5, -12.25),
)  # fmt: skip
def flange_deburred(stage: Stage) -> None:
    stage.put(bench_room())
    stage.put(fin_rib(1).at(-1.9, 0.2, 0.01))
    stage.put(deburring_tool().turned(z=24).at(-0.6, -1.5))
    stage.put(abrasive_pad().turned(z=-20).at(0.9, -1.4))
    stage.put(chips(26, (0.7, 0.25), 3).at(-0.4, -1.05))
    stage.lamps()


@picture(
    "fin-rib-fluted-straight-edge", "2024-09-21 11:15:20",
    "A fin rib on the bench with its fluted flange held against a steel straight edge to show "
    "that it is straight again.",
    View((1.9, -4.3, 3.0), (0.25, -0.3, 0.1), 42, 8),
    at_sea=(-3.75, -21.5),
)  # fmt: skip
def fluted(stage: Stage) -> None:
    stage.put(bench_room())
    piece = rib(4.4, 1.3, 1.3, crown=0.0, holes=3)
    stage.put(piece.at(-2.1, 0.22, 0.01))
    stage.put(straight_edge(7.5, 0.42).at(-3.6, -0.47, 0.0))
    stage.put(tag("FN-002-L").turned(z=8).at(0.3, 1.45, 0.01))
    stage.put(spring_clamp(0.7).turned(z=62).at(3.0, 0.9, 0.36))
    stage.lamps()


def skeleton(metal: str = "bare", kind: str = "hole") -> tuple[Part, list[float]]:
    """Fin skeleton lying with its plane level: spars along y, ribs along x between them."""
    span, stations = 9.2, [0.15, 2.4, 4.6, 6.8, 9.0]
    front = channel(span, 1.3, end_height=0.7, metal=metal, rivet_kind=kind, web_rows=stations)
    rear = channel(span, 0.85, end_height=0.46, metal=metal, rivet_kind=kind, web_rows=stations)
    # a channel has its web on z = 0: stand it up, its length along y, flanges pointing aft or forward
    stood = front.turned(x=90).turned(z=90).scaled(x=-1)
    made = stood.by(shear(0.16)).at(-2.2)
    made += rear.turned(x=90).turned(z=90).by(shear(0.02)).at(2.3)
    for s in stations:
        left, right = -2.2 + 0.16 * s + 0.02, 2.3 + 0.02 * s - 0.02
        length = right - left
        a, b = np.interp(s, [0, span], [1.26, 0.67]), np.interp(s, [0, span], [0.82, 0.43])
        piece = rib(length, a - 0.03, b - 0.02, metal=metal, holes=3 if s < 5 else 2, rivet_kind=kind)
        made += piece.turned(x=90).at(left, s, 0)
    return made, stations


def shear(slope: float) -> np.ndarray:
    """Matrix that moves x by `slope` for each y."""
    return np.array([[1, slope, 0], [0, 1, 0], [0, 0, 1.0]])


@picture(
    "fin-skeleton-clamped", "2024-09-29 15:22:44",
    "Fin skeleton lying on the bench: ribs between front and rear spar, held with spring clamps "
    "and temporary fasteners.",
    View((-4.4, -9.4, 7.4), (-0.1, -0.25, 0.5), 34),
)  # fmt: skip
def clamped(stage: Stage) -> None:
    stage.put(bench_room())
    body, stations = skeleton()
    body = body.turned(z=-90).at(-4.6, 0.1, 0.75)
    stage.put(body)
    for s in stations[1:4]:
        x = -4.6 + s
        stage.put(spring_clamp(0.8, 5).turned(x=90).turned(z=-90).at(x + 0.05, -1.85, 0.95))
        stage.put(spring_clamp(0.8, 5).turned(x=90).turned(z=90).at(x + 0.05, 2.0 - 0.16 * s, 1.0))
    held = np.array([[-4.6 + s + d, -2.19 - 0.02 * s, 0.75] for s in stations for d in (0, 0.0)])
    stage.put(scattered(holder(), held, (0, -1.0, 0)))
    front = np.array([[-4.6 + s, 2.31 - 0.16 * s, 0.75 + d] for s in stations for d in (-0.25, 0.25)])
    stage.put(scattered(holder("copper"), front, (0, 1.0, 0)))
    stage.put(box((0.5, 6, 0.4), (-3.6, 0, 0)), box((0.5, 5, 0.4), (3.2, -0.3, 0)))
    stage.lamps()


@picture(
    "fin-spar-hinge-brackets-drilled", "2024-10-09 20:05:13",
    "The fin's rear spar on the bench with two hinge brackets held by temporary fasteners, "
    "match-drilled, a drill and chips beside it.",
    View((-3.6, -5.2, 3.5), (-0.2, -0.35, 0.25), 36, 8, (-1.0, -0.4, 0.3)),
    at_sea=(4.25, -30.5),
)  # fmt: skip
def brackets_drilled(stage: Stage) -> None:
    stage.put(bench_room())
    rows = [0.5, 3.4, 6.3, 8.5]
    spar = channel(9.2, 0.95, end_height=0.7, web_rows=rows).scaled(z=-1).at(-4.4, 0.1, 0.22)
    stage.put(spar)
    for x in (-2.3, 1.6):
        stage.put(hinge_bracket().at(x, 0.1, 0.226))
        places = np.array([[x + a, 0.1 + b, 0.258] for a, b in ((-0.21, -0.17), (0.21, 0.17))])
        stage.put(scattered(holder(), places, UP))
    stage.put(drill().turned(z=38).at(0.3, -1.9, 0.28))
    stage.put(chips(60, (0.9, 0.3), 8).at(-1.0, -0.85))
    stage.put(tag("FN-006-R").turned(z=-10).at(-2.9, -1.15, 0.005))
    stage.lamps()


@picture(
    "fin-parts-primed", "2024-10-19 14:31:58",
    "Fin ribs in green primer hanging from a line to dry, portrait, stored rotated.",
    View((-1.6, -9.6, 3.9), (0.0, 2.6, 3.1), 34, 0, None, TALL),
    orientation=TURN_RIGHT, at_sea=(1.125, -15.75),
)  # fmt: skip
def primed(stage: Stage) -> None:
    stage.put(bench_room(window=False))
    line = np.array([[x, 1.2, 6.6 + 0.012 * x * x] for x in np.linspace(-8, 8, 30)])
    stage.put(tube(line, 0.03, "string"))
    for k, x in enumerate((-2.5, -1.2, 0.15, 1.4, 2.5)):
        piece = fin_rib(k, "green").turned(y=90).turned(z=35 + 9 * k)
        top = 6.55 + 0.012 * x * x
        stage.put(tube([(x, 1.2, top), (x, 1.2, top - 0.5), (x, 1.2, top - 0.9)], 0.014, "steel", 6))
        stage.put(piece.at(x, 1.2, top - 0.75))
    stage.put(box((9, 6, 0.01), (0, 0, 0.0), "brown_paper", 0.002))
    stage.lamps()


@picture(
    "fin-before-closing", "2024-10-27 16:10:35",
    "Inside the fin before closing: one skin on, ribs and spars in green primer riveted to it, "
    "a cable conduit running through the lightening holes.",
    View((-5.2, -5.6, 4.2), (-0.5, 0.1, 0.4), 34, 0),
    at_sea=(-0.75, -25.0),
)  # fmt: skip
def before_closing(stage: Stage) -> None:
    stage.put(bench_room())
    body, stations = skeleton("green", "rivet")
    stage.put(body.turned(z=-90).at(-4.6, 0.1, 0.78))
    u = np.linspace(0, 9.2, 20)
    left, right = -2.6 + 0.16 * u, 2.5 + 0.02 * u
    x = left[:, None] + (right - left)[:, None] * np.linspace(0, 1, 24)
    z = np.interp(u, [0, 9.2], [0.66, 0.37])[:, None] * np.interp(np.linspace(0, 1, 24), [0, 1], [1, 0.66])
    grid = np.stack([x, np.broadcast_to(u[:, None], x.shape), -z], axis=2)
    stage.put(skin(grid, metal="green").turned(z=-90).at(-4.6, 0.1, 0.78))
    run = np.array([[-4.8 + s, 0.1 + 0.9 - 0.09 * s, 0.78 + 0.02 * np.sin(3 * s)] for s in np.linspace(0, 9.6, 40)])
    stage.put(tube(run, 0.09, "cable", 14))
    stage.lamps()


@picture(
    "fin-finished", "2024-11-03 12:25:41",
    "The finished fin, skins on and bare metal, standing on two wooden blocks on the bench, "
    "portrait, stored rotated.",
    View((-7.4, -17.5, 6.4), (0.2, 0, 4.6), 40, 0, None, TALL),
    orientation=TURN_LEFT,
)  # fmt: skip
def finished(stage: Stage) -> None:
    stage.put(bench_room())
    grid = loft(section(0.72, 0.12), 9.6, 6.2, 3.4, 1.9, 20)
    rows = [0.02, 0.25, 0.48, 0.71, 0.98]
    surface = skin(grid, across=rows, along=[0.02, 0.36, 0.64, 0.98])
    end = rib(3.4, 0.74, 0.55, holes=2)
    rear = channel(9.5, 0.5, end_height=0.28, web_rows=[0.3, 2.4, 4.7, 7, 9.3])
    rear = rear.turned(x=90).turned(z=90).turned(z=-0.9)
    body = surface + end.at(1.0, 0, 0).turned(x=90).at(1.9, 9.55, 0) + rear.at(4.28, 0.05, 0)
    for y in (1.2, 4.9, 8.4):
        body += hinge_bracket("bare", 0.45).turned(y=90).turned(x=90).at(4.38 - 0.03 * y, y, 0)
    stood = body.turned(x=90).turned(z=22).at(-2.2, -0.4, 0.6)
    stage.put(stood)
    stage.put(box((0.7, 3, 0.6), (-0.9, 0.2, 0)), box((0.7, 3, 0.6), (1.0, 0.8, 0)))
    stage.lamps(height=17)


__all__ = ["domes", "joined", "hole_marks", "shop_heads", "spaced"]
