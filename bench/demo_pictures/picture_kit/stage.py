"""The stage: parts become meshes, with lamps, a camera and the path tracer's settings."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import bpy
import numpy as np
from mathutils import Vector

from picture_kit.materials import material

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from picture_kit.shapes import Part, Shape

SHARP = np.radians(38)


@dataclass(frozen=True)
class View:
    """Where the camera stands and looks (dm), its focal length (mm) and aperture (0: all sharp)."""

    eye: tuple[float, float, float]
    look: tuple[float, float, float]
    lens: float = 35
    fstop: float = 0
    focus: tuple[float, float, float] | None = None
    size: tuple[int, int] = (1600, 1200)
    exposure: float = 0.0


@dataclass
class Stage:
    """An empty scene being filled; `evening` picks warm lamps and dark windows."""

    evening: bool = False
    scene: bpy.types.Scene = field(init=False)

    def __post_init__(self) -> None:
        """Clear whatever was there."""
        bpy.ops.wm.read_factory_settings(use_empty=True)
        self.scene = bpy.context.scene

    def put(self, *parts: Part) -> None:
        """Place parts as they are, a mesh for each material."""
        groups: dict[str, list[Shape]] = {}
        for part in parts:
            for shape in part.shapes:
                groups.setdefault(shape.material, []).append(shape)
        for name, shapes in groups.items():
            self._mesh(name, shapes)

    def _mesh(self, name: str, shapes: list[Shape]) -> None:
        start, tris, quads = 0, [], []
        for s in shapes:
            tris.append(s.tris + start)
            quads.append(s.quads + start)
            start += len(s.points)
        points = np.concatenate([s.points for s in shapes])
        three, four = np.concatenate(tris), np.concatenate(quads)
        mesh = bpy.data.meshes.new(name)
        mesh.vertices.add(len(points))
        mesh.vertices.foreach_set("co", points.astype(np.float32).ravel())
        corners = np.concatenate([three.ravel(), four.ravel()]).astype(np.int32)
        mesh.loops.add(len(corners))
        mesh.loops.foreach_set("vertex_index", corners)
        starts = np.concatenate(
            [np.arange(len(three)) * 3, three.size + np.arange(len(four)) * 4]
        ).astype(np.int32)
        mesh.polygons.add(len(starts))
        mesh.polygons.foreach_set("loop_start", starts)
        mesh.update(calc_edges=True)
        mesh.shade_smooth()
        mesh.set_sharp_from_angle(angle=SHARP)
        mesh.validate()
        mesh.materials.append(material(name, self.evening))
        self.scene.collection.objects.link(bpy.data.objects.new(name, mesh))

    def lamp(
        self,
        at: Sequence[float],
        size: tuple[float, float],
        power: float,
        colour: Sequence[float] = (1, 1, 1),
        towards: Sequence[float] | None = None,
    ) -> None:
        """Hang a rectangular lamp at a place, shining down or towards a point."""
        data = bpy.data.lights.new("lamp", "AREA")
        data.shape, data.size, data.size_y = "RECTANGLE", *size
        data.energy, data.color = power, tuple(colour)
        thing = bpy.data.objects.new("lamp", data)
        thing.location = tuple(at)
        if towards is not None:
            aim = Vector(towards) - Vector(at)
            thing.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
        self.scene.collection.objects.link(thing)

    def lamps(self, height: float = 14, reach: float = 1.0, strength: float = 1.0) -> None:
        """Two ceiling tubes along x, and by day a wide soft light from the left."""
        warm = (1.0, 0.86, 0.68) if self.evening else (1.0, 0.96, 0.9)
        power = (2600 if self.evening else 1700) * strength
        for y in (-7.0, 0.5):
            self.lamp((1, y * reach, height), (15 * reach, 1.0), power, warm)
        if self.evening:
            self.lamp((-12, -9, 9), (3, 3), 600 * strength, warm, (0, 0, 0))
        else:
            self.lamp((-19, -11, 10), (11, 8), 2600 * strength, (0.86, 0.93, 1.0), (0, 0, 0))
        world = bpy.data.worlds.new("world")
        self.scene.world = world
        world.use_nodes = True
        ground = world.node_tree.nodes["Background"]
        ground.inputs[0].default_value = (
            (0.34, 0.3, 0.26, 1) if self.evening else (0.42, 0.46, 0.5, 1)
        )
        ground.inputs[1].default_value = 0.2 if self.evening else 0.32

    def shoot(self, view: View, path: Path, samples: int, threads: int, scale: int = 100) -> None:
        """Render the view to a lossless file at `path`."""
        data = bpy.data.cameras.new("camera")
        data.lens, data.clip_start, data.clip_end = view.lens, 0.05, 500
        data.sensor_fit = "AUTO"
        camera = bpy.data.objects.new("camera", data)
        camera.location = view.eye
        aim = Vector(view.look) - Vector(view.eye)
        camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
        if view.fstop:
            data.dof.use_dof = True
            data.dof.aperture_fstop = view.fstop / 10  # a unit is a tenth of a metre
            data.dof.focus_distance = (Vector(view.focus or view.look) - Vector(view.eye)).length
        self.scene.collection.objects.link(camera)
        self.scene.camera = camera
        self._settings(view, samples, threads, scale)
        self.scene.render.filepath = str(path)
        bpy.ops.render.render(write_still=True)

    def _settings(self, view: View, samples: int, threads: int, scale: int) -> None:
        """Set the path tracer for a quiet picture in about a minute on two threads."""
        scene, render, cycles = self.scene, self.scene.render, self.scene.cycles
        render.engine = "CYCLES"
        cycles.device = "CPU"
        cycles.samples = samples
        cycles.use_adaptive_sampling = True
        cycles.adaptive_threshold = 0.08
        cycles.use_denoising = True
        cycles.denoiser = "OPENIMAGEDENOISE"
        cycles.denoising_prefilter = "FAST"
        cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 3, 1, 3
        cycles.use_light_tree = False
        cycles.transparent_max_bounces = 6
        cycles.caustics_reflective = cycles.caustics_refractive = False
        cycles.sample_clamp_indirect = 6
        render.threads_mode, render.threads = "FIXED", threads
        render.resolution_x, render.resolution_y = view.size
        render.resolution_percentage = scale
        scene.view_settings.view_transform = "AgX"
        scene.view_settings.look = "AgX - Medium High Contrast"
        scene.view_settings.exposure = view.exposure
        render.image_settings.file_format = "PNG"
