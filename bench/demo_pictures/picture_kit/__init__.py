"""A small kit that models and renders a workshop and the aircraft parts made in it."""

import bpy  # noqa: F401  has to come first: it brings mathutils with it
