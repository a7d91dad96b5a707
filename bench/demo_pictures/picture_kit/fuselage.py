"""Twelve pictures of the aft fuselage, August to November 2025."""

from __future__ import annotations

import numpy as np

from picture_kit.album import TURN_RIGHT, picture
from picture_kit.assembly import (
    AXIS_Z,
    FRAMES,
    fuselage_frames,
    fuselage_skin,
    fuselage_stringers,
)
from picture_kit.frames import frame
from picture_kit.shapes import Part, box, circle, plate, rectangle, rounded, scattered, tube
from picture_kit.sheetmetal import hole_marks
from picture_kit.stage import Stage, View
from picture_kit.surfaces import film, flat_grid, skin
from picture_kit.tools import (
    abrasive_pad,
    drill,
    file_tool,
    holder,
    layout_line,
    marker_ring,
    rule,
    spirit_level,
    spring_clamp,
    tag,
)
from picture_kit.workshop import (
    bench_room,
    filling,
    floor_room,
    jig_beam,
    jig_upright,
    plain_bin,
)

TALL = (1200, 1600)
WIDE = (1600, 1067)
UP = (0.0, 0.0, 1.0)


@picture(
    "aft-fuselage-bins-and-hardware", "2025-08-16 10:05:03",
    "Two rows of small bins with part-number labels on the shelf, filled with rivets and brackets "
    "for the aft fuselage.",
    View((-2.0, -7.2, 4.0), (-0.2, 2.4, 1.6), 35, size=WIDE),
    at_sea=(-4.0, -24.5),
)  # fmt: skip
def bins(stage: Stage) -> None:
    """Two tiers on the bench, the upper one on a shelf."""
    stage.put(bench_room())
    stage.put(box((11.5, 1.9, 0.16), (0, 3.1, 1.5), "pale_wood", 0.02))
    for x in (-5.6, 5.6):
        stage.put(box((0.2, 1.9, 1.5), (x, 3.1, 0), "pale_wood", 0.02))
    names = ("AF-003", "AF-004", "AF-011", "AF-012", "AF-015", "AF-018",
             "3-3", "3-4", "4-4", "4-5", "4-6", "AF-020")  # fmt: skip
    for k, name in enumerate(names):
        row, col = divmod(k, 6)
        x, z = -4.6 + 1.84 * col, 1.66 - 1.65 * row
        kind = "rivets" if name[0] in "34" else ("angles", "nuts")[k % 3 == 2]
        stage.put(plain_bin(name, colour=("bin", "bin2")[(row + col) % 2]).at(x, 3.1, z))
        stage.put(filling(kind, 60 if kind == "rivets" else 30, k).at(x, 3.1, z))
    stage.lamps()


@picture(
    "aft-fuselage-frames-laid-out", "2025-08-17 11:25:48",
    "Five aft-fuselage frames of falling size laid on the floor in order, seen from above.",
    View((-2.6, -14.0, 23.5), (-0.1, -0.2, 0), 34, exposure=-0.4),
)  # fmt: skip
def frames_laid_out(stage: Stage) -> None:
    """From the largest on the left to the smallest."""
    stage.put(floor_room())
    stage.put(box((30, 20, 0.02), (0.2, 0, 0), "brown_paper", 0.004))
    places = ((-8.8, 3.6), (0.4, 4.0), (8.6, 4.2), (-4.4, -5.0), (2.4, -4.6))
    for k, ((x, y), (_, wide, high)) in enumerate(zip(places, FRAMES, strict=True)):
        stage.put(frame(wide, high).turned(z=6 - x * 0.8).at(x, y, 0.03))
        stage.put(tag(f"AF-00{k + 1}", 0.17).scaled(4, 4, 1).turned(z=4).at(x, y, 0.03))
    stage.lamps(height=24, reach=1.5, strength=3.4)


