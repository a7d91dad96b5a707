"""Published tables and formulas, each value beside its source."""
