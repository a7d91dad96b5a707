"""Number, least, largest, mean and spread of measured values.

The spread is the sample standard deviation, with n - 1. Sums are exact (in fractions) before the
one rounding at the end, so that values alike in many digits lose none. Checked against the
univariate data sets that NIST certifies (Statistical Reference Datasets).
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from buildbook.records.quantities import Quantity
from buildbook.reference.answers import RefusedError


@dataclass(frozen=True, slots=True)
class Sample:
    """What several values have in common."""

    n: int
    smallest: float
    largest: float
    mean: float
    deviation: float | None
    """Sample standard deviation; None for a single value, which says nothing about spread."""


def summarise(values: Sequence[float]) -> Sample:
    """Summarise values. Raises RefusedError for none, and for what is no finite number."""
    if not values:
        raise RefusedError("there is no value to summarise")
    if not all(map(math.isfinite, values)):
        raise RefusedError("a value is not a finite number")
    return Sample(
        len(values),
        min(values),
        max(values),
        statistics.mean(values),
        statistics.stdev(values) if len(values) > 1 else None,
    )


def summarise_quantities(values: Sequence[Quantity]) -> tuple[Sample, str]:
    """Summarise measured values in the unit of the first; return that too, in pint's words.

    Raises RefusedError for none, and for values of different kinds.
    """
    if not values:
        raise RefusedError("there is no value to summarise")
    first = values[0]
    for value in values:
        if value.dimension != first.dimension:
            raise RefusedError(
                f"`{first.written}` is a {first.dimension}, and `{value.written}` a "
                f"{value.dimension}"
            )
    return summarise([value.to(first.unit) for value in values]), first.unit