@picture(
    "aft-fuselage-frame-deburred", "2025-08-27 20:20:31",
    "Part of one frame on the bench, its edges and stringer notches deburred, a file and an "
    "abrasive pad beside it.",
    View((-3.3, -4.6, 2.9), (-0.2, -0.9, 0.1), 40, 8, (-0.6, -1.0, 0.1)),
    at_sea=(1.5, -20.25),
)  # fmt: skip
def frame_deburred(stage: Stage) -> None:
    """The near arc of the second frame, the rest behind."""
    stage.put(bench_room())
    stage.put(frame(7.6, 7.6, web=0.6).turned(z=11.25).at(0.2, 2.9, 0.01))
    stage.put(file_tool().turned(z=28).at(-1.4, -2.2))
    stage.put(abrasive_pad().turned(z=-14).at(0.9, -2.5))
    stage.put(tag("AF-002", 0.22).turned(z=12).at(0.4, 0.4, 0.005))
    stage.lamps()


def jig(*, string: bool = False) -> Part:
    """Make the jig with an upright at each frame's place."""
    made = jig_beam(22, top=4.2).at(y=-0.8)
    for y, wide, _ in FRAMES:
        made += jig_upright(AXIS_Z + 1.2, wide - 0.5, top=4.2).at(y=y + 0.4)
    if string:
        made += tube([(0, -1.0, 11.3), (0, 10, 11.3), (0, 21, 11.3)], 0.07, "string", 8)
    return made


def swung(part: Part, degrees: float = -62) -> Part:
    """Turn the fuselage in the room about its middle."""
    return part.at(y=-10).turned(z=degrees)


@picture(
    "aft-fuselage-jig-set-up", "2025-09-06 14:00:14",
    "The empty aft-fuselage jig: a long box beam with uprights, a red centre line of string and a "
    "spirit level.",
    View((-12.0, -22.0, 18.0), (0.3, 0.6, 7.0), 33, size=WIDE),
)  # fmt: skip
def jig_set_up(stage: Stage) -> None:
    """The string runs over the cross plates from end to end."""
    level = spirit_level().at(0, 4.75 + 0.4, AXIS_Z + 1.2)
    stage.put(floor_room(), swung(jig(string=True)), swung(level))
    stage.lamps(height=24, reach=1.5, strength=3.4)


@picture(
    "aft-fuselage-frames-in-jig", "2025-09-14 13:10:45",
    "The five frames standing in the jig in falling size, bare metal, clamped to their uprights.",
    View((-11.0, -21.5, 14.0), (0.6, 0.3, 8.6), 31),
    at_sea=(3.0, -26.5),
)  # fmt: skip
def frames_in_jig(stage: Stage) -> None:
    """The largest frame nearest the viewer."""
    held = Part()
    for y, wide, _ in FRAMES:
        for s in (-1, 1):
            clamp = spring_clamp(1.0, 6).turned(y=90).turned(z=90)
            held += clamp.at(s * (wide / 2 - 0.3), y + 0.2, AXIS_Z + 0.9)
    frames = fuselage_frames(bulkhead=False)
    stage.put(floor_room(), swung(jig()), swung(frames), swung(held))
    stage.lamps(height=24, reach=1.5, strength=3.4)


@picture(
    "aft-fuselage-stringers-clamped", "2025-09-20 16:45:22",
    "Frames in the jig with the stringers laid into their notches and held with spring clamps, "
    "seen from one side.",
    View((-8.5, -24.0, 15.0), (0.0, 0.0, 8.6), 30),
)  # fmt: skip
def stringers_clamped(stage: Stage) -> None:
    """Clamps where stringers cross the nearer frames."""
    parts = fuselage_frames(bulkhead=False) + fuselage_stringers()
    for y, wide, high in FRAMES[:4]:
        for angle in (33.75, 123.75):
            a = np.radians(angle)
            unit = np.array([np.cos(a), np.sin(a)])
            place = np.sign(unit) * np.abs(unit) ** (2 / 2.6) * (wide / 2 - 0.1, high / 2 - 0.1)
            clamp = (
                spring_clamp(0.9, 8).turned(x=90).turned(y=-np.degrees(np.arctan2(*place[::-1])))
            )
            parts += clamp.at(place[0], y - 0.12, AXIS_Z + place[1])
    stage.put(floor_room(), swung(jig(), -72), swung(parts, -72))
    stage.lamps(height=24, reach=1.5, strength=3.4)


