"""Surface materials, each a short recipe of shader nodes, made when first asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import bpy

if TYPE_CHECKING:
    from collections.abc import Callable

# colour (linear red, green, blue), roughness, metallic, mottling of the colour, bump
PLAIN = {
    "green": ((0.17, 0.24, 0.075), 0.55, 0.0, 0.16, 0.0),
    "grey": ((0.36, 0.38, 0.38), 0.55, 0.0, 0.12, 0.0),
    "rivet": ((0.78, 0.78, 0.77), 0.28, 1.0, 0.0, 0.0),
    "seam": ((0.1, 0.1, 0.11), 0.5, 0.5, 0.0, 0.0),
    "steel": ((0.52, 0.53, 0.55), 0.24, 1.0, 0.1, 0.0),
    "rule": ((0.68, 0.69, 0.69), 0.38, 1.0, 0.05, 0.0),
    "dark_steel": ((0.16, 0.16, 0.17), 0.42, 1.0, 0.1, 0.0),
    "brass": ((0.72, 0.52, 0.22), 0.3, 1.0, 0.1, 0.0),
    "copper": ((0.78, 0.42, 0.26), 0.3, 1.0, 0.1, 0.0),
    "lead": ((0.2, 0.21, 0.23), 0.6, 0.7, 0.3, 0.06),
    "hole": ((0.006, 0.006, 0.007), 0.8, 0.0, 0.0, 0.0),
    "ink": ((0.02, 0.02, 0.03), 0.6, 0.0, 0.0, 0.0),
    "red_ink": ((0.62, 0.03, 0.03), 0.5, 0.0, 0.0, 0.0),
    "red_tape": ((0.62, 0.035, 0.03), 0.4, 0.0, 0.08, 0.0),
    "yellow_tape": ((0.75, 0.55, 0.16), 0.5, 0.0, 0.08, 0.0),
    "label": ((0.82, 0.8, 0.74), 0.7, 0.0, 0.03, 0.0),
    "paper": ((0.84, 0.84, 0.82), 0.8, 0.0, 0.03, 0.0),
    "brown_paper": ((0.45, 0.31, 0.18), 0.8, 0.0, 0.12, 0.0),
    "cardboard": ((0.4, 0.27, 0.15), 0.85, 0.0, 0.12, 0.0),
    "bin": ((0.06, 0.16, 0.36), 0.42, 0.0, 0.0, 0.0),
    "bin2": ((0.46, 0.1, 0.05), 0.42, 0.0, 0.0, 0.0),
    "clamp": ((0.04, 0.04, 0.05), 0.42, 0.3, 0.0, 0.0),
    "grip": ((0.7, 0.2, 0.03), 0.45, 0.0, 0.0, 0.0),
    "rubber": ((0.02, 0.02, 0.022), 0.6, 0.0, 0.0, 0.0),
    "hose": ((0.62, 0.12, 0.06), 0.45, 0.0, 0.0, 0.0),
    "tool_body": ((0.05, 0.22, 0.2), 0.35, 0.0, 0.0, 0.0),
    "frame_paint": ((0.08, 0.2, 0.28), 0.35, 0.0, 0.05, 0.0),
    "pad": ((0.2, 0.035, 0.04), 0.95, 0.0, 0.5, 0.4),
    "pad_blue": ((0.1, 0.16, 0.27), 0.95, 0.0, 0.3, 0.2),
    "foam": ((0.8, 0.72, 0.5), 0.9, 0.0, 0.2, 0.15),
    "white_paint": ((0.76, 0.76, 0.74), 0.45, 0.0, 0.04, 0.0),
    "wall": ((0.58, 0.61, 0.61), 0.85, 0.0, 0.06, 0.0),
    "string": ((0.7, 0.1, 0.06), 0.8, 0.0, 0.0, 0.0),
    "cable": ((0.75, 0.75, 0.73), 0.5, 0.0, 0.0, 0.0),
    "vial": ((0.45, 0.75, 0.15), 0.15, 0.0, 0.0, 0.0),
    "sealant": ((0.12, 0.13, 0.14), 0.4, 0.0, 0.1, 0.0),
    "black": ((0.02, 0.02, 0.02), 0.5, 0.0, 0.0, 0.0),
}


def material(name: str, evening: bool) -> bpy.types.Material:
    """Return the material of that name, making it on first use; panes follow the hour."""
    found = bpy.data.materials.get(name)
    if found:
        return found
    made = bpy.data.materials.new(name)
    made.use_nodes = True
    shader = made.node_tree.nodes["Principled BSDF"]
    if name == "pane":
        shader.inputs["Base Color"].default_value = (0.02, 0.02, 0.03, 1)
        glow = (0.02, 0.035, 0.08, 1) if evening else (0.75, 0.88, 1.0, 1)
        shader.inputs["Emission Color"].default_value = glow
        shader.inputs["Emission Strength"].default_value = 0.6 if evening else 3.0
    elif name in SPECIAL:
        SPECIAL[name](made.node_tree, shader)
    else:
        colour, rough, metallic, mottle, bump = PLAIN[name]
        shader.inputs["Base Color"].default_value = (*colour, 1)
        shader.inputs["Roughness"].default_value = rough
        shader.inputs["Metallic"].default_value = metallic
        if mottle:
            noise = _noise(made.node_tree, 5.0, (1, 1, 1), 3)
            low = tuple(c * (1 - mottle) for c in colour)
            high = tuple(min(1.0, c * (1 + mottle)) for c in colour)
            _ramp(made.node_tree, noise, [(0.3, low), (0.7, high)], shader.inputs["Base Color"])
        if bump:
            _bump(made.node_tree, _noise(made.node_tree, 24.0, (1, 1, 1), 1), bump, shader)
    return made


def _noise(
    tree: bpy.types.NodeTree, scale: float, stretch: tuple[float, float, float], detail: float
) -> bpy.types.NodeSocket:
    """Noise in the piece's own coordinates, stretched along an axis by a small factor there."""
    place = tree.nodes.new("ShaderNodeTexCoord")
    mapping = tree.nodes.new("ShaderNodeMapping")
    mapping.inputs["Scale"].default_value = stretch
    noise = tree.nodes.new("ShaderNodeTexNoise")
    noise.inputs["Scale"].default_value = scale
    noise.inputs["Detail"].default_value = detail
    tree.links.new(place.outputs["Object"], mapping.inputs["Vector"])
    tree.links.new(mapping.outputs["Vector"], noise.inputs["Vector"])
    return noise.outputs[0]


