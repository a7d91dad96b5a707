"""Hand tools and consumables, all generic: clamps, holders, rules, dies, a drill, tins, tape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from picture_kit.lettering import lettering
from picture_kit.shapes import (
    INCH,
    Array,
    Part,
    box,
    circle,
    cylinder,
    joined,
    plate,
    rectangle,
    revolve,
    rounded,
    sheet,
    tube,
)

if TYPE_CHECKING:
    from collections.abc import Sequence


def holder(metal: str = "copper") -> Part:
    """Make a temporary fastener standing on z = 0: body, shoulder and plunger."""
    body = [
        (1e-5, 0.0), (0.03, 0.0), (0.034, 0.005), (0.034, 0.13), (0.028, 0.14), (0.028, 0.15),
        (0.019, 0.155), (0.019, 0.235), (0.015, 0.245), (1e-5, 0.245),
    ]  # fmt: skip
    ring = [(0.0345, 0.07), (0.038, 0.075), (0.038, 0.1), (0.0345, 0.105)]
    return revolve(body, metal, 14) + revolve(ring, metal, 14)


def spring_clamp(size: float = 1.0, opening: float = 8) -> Part:
    """Make a spring clamp biting at the origin along +-z, its handles out along +x."""
    jaw = np.array(
        [
            [0.0, 0.0], [0.1, -0.005], [0.5, 0.16], [0.75, 0.19], [1.75, 0.42],
            [1.72, 0.55], [0.75, 0.36], [0.4, 0.3], [0.0, 0.13],
        ]
    )  # fmt: skip
    arm = plate(jaw, 0.24, "clamp").turned(x=90).at(y=0.12)
    tip = box((0.2, 0.26, 0.07), (0.09, 0, 0.0), "grip", 0.025)
    sleeve = box((0.75, 0.28, 0.17), (0, 0, -0.085), "grip", 0.06).turned(y=-13).at(x=1.42, z=0.41)
    upper = (arm + tip + sleeve).at(x=-0.7).turned(y=opening / 2).at(x=0.7)
    pivot = cylinder(0.09, 0.34, "steel").turned(x=90).at(x=0.72, y=0.17)
    coil = joined(
        [
            revolve(
                [(0.13 + 0.02 * np.cos(a), 0.02 * np.sin(a)) for a in np.linspace(0, 6.3, 7)],
                "steel",
            )
            .turned(x=90)
            .at(x=0.72, y=y)
            for y in np.linspace(-0.1, 0.1, 5)
        ]
    )
    both = upper + upper.scaled(z=-1)
    return (both + pivot + coil).scaled(size, size, size)


def rule(inches: int = 12) -> Part:
    """Make a steel rule along x on z = 0, graduated in inches and eighths along its lower edge."""
    length = inches * INCH
    made = plate(rounded(-0.06, -0.13, length + 0.06, 0.13, 0.03), 0.01, "rule")
    made += joined([_tick(k, k * INCH / 8) for k in range(inches * 8 + 1)])
    return made + joined(
        [lettering(str(k), 0.1, "ink").at(k * INCH + 0.015, 0.01, 0.0112) for k in range(1, inches)]
    )


def _tick(k: int, x: float) -> Part:
    reach = 0.12 if k % 8 == 0 else 0.08 if k % 4 == 0 else 0.05
    half = 0.0025
    return plate(rectangle(x - half, -0.128, x + half, -0.128 + reach), 0.0004, "ink").at(z=0.0101)


def straight_edge(length: float = 9, height: float = 0.5) -> Part:
    """Make a steel straight edge along x, standing on its edge at y = 0."""
    holes = [circle(length - 0.35, height / 2, 0.1)]
    return plate(rectangle(0, 0, length, height), 0.05, "steel", holes).turned(x=90)


def dimple_dies() -> tuple[Part, Part]:
    """Make a male and a female die standing on z = 0 (the shank down)."""
    body = [
        (1e-5, 0.0), (0.085, 0.0), (0.095, 0.01), (0.095, 0.2), (0.11, 0.22),
        (0.19, 0.22), (0.2, 0.23), (0.2, 0.36), (0.19, 0.37),
    ]  # fmt: skip
    male = [
        *body,
        (0.062, 0.372),
        (0.034, 0.395),
        (0.018, 0.4),
        (0.017, 0.46),
        (0.01, 0.475),
        (1e-5, 0.476),
    ]
    female = [*body, (0.066, 0.372), (0.036, 0.35), (0.022, 0.345), (0.021, 0.27)]
    pit = revolve([(0.021, 0.275), (1e-5, 0.275)], "hole", 24)
    return revolve(male, "steel", 40), revolve(female, "steel", 40) + pit


def c_frame(reach: float = 6.0) -> Part:
    """Make a C-frame dimpling tool along -y: lower arm, upper arm, ram and dies at the origin."""
    male, female = dimple_dies()
    made = box((0.7, reach + 1.5, 0.55), (0, reach / 2 + 0.05, -1.35), "frame_paint", 0.05)
    made += box((0.56, reach + 1.2, 0.8), (0, reach / 2 + 0.06, 0.75), "frame_paint", 0.05)
    made += box((0.48, 0.9, 2.4), (0, reach + 0.15, -1.1), "frame_paint", 0.05)
    made += cylinder(0.2, 0.48, "steel").at(z=-0.85) + female.scaled(z=1).at(z=-0.37)
    ram = cylinder(0.16, 1.6, "steel").at(z=0.6)
    ram += revolve([(0.19, 1.75), (0.24, 1.8), (0.24, 2.1), (0.19, 2.15), (1e-5, 2.15)], "steel")
    ram += revolve([(0.3, 0.65), (0.33, 0.7), (0.33, 1.65), (0.3, 1.7)], "steel")
    return made + ram + male.scaled(z=-1).at(z=0.62)


def drill() -> Part:
    """Make a pistol drill lying so that its bit points along +x; its handle hangs to -y."""
    barrel = revolve(
        [
            (1e-5, -1.5), (0.2, -1.5), (0.26, -1.42), (0.27, -0.2), (0.24, 0.0), (0.15, 0.1),
            (0.14, 0.15), (0.14, 0.4), (0.11, 0.55), (0.05, 0.62), (0.02, 0.63),
            (0.02, 1.4), (1e-5, 1.45),
        ],
        "tool_body",
        32,
    ).turned(y=90)  # fmt: skip
    chuck = revolve(
        [(0.1, 0.1), (0.155, 0.12), (0.155, 0.42), (0.12, 0.57), (0.055, 0.63), (0.02, 0.635)],
        "steel",
        28,
    ).turned(y=90)
    collars = joined(
        [
            revolve(
                [(r, x), (r + 0.012, x + 0.01), (r + 0.012, x + w), (r, x + w + 0.01)], "rubber", 32
            )
            for x, r, w in ((-1.42, 0.262, 0.12), (-0.28, 0.262, 0.08))
        ]
    ).turned(y=90)
    bit = cylinder(0.021, 0.85, "steel", 12).turned(y=90).at(x=0.6)
    side = np.array(
        [
            [-1.42, -0.1],
            [-0.62, -0.1],
            [-0.66, -0.42],
            [-0.86, -0.55],
            [-1.0, -1.5],
            [-1.45, -1.55],
            [-1.4, -0.7],
        ]
    )
    grip = joined([plate(side * (1, 1), t, "rubber").at(z=z) for t, z in ((0.26, -0.13),)])
    grip += plate(side * (0.94, 0.97) + (-0.06, -0.02), 0.36, "rubber").at(z=-0.18)
    trigger = box((0.1, 0.26, 0.14), (-0.68, -0.46, -0.07), "steel", 0.04)
    nipple = cylinder(0.08, 0.3, "brass").turned(x=90).at(x=-1.2, y=-1.5)
    return barrel + chuck + collars + bit + grip + trigger + nipple


def deburring_tool() -> Part:
    """Make a hand deburring tool along x: a plastic handle and a hooked steel blade."""
    handle = revolve(
        [
            (1e-5, 0),
            (0.09, 0.02),
            (0.11, 0.15),
            (0.09, 0.5),
            (0.11, 1.0),
            (0.08, 1.25),
            (1e-5, 1.27),
        ],
        "tool_body",
        24,
    ).turned(y=90)
    shaft = cylinder(0.03, 0.4, "steel", 14).turned(y=90).at(x=1.25)
    blade = tube(
        [(1.6, 0, 0), (1.8, 0, 0), (1.92, 0.02, 0), (1.98, 0.07, 0), (1.99, 0.13, 0)],
        0.018,
        "steel",
    )
    return (handle + shaft + blade).at(z=0.11)


def abrasive_pad() -> Part:
    """Make a fibre pad, slightly curled, on z = 0."""
    x, y = np.meshgrid(np.linspace(0, 1.5, 20), np.linspace(0, 1.1, 16), indexing="ij")
    z = 0.05 + 0.12 * (x / 1.5) ** 3 + 0.02 * np.sin(5 * y + 2 * x)
    return sheet(np.stack([x, y, z], axis=2), 0.08, "pad")


def file_tool(length: float = 2.4) -> Part:
    """Make a flat file along x with a wooden handle."""
    blade = box((length, 0.2, 0.05), (length / 2, 0, 0.06), "dark_steel", 0.01)
    handle = revolve(
        [
            (1e-5, -1.1),
            (0.1, -1.05),
            (0.13, -0.8),
            (0.1, -0.3),
            (0.12, -0.1),
            (0.07, 0.0),
            (1e-5, 0.0),
        ],
        "handle_wood",
        24,
    ).turned(y=90)
    return blade + handle.at(x=0.03, z=0.13)


def fluting_pliers() -> Part:
    """Make fluting pliers lying open on z = 0, jaws to +x."""
    path = np.array(
        [[-2.0, 0.55], [-1.4, 0.5], [-0.6, 0.22], [0.0, 0.0], [0.35, -0.1], [0.6, -0.06]]
    )
    t = np.linspace(0, 1, 40)
    line = np.stack([np.interp(t, np.linspace(0, 1, 6), path[:, k]) for k in range(2)], axis=1)
    half = np.interp(t, [0, 0.6, 0.85, 1], [0.08, 0.09, 0.11, 0.07])
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    side = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1) * half[:, None]
    arm = plate(np.concatenate([line - side, (line + side)[::-1]]), 0.09, "dark_steel")
    grip = tube(np.c_[line[:22], np.full(22, 0.045)], 0.115, "grip", 14)
    pins = joined([cylinder(0.03, 0.26, "steel", 12).at(0.56, y, 0) for y in (-0.1,)])
    nose = pins + pins.at(x=-0.16) + (arm + grip)
    other = (arm + grip).scaled(y=-1).at(z=0.06) + cylinder(0.03, 0.26, "steel", 12).at(
        0.48, 0.1, 0
    )
    return (nose + other + cylinder(0.1, 0.2, "steel")).at(z=0.08)


def tin(
    label: Sequence[str], radius: float = 0.55, height: float = 1.2, band: str = "label"
) -> Part:
    """Make a round tin with a lid and a plain paper label."""
    body = revolve(
        [
            (1e-5, 0), (radius, 0), (radius + 0.02, 0.03), (radius, 0.06), (radius, height - 0.05),
            (radius + 0.02, height - 0.02), (radius - 0.04, height), (radius - 0.06, height - 0.05),
            (1e-5, height - 0.05),
        ],
        "steel",
        48,
    )  # fmt: skip
    angle = np.radians(np.linspace(-170, -10, 40))
    z = np.linspace(0.2, height - 0.2, 3)
    grid = np.stack(
        [
            np.broadcast_to((radius + 0.004) * np.cos(angle)[:, None], (40, 3)),
            np.broadcast_to((radius + 0.004) * np.sin(angle)[:, None], (40, 3)),
            np.broadcast_to(z[None], (40, 3)),
        ],
        axis=2,
    )
    made = body + sheet(grid, 0.002, band)
    for k, line in enumerate(label):
        text = lettering(line, 0.2, "ink", centred=True)
        made += _round(text.at(y=height * 0.62 - k * 0.26), radius + 0.008)
    return made


def _round(text: Part, radius: float) -> Part:
    """Wrap flat lettering (x, y) round a tin facing -y."""
    shapes = []
    for s in text.shapes:
        a = s.points[:, 0] / radius
        out = radius + s.points[:, 2]
        points = np.stack([out * np.sin(a), -out * np.cos(a), s.points[:, 1]], axis=1)
        shapes.append(type(s)(points, s.tris, s.quads, s.material))
    return Part(tuple(shapes))


def roller() -> Part:
    """Make a small foam paint roller lying on z = 0."""
    foam = cylinder(0.2, 1.0, "foam", 28).turned(y=90).at(x=-0.5, z=0.2)
    wire = tube(
        [
            (0.5, 0, 0.2),
            (0.62, 0, 0.2),
            (0.65, -0.1, 0.2),
            (0.5, -0.5, 0.18),
            (0, -0.8, 0.15),
            (0, -1.2, 0.13),
        ],
        0.025,
        "steel",
    )
    grip = cylinder(0.1, 1.1, "grip").turned(x=90).at(y=-1.1, z=0.13)
    return foam + wire + grip


def tag(text: str, size: float = 0.17) -> Part:
    """Make a paper tag on z = 0 with a part number, reading along x."""
    wide = len(text) * size * 0.66 + 0.25
    card = plate(rounded(-wide / 2, -0.17, wide / 2, 0.17, 0.03), 0.004, "label")
    return card + lettering(text, size, "ink", centred=True).at(y=-size * 0.35, z=0.0045)


def tape(path: Sequence[Sequence[float]], width: float = 0.2, material: str = "red_tape") -> Part:
    """Stick a strip of tape along a path (n, 2) on z = 0."""
    line = np.asarray(path, dtype=float)
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    side = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1) * width / 2
    return plate(np.concatenate([line - side, (line + side)[::-1]]), 0.006, material)


def arrow(length: float = 1.0, width: float = 0.18) -> Part:
    """Make an arrow of red tape on z = 0, its point at the origin, coming from -x."""
    shaft = rectangle(-length, -width / 2, -width, width / 2)
    head = np.array([[-width * 1.6, -width * 1.3], [0, 0], [-width * 1.6, width * 1.3]])
    return plate(shaft, 0.006, "red_tape") + plate(head, 0.007, "red_tape")


def marker_ring(radius: float = 0.16) -> Part:
    """Draw a hand-drawn ring in red marker on z = 0."""
    a = np.linspace(0.2, 2 * np.pi + 0.12, 70)
    r = radius * (1 + 0.05 * np.sin(2 * a + 0.7) + 0.02 * a / 6)
    line = np.stack([r * np.cos(a), r * np.sin(a)], axis=1)
    return tape(line, radius * 0.1, "red_ink").scaled(z=0.15)


def marker_pen() -> Part:
    """Make a red marker pen lying along x on z = 0."""
    body = revolve(
        [(1e-5, 0), (0.055, 0), (0.06, 0.02), (0.06, 0.85), (0.05, 0.9), (0.05, 0.95)], "label", 20
    )
    cap = revolve(
        [(0.063, 0.93), (0.065, 0.95), (0.06, 1.35), (0.04, 1.38), (1e-5, 1.38)], "red_ink", 20
    )
    return (body + cap).turned(y=90).at(z=0.065)


def chips(count: int, spread: tuple[float, float], seed: int) -> Part:
    """Scatter drilling chips: little bright curls on z = 0."""
    draw = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        a = np.linspace(0, draw.uniform(2, 7), 12)
        r = draw.uniform(0.012, 0.03)
        line = np.stack([r * np.cos(a), r * np.sin(a), 0.012 + 0.008 * a], axis=1)
        x, y = draw.normal(0, spread[0]), draw.normal(0, spread[1])
        made.append(tube(line, 0.004, "bare", 4).turned(z=draw.uniform(1, 360)).at(x, y))
    return joined(made)


def spirit_level(length: float = 6) -> Part:
    """Make a spirit level along x on z = 0."""
    made = box((length, 0.22, 0.5), (0, 0, 0), "tool_body", 0.03)
    made += box((0.6, 0.24, 0.16), (0, 0, 0.34), "vial", 0.02)
    made += box((0.16, 0.26, 0.1), (0.02, 0, 0.37), "label", 0.02)
    return made


def plan_sheet(title: str) -> Part:
    """Make a sheet of drawings on z = 0: a frame, a title block and a few lines."""
    card = plate(rectangle(0, 0, 4.2, 2.97), 0.003, "paper")
    lines = [
        rectangle(0.1, 0.1, 4.1, 0.115), rectangle(0.1, 2.85, 4.1, 2.865),
        rectangle(0.1, 0.1, 0.115, 2.865), rectangle(4.085, 0.1, 4.1, 2.865),
        rectangle(2.4, 0.6, 4.1, 0.61), rectangle(2.4, 0.1, 2.41, 0.6),
        rectangle(0.5, 1.2, 3.4, 1.215), rectangle(0.5, 2.2, 3.4, 2.21),
        rectangle(0.5, 1.2, 0.515, 2.2), rectangle(3.39, 1.2, 3.4, 2.2),
        rectangle(1.2, 1.0, 1.21, 2.4), rectangle(2.0, 1.0, 2.01, 2.4),
        rectangle(2.7, 1.0, 2.71, 2.4),
    ]  # fmt: skip
    made = card + joined([plate(r, 0.001, "ink").at(z=0.0032) for r in lines])
    rings = [plate(_thin_ring(x, 1.7, 0.3), 0.001, "ink").at(z=0.0032) for x in (0.85, 1.6, 2.35)]
    made += joined(rings)
    return made + lettering(title, 0.13, "ink").at(2.5, 0.3, 0.0045)


def _thin_ring(x: float, y: float, radius: float) -> Array:
    outer, inner = circle(x, y, radius, 40), circle(x, y, radius - 0.012, 40)
    return np.concatenate([outer, outer[:1], inner[:1], inner[::-1]])


def layout_line(length: float, gap: float = 0.0) -> Part:
    """Draw a fine layout line in marker along x on z = 0, ticked across every 0.4.

    Where holes are already drilled, `gap` leaves their radius out instead of ticking them.
    """
    count = int(length / 0.4) | 1  # odd, so that one tick is in the middle
    ticks = (np.arange(count) - (count - 1) / 2) * 0.4
    if gap:
        legs = [rectangle(x + gap, -0.004, x + 0.4 - gap, 0.004) for x in ticks]
        return joined([plate(leg, 0.0004, "ink") for leg in legs])
    crosses = [rectangle(x - 0.003, -0.05, x + 0.003, 0.05) for x in ticks]
    made = plate(rectangle(-length / 2, -0.004, length / 2, 0.004), 0.0004, "ink")
    return made + joined([plate(cross, 0.0003, "ink") for cross in crosses])
