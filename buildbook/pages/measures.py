"""Exact weights, arms and moments shown in the book's units, rounded once."""

from fractions import Fraction

from buildbook.pages.words import number, say
from buildbook.records.bookfile import Units
from buildbook.reference.exact import in_unit

_HALF = Fraction(1, 2)
_ARM_DECIMALS = {"in": 2, "mm": 0}


def rounded(value: Fraction, decimals: int) -> str:
    """Write a fraction with so many decimals; halves are rounded away from nothing."""
    scale: int = 10**decimals
    whole = int(abs(value) * scale + _HALF)
    sign = "\N{MINUS SIGN}" if value < 0 and whole else ""
    if not decimals:
        return number(f"{sign}{whole:,}")
    return number(f"{sign}{whole // scale:,}.{whole % scale:0{decimals}}")


class Measures:
    """Shows weights in kilograms and lengths in millimetres as the book does."""

    def __init__(self, units: Units, decimals: int = 1) -> None:
        """`decimals` are those of weights."""
        self.mass, self.length, self.decimals = units.mass, units.length, decimals
        # A moment in kg·mm has digits that say nothing: metres are used.
        self.moment_unit = f"{self.mass}·{'m' if self.length == 'mm' else 'in'}"

    def weight(self, value: Fraction, *, unit: bool = True) -> str:
        """Show a weight given in kilograms."""
        return rounded(in_unit(value, self.mass), self.decimals) + (f" {self.mass}" if unit else "")

    def arm(self, value: Fraction | None, *, unit: bool = True) -> str:
        """Show an arm given in millimetres; nothing where there is none."""
        if value is None:
            return ""
        shown = rounded(in_unit(value, self.length), _ARM_DECIMALS[self.length])
        return shown + (f" {self.length}" if unit else "")

    def distance(self, value: Fraction) -> str:
        """Show how far apart two arms are: what is not nothing is never shown as nothing."""
        decimals = _ARM_DECIMALS[self.length]
        shown = rounded(in_unit(abs(value), self.length), decimals)
        if value and not shown.strip("0.,"):
            return say(
                "less than %(least)s %(unit)s",
                least=rounded(Fraction(1, 10**decimals), decimals),
                unit=self.length,
            )
        return f"{shown} {self.length}"

    def mass_apart(self, value: Fraction) -> str:
        """Show how far apart two weights are, as `distance` does."""
        shown = rounded(in_unit(abs(value), self.mass), 1)
        if value and not shown.strip("0.,"):
            least = rounded(Fraction(1, 10), 1)
            return say("less than %(least)s %(unit)s", least=least, unit=self.mass)
        return f"{shown} {self.mass}"

    def moment(self, value: Fraction) -> str:
        """Show a moment given in kilogram-millimetres, without its unit."""
        length = "m" if self.length == "mm" else "in"
        moment = in_unit(in_unit(value, self.mass), length)
        return rounded(moment, 2 if self.length == "mm" else 1)

    def numbers(self, weight: Fraction, arm: Fraction) -> tuple[float, float]:
        """Give a weight and an arm in the book's units, for drawing."""
        return float(in_unit(weight, self.mass)), float(in_unit(arm, self.length))


def percent(share: Fraction) -> str:
    """Show a share of the mean aerodynamic chord."""
    return f"{rounded(share * 100, 1)} %"