def _ramp(
    tree: bpy.types.NodeTree,
    value: bpy.types.NodeSocket,
    stops: list[tuple[float, tuple[float, float, float]]],
    into: bpy.types.NodeSocket,
) -> None:
    ramp = tree.nodes.new("ShaderNodeValToRGB")
    elements = ramp.color_ramp.elements
    while len(elements) < len(stops):
        elements.new(0.5)
    for element, (at, colour) in zip(elements, stops, strict=True):
        element.position, element.color = at, (*colour, 1)
    tree.links.new(value, ramp.inputs[0])
    tree.links.new(ramp.outputs[0], into)


def _bump(
    tree: bpy.types.NodeTree,
    value: bpy.types.NodeSocket,
    strength: float,
    shader: bpy.types.ShaderNode,
) -> None:
    bump = tree.nodes.new("ShaderNodeBump")
    bump.inputs["Strength"].default_value = strength
    bump.inputs["Distance"].default_value = 0.05
    tree.links.new(value, bump.inputs["Height"])
    tree.links.new(bump.outputs[0], shader.inputs["Normal"])


def _bare(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Clad aluminium: bright, softly brushed by rolling, its gloss uneven from handling."""
    shader.inputs["Metallic"].default_value = 1
    cloud = _noise(tree, 1.3, (1, 1, 1), 3)
    _ramp(tree, cloud, [(0.3, (0.77, 0.775, 0.78)), (0.7, (0.83, 0.83, 0.825))],
          shader.inputs["Base Color"])  # fmt: skip
    _ramp(tree, cloud, [(0.25, (0.29,) * 3), (0.75, (0.36,) * 3)], shader.inputs["Roughness"])
    _bump(tree, _noise(tree, 9.0, (0.35, 14, 14), 2), 0.06, shader)


def _wood(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Beech boards, oiled and used."""
    grain = _noise(tree, 1.6, (0.2, 6.0, 6.0), 5)
    _ramp(
        tree,
        grain,
        [(0.25, (0.2, 0.095, 0.04)), (0.5, (0.36, 0.2, 0.095)), (0.72, (0.46, 0.28, 0.14))],
        shader.inputs["Base Color"],
    )
    shader.inputs["Roughness"].default_value = 0.52


def _pale_wood(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Planed spruce."""
    grain = _noise(tree, 1.4, (2.6, 2.6, 0.25), 3)
    _ramp(tree, grain, [(0.3, (0.42, 0.28, 0.15)), (0.6, (0.6, 0.44, 0.26))],
          shader.inputs["Base Color"])  # fmt: skip
    shader.inputs["Roughness"].default_value = 0.65


def _handle_wood(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    grain = _noise(tree, 3.0, (0.3, 4, 4), 3)
    _ramp(tree, grain, [(0.3, (0.3, 0.14, 0.05)), (0.7, (0.5, 0.27, 0.11))],
          shader.inputs["Base Color"])  # fmt: skip
    shader.inputs["Roughness"].default_value = 0.3


def _floor(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Painted concrete, worn."""
    wear = _noise(tree, 1.1, (1, 1, 1), 5)
    _ramp(tree, wear, [(0.3, (0.25, 0.25, 0.25)), (0.65, (0.31, 0.31, 0.305))],
          shader.inputs["Base Color"])  # fmt: skip
    _ramp(tree, wear, [(0.3, (0.4,) * 3), (0.7, (0.55,) * 3)], shader.inputs["Roughness"])


def _pegboard(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Hardboard with a grid of small holes."""
    place = tree.nodes.new("ShaderNodeTexCoord")
    holes = tree.nodes.new("ShaderNodeTexVoronoi")
    holes.inputs["Scale"].default_value = 3.4
    holes.inputs["Randomness"].default_value = 0
    flat = tree.nodes.new("ShaderNodeVectorMath")
    flat.operation = "MULTIPLY"
    flat.inputs[1].default_value = (1, 0, 1)
    tree.links.new(place.outputs["Object"], flat.inputs[0])
    tree.links.new(flat.outputs[0], holes.inputs["Vector"])
    _ramp(tree, holes.outputs["Distance"], [(0.14, (0.03, 0.025, 0.02)), (0.19, (0.5, 0.45, 0.37))],
          shader.inputs["Base Color"])  # fmt: skip
    shader.inputs["Roughness"].default_value = 0.7


def _film(tree: bpy.types.NodeTree, shader: bpy.types.ShaderNode) -> None:
    """Blue protective film, thin and a little cloudy."""
    shader.inputs["Base Color"].default_value = (0.035, 0.2, 0.55, 1)
    shader.inputs["Roughness"].default_value = 0.22
    shader.inputs["Alpha"].default_value = 0.72
    _bump(tree, _noise(tree, 3.0, (1, 1, 1), 4), 0.06, shader)


SPECIAL: dict[str, Callable[[bpy.types.NodeTree, bpy.types.ShaderNode], None]] = {
    "bare": _bare,
    "wood": _wood,
    "pale_wood": _pale_wood,
    "handle_wood": _handle_wood,
    "floor": _floor,
    "pegboard": _pegboard,
    "film": _film,
}
