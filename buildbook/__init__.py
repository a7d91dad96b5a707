"""From short session records to a build manual: read, derive, lay out."""

__version__ = "0.1.0"
