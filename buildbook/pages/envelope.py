"""The designer's limits and the loading cases, drawn."""

import html
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from buildbook.pages.charts import Chart
from buildbook.pages.words import number, say

_WIDTH, _HEIGHT = 720, 420
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 18, 14, 46
_RADIUS = 9
_XMLNS = 'xmlns="http://www.w3.org/2000/svg"'


@dataclass(frozen=True, slots=True)
class Spot:
    """A loaded aircraft on the drawing."""

    label: str
    """A number or letter."""
    weight: float
    arm: float
    inside: bool
    dry: bool = False
    """Without fuel: it is joined to the spot of the same label with fuel."""


def envelope_chart(
    caption: str,
    summary: str,
    units: tuple[str, str],
    corners: Sequence[tuple[float, float]],
    spots: Sequence[Spot],
) -> Chart | None:
    """Draw limits (weight and arm of each corner) and spots; None where there is nothing.

    `units` are those of weights and arms.
    """
    if not corners and not spots:
        return None
    weights = [w for w, _ in corners] + [s.weight for s in spots]
    arms = [a for _, a in corners] + [s.arm for s in spots]
    up, across = _ticks(min(weights), max(weights)), _ticks(min(arms), max(arms))
    scale = _Scale(across, up)
    label = html.escape(caption)
    parts = [
        f'<svg role="img" aria-label="{label}" viewBox="0 0 {_WIDTH} {_HEIGHT}" {_XMLNS}>',
        *_axes(scale, across, up, units),
    ]
    if corners:
        points = " ".join(f"{scale.x(arm):.1f},{scale.y(weight):.1f}" for weight, arm in corners)
        parts.append(f'<polygon class="bb-limits" points="{points}"/>')
    parts += _burns(scale, spots)
    parts += [_spot(scale, spot) for spot in spots]
    parts.append("</svg>")
    return Chart(Markup("".join(parts)), caption, summary)  # noqa: S704 - escaped above


class _Scale:
    """Places of arms and weights on the paper."""

    def __init__(self, across: Sequence[float], up: Sequence[float]) -> None:
        self.left, self.right, self.low, self.high = across[0], across[-1], up[0], up[-1]

    def x(self, arm: float) -> float:
        return _LEFT + (arm - self.left) / (self.right - self.left) * (_WIDTH - _LEFT - _RIGHT)

    def y(self, weight: float) -> float:
        share = (weight - self.low) / (self.high - self.low)
        return _HEIGHT - _BOTTOM - share * (_HEIGHT - _TOP - _BOTTOM)


def _ticks(low: float, high: float) -> list[float]:
    """Give round numbers from below the lowest to above the highest, about seven."""
    spread = max(high - low, abs(high) * 0.02, 1e-6)
    rough = spread / 6
    power = 10 ** math.floor(math.log10(rough))
    step = next(n * power for n in (1, 2, 2.5, 5, 10) if n * power >= rough)
    first, last = math.floor((low - spread * 0.06) / step), math.ceil((high + spread * 0.06) / step)
    return [n * step for n in range(first, last + 1)]


def _axes(
    scale: _Scale, across: Sequence[float], up: Sequence[float], units: tuple[str, str]
) -> Iterable[str]:
    bottom, right = _HEIGHT - _BOTTOM, _WIDTH - _RIGHT
    yield '<g class="bb-axes">'
    for arm in across:
        x = scale.x(arm)
        yield f'<path class="guide" d="M{x:.1f} {_TOP}V{bottom}"/>'
        shown = number(f"{arm:g}")
        yield f'<text x="{x:.1f}" y="{bottom + 16}" text-anchor="middle">{shown}</text>'
    for weight in up:
        y = scale.y(weight)
        yield f'<path class="guide" d="M{_LEFT} {y:.1f}H{right}"/>'
        shown = number(f"{weight:g}")
        yield f'<text x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{shown}</text>'
    across_words = say("centre of gravity, %(unit)s aft of the datum", unit=units[1])
    up_words = say("weight, %(unit)s", unit=units[0])
    middle, half = (_LEFT + right) / 2, (_TOP + bottom) / 2
    yield (
        f'<text x="{middle:.0f}" y="{_HEIGHT - 8}" text-anchor="middle">'
        f"{html.escape(across_words)}</text>"
        f'<text transform="translate(14 {half:.0f}) rotate(-90)" text-anchor="middle">'
        f"{html.escape(up_words)}</text></g>"
    )


def _burns(scale: _Scale, spots: Sequence[Spot]) -> Iterable[str]:
    """Join each aircraft with fuel to the same without."""
    full = {spot.label: spot for spot in spots if not spot.dry}
    for dry in spots:
        if dry.dry and (spot := full.get(dry.label)):
            start = f"M{scale.x(spot.arm):.1f} {scale.y(spot.weight):.1f}"
            end = f"L{scale.x(dry.arm):.1f} {scale.y(dry.weight):.1f}"
            yield f'<path class="bb-burn" d="{start}{end}"/>'


def _spot(scale: _Scale, spot: Spot) -> str:
    """Draw a spot: round inside, square outside; hollow without fuel."""
    x, y = scale.x(spot.arm), scale.y(spot.weight)
    look = f"bb-spot{' bb-dry' if spot.dry else ''}{'' if spot.inside else ' bb-out'}"
    shape = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_RADIUS}"/>'
        if spot.inside
        else f'<rect x="{x - _RADIUS:.1f}" y="{y - _RADIUS:.1f}" '
        f'width="{2 * _RADIUS}" height="{2 * _RADIUS}"/>'
    )
    name = html.escape(spot.label)
    return f'<g class="{look}">{shape}<text x="{x:.1f}" y="{y + 4:.1f}">{name}</text></g>'