@picture(
    "aft-fuselage-bulkhead-drilled", "2025-09-28 10:50:39",
    "The rear bulkhead on the bench with its doubler held by temporary fasteners for match "
    "drilling.",
    View((-2.8, -7.6, 6.4), (0.0, -0.25, 0.1), 40),
    at_sea=(0.125, -34.75),
)  # fmt: skip
def bulkhead_drilled(stage: Stage) -> None:
    """Flanges down, the doubler on the upper face."""
    stage.put(bench_room())
    stage.put(frame(5.0, 5.6, solid=True).scaled(z=-1).turned(z=-90).at(0, 0, 0.22))
    doubler = plate(rounded(-0.3, -1.9, 0.3, 1.9, 0.15), 0.032, "bare")
    stage.put(doubler.at(0.27, 0, 0.226))
    spots = np.array(
        [[0.27 + s * 0.2, y, 0.258] for s in (-1, 1) for y in np.linspace(-1.75, 1.75, 10)]
    )
    stage.put(hole_marks(spots, UP, depth=0.004), scattered(holder(), spots[::3], UP))
    stage.put(drill().turned(z=20).at(3.4, -2.0, 0.28))
    stage.put(tag("AF-005", 0.26).turned(z=10).at(-3.4, -1.9, 0.005))
    stage.lamps()


@picture(
    "aft-fuselage-short-edge-distance", "2025-10-09 20:35:07",
    "A defect: a rivet hole in a stringer drilled too near the edge, a steel rule laid beside it, "
    "ringed with red marker.",
    View((-0.3, -1.75, 1.6), (0.05, -0.02, 0.05), 50, 8, size=WIDE, exposure=-0.4),
)  # fmt: skip
def short_edge(stage: Stage) -> None:
    """True holes; the middle one breaks towards the near edge."""
    stage.put(bench_room())
    xs = np.arange(-2.8, 2.81, 0.4)
    holes = [circle(x, 0.16 if abs(x) > 0.1 else -0.075, 0.042, 28) for x in xs]
    leg = plate(rectangle(-4, -0.16, 4, 0.42), 0.032, "bare", holes)
    stage.put(
        leg.at(z=0.06),
        layout_line(8, 0.05).at(0, 0.16, 0.0922),
        box((8, 0.5, 0.02), (0, 0.16, 0.03), "black"),
    )
    stage.put(box((8, 0.032, 0.6), (0, 0.436, 0.06), "bare", 0.01))
    stage.put(rule().turned(z=0.8).at(-1.7, -0.34, 0.01))
    stage.put(marker_ring(0.15).at(0, -0.02, 0.0925))
    stage.put(tag("AF-012-R-02", 0.11).turned(z=6).at(0.95, -0.72, 0.005))
    stage.lamps()


@picture(
    "aft-fuselage-frames-primed", "2025-10-18 13:30:53",
    "Three aft-fuselage frames in green primer hanging to dry, portrait.",
    View((-5.0, -15.0, 10.5), (0.1, 3.0, 10.2), 36, size=TALL),
)  # fmt: skip
def frames_primed(stage: Stage) -> None:
    """One behind another on wires from a beam."""
    stage.put(floor_room())
    stage.put(box((22, 0.9, 0.9), (0, 2.0, 15.6), "pale_wood", 0.03))
    for (x, y), (_, wide, high) in zip(
        ((2.2, 6.4), (-0.2, 2.0), (-1.9, -1.8)), FRAMES[1:4], strict=True
    ):
        stage.put(box((0.6, 10, 0.6), (x, 2.2, 15.0), "pale_wood", 0.03) if y != 2.0 else Part())
        middle = 14.0 - high / 2
        for s in (-1, 1):
            wire = [(x + s, y, 15.2), (x + s * 0.8, y, 14.6), (x + s * 0.6, y, 13.75)]
            stage.put(tube(wire, 0.025, "steel", 6))
        stage.put(
            frame(wide, high, metal="green").turned(x=90).turned(z=-16 + 3 * x).at(x, y, middle)
        )
    stage.lamps(height=24, reach=1.4, strength=3.2)


