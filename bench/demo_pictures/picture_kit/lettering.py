"""Lettering as flat shapes, from the renderer's own built-in typeface."""

from __future__ import annotations

from functools import cache

import bpy
import numpy as np

from picture_kit.shapes import NONE4, Part, Shape


@cache
def lettering(text: str, size: float, material: str, *, centred: bool = False) -> Part:
    """Make a line of text in the x-y plane, its baseline on y = 0."""
    curve = bpy.data.curves.new("text", "FONT")
    curve.body, curve.size = text, size
    curve.align_x = "CENTER" if centred else "LEFT"
    curve.resolution_u = 3
    thing = bpy.data.objects.new("text", curve)
    bpy.context.scene.collection.objects.link(thing)
    bpy.context.view_layer.update()
    mesh = thing.evaluated_get(bpy.context.evaluated_depsgraph_get()).to_mesh()
    mesh.calc_loop_triangles()
    points = np.array([v.co[:] for v in mesh.vertices])
    tris = np.array([t.vertices[:] for t in mesh.loop_triangles])
    bpy.data.objects.remove(thing)
    bpy.data.curves.remove(curve)
    return Part((Shape(points, tris, NONE4, material),))
