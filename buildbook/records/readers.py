"""For whom editions of a book are. Nothing else is here, so that asking for one costs nothing."""

FULL = "full"
"""The builder's own, with everything in it."""
EDITIONS = ("public", "inspector", "owner", FULL)