@picture(
    "aft-fuselage-bottom-skin-film", "2025-10-26 11:00:16",
    "The aft fuselage's bottom skin on the bench, blue film opened in strips along the frame and "
    "stringer lines.",
    View((6.6, -9.0, 6.8), (0.2, -0.2, 0.0), 34, size=WIDE),
    at_sea=(2.5, -37.25),
)  # fmt: skip
def bottom_skin(stage: Stage) -> None:
    """A long skin, wider at the front end than at the rear."""
    stage.put(bench_room())
    grid = flat_grid(-8, -3.6, 8, 3.4, 241, 101)
    grid[..., 1] *= np.linspace(1.0, 0.62, 241)[:, None]
    frames, lines = [0.03, 0.27, 0.5, 0.73, 0.97], [0.04, 0.23, 0.41, 0.59, 0.77, 0.96]
    stage.put(skin(grid, across=frames, along=lines, kind="hole", pitch=0.36).at(z=0.02))
    stage.put(film(grid, across=frames, along=lines).at(z=0.02))
    stage.put(tag("AF-030", 0.3).turned(z=-8).at(2.2, -3.55, 0.01))
    stage.lamps()


@picture(
    "aft-fuselage-skins-on", "2025-11-08 14:40:34",
    "Aft fuselage in the jig with bottom and side skins on, held by rows of temporary fasteners, "
    "the top still open.",
    View((-13.5, -20.5, 15.5), (0.2, 0.2, 8.6), 33),
    at_sea=(-3.5, -27.0),
)  # fmt: skip
def skins_on(stage: Stage) -> None:
    """The skins reach round from one shoulder under the belly to the other."""
    body = fuselage_frames("green", bulkhead=True) + fuselage_stringers("green", range(16))
    body += fuselage_skin(146.25, 393.75, every=3)
    low = jig_beam(22, top=4.2).at(y=-0.8)
    for y, wide, high in FRAMES:
        low += box(
            (wide * 0.5, 0.5, AXIS_Z - high / 2 - 4.2 - 0.12), (0, y + 0.4, 4.2), "wood", 0.03
        )
    stage.put(floor_room(), swung(low, -66), swung(body, -66))
    stage.lamps(height=24, reach=1.5, strength=3.4)


@picture(
    "aft-fuselage-inside-view", "2025-11-15 15:55:27",
    "Looking aft inside the aft fuselage before closing: primed frames, stringers and the rear "
    "bulkhead at the end, portrait, stored rotated.",
    View((0.4, -4.6, 11.2), (0.0, 12.0, 9.7), 25, size=TALL),
    orientation=TURN_RIGHT,
)  # fmt: skip
def inside_view(stage: Stage) -> None:
    """The top is open: daylight falls in between the upper stringers."""
    body = fuselage_frames("green", "rivet") + fuselage_stringers("green")
    body += fuselage_skin(135, 405, kind="hole")
    run = np.array(
        [[1.6 - 0.04 * y, y, AXIS_Z - 2.6 + 0.06 * y] for y in np.linspace(-0.5, 19.8, 40)]
    )
    stage.put(floor_room(), body, tube(run, 0.12, "cable", 14))
    stage.lamp((0.8, 12.5, 12.2), (0.6, 0.6), 110, (1.0, 0.9, 0.75), (0, 20, 9.6))
    stage.lamps(height=24, reach=1.5, strength=3.4)
