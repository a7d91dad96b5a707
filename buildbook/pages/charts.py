"""Static charts as inline SVG, coloured by the page, each with its figures in words beside it."""

import html
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from buildbook.pages.words import say, show_minutes, translated


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing and what it says to whoever cannot see it."""

    svg: Markup
    caption: str
    summary: str
    """One or two sentences with the figures that matter; the table beside it has all."""


def bars(
    caption: str,
    labels: Sequence[str],
    minutes: Sequence[int],
    *,
    lying: bool = False,
    every: int = 1,
) -> Chart | None:
    """Draw hours as bars, standing (months) or lying (sections). None where there is nothing.

    Of many standing bars only `every` so-many-eth is labelled.
    """
    if not minutes or not any(minutes):
        return None
    import pygal  # noqa: PLC0415 - slow to load, and drawn on few pages

    kind = pygal.HorizontalBar if lying else pygal.Bar
    # Lying bars are drawn from the bottom up: the first belongs at the top.
    order = list(range(len(labels)))[:: -1 if lying else 1]
    height = 60 + 34 * len(labels) if lying else 320
    slanted = not lying and len(labels) > 8  # noqa: PLR2004
    chart = kind(**_settings(height), **(_SLANTED if slanted else {}))
    chart.x_labels = [labels[i] if i % every == 0 else "" for i in order]
    chart.add(say("hours"), [{"value": round(minutes[i] / 60, 2)} for i in order])
    top = max(range(len(minutes)), key=lambda i: minutes[i])
    summary = say(
        "%(count)s bars, %(whole)s in all; the tallest is %(label)s with %(most)s.",
        count=len(labels),
        whole=show_minutes(sum(minutes)),
        label=labels[top],
        most=show_minutes(minutes[top]),
    )
    return Chart(_svg(chart, caption), caption, summary)


def shares(caption: str, labels: Sequence[str], values: Sequence[float]) -> Chart | None:
    """Draw shares, 0 to 1, as lying bars on a scale to 100 %. None where there is nothing."""
    if not labels:
        return None
    import pygal  # noqa: PLC0415

    chart = pygal.HorizontalBar(**_settings(60 + 34 * len(labels)), range=(0, 100))
    chart.x_labels = list(labels)[::-1]
    chart.y_labels = list(range(0, 101, 20))
    chart.add("%", [round(value * 100, 1) for value in values][::-1])
    said = ", ".join(f"{label} {v * 100:.0f} %" for label, v in zip(labels, values, strict=True))
    return Chart(_svg(chart, caption), caption, f"{said}.")


def scatter(
    caption: str,
    summary: str,
    across: str,
    points: Sequence[tuple[float, float]],
    curve: Sequence[tuple[float, float]] = (),
) -> Chart | None:
    """Draw points, and a curve through them where there is one; `across` names what x counts."""
    if not points:
        return None
    import pygal  # noqa: PLC0415

    settings = {**_settings(320), "show_legend": bool(curve)}
    chart = pygal.XY(**settings, dots_size=3.5, x_title=across, include_x_axis=True)
    chart.add(say("sessions"), [(round(x, 2), round(y, 2)) for x, y in points], stroke=False)
    if curve:
        chart.add(
            say("fitted curve"), [(round(x, 2), round(y, 2)) for x, y in curve], show_dots=False
        )
    return Chart(_svg(chart, caption), caption, summary)


def against_limits(
    caption: str,
    summary: str,
    unit: str,
    values: Sequence[float],
    *,
    limits: tuple[float | None, float | None],
    marked: Sequence[tuple[str, Sequence[int]]] = (),
) -> Chart | None:
    """Draw values in their order as points, and their limits as lines. None for less than two.

    `marked` names groups of points that are drawn larger, each with the indexes of its values.
    """
    if len(values) < 2:  # noqa: PLR2004 - one point is said in fewer words
        return None
    import pygal  # noqa: PLC0415

    settings = {**_settings(320), "show_legend": True, "legend_at_bottom_columns": 4}
    settings["margin_bottom"] = 40  # the library makes no room for a legend in columns
    chart = pygal.XY(
        **settings, dots_size=3.5, x_title=say("values, as they were taken"), y_title=unit
    )
    chart.x_labels = _counted(len(values))
    shown = {i for _, some in marked for i in some}
    plain = [(i + 1, _round(v)) for i, v in enumerate(values) if i not in shown]
    chart.add(say("values"), plain, stroke=False)
    drawn_limits = [_round(limit) for limit in limits if limit is not None]
    if drawn_limits:
        end = len(values) + 0.5
        ends = [p for at in drawn_limits for p in ((0.5, at), (end, at), (None, None))]
        chart.add(say("limit"), ends, show_dots=False, allow_interruptions=True)
    for name, some in marked:
        chart.add(
            translated(name), [(i + 1, _round(values[i])) for i in some], stroke=False, dots_size=6
        )
    drawn = _svg(chart, caption)
    # Each kind of series keeps its own look, however many others there are beside it.
    looks = ["values", *(["limit"] if drawn_limits else [])]
    looks += [name.split()[0] for name, _ in marked]
    looked = re.sub(
        r'(class="[^"<>]*)\bcolor-(\d+)\b', lambda m: f"{m[1]}bb-series-{looks[int(m[2])]}", drawn
    )
    return Chart(Markup(looked), caption, summary)  # noqa: S704 - classes renamed in what is safe


def _counted(most: int) -> list[int]:
    """Label a count from 1 with a dozen numbers at most."""
    step = max(1, -(-most // 12))
    return list(range(1, most + 1, step))


def _round(value: float) -> float:
    return float(f"{value:.6g}")


def line(
    caption: str, labels: Sequence[str], series: Sequence[tuple[str, Sequence[int]]]
) -> Chart | None:
    """Draw running totals of hours over labels (months). None where there is nothing."""
    if not labels or not any(any(values) for _, values in series):
        return None
    import pygal  # noqa: PLC0415

    chart = pygal.Line(
        **{**_settings(320), **_SLANTED, "show_legend": len(series) > 1},
        dots_size=2.5,
        fill=False,
        include_x_axis=True,  # from zero: a total drawn from its own start says nothing
    )
    chart.x_labels = list(labels)
    for name, values in series:
        chart.add(name, [round(v / 60, 2) for v in values])
    said = ", ".join(f"{name} {show_minutes(values[-1])}" for name, values in series)
    return Chart(
        _svg(chart, caption),
        caption,
        say(
            "From %(first)s to %(last)s; at the end %(said)s.",
            first=labels[0],
            last=labels[-1],
            said=said,
        ),
    )


# The site's letters are larger than those the library reckons with.
_SLANTED = {"x_label_rotation": 45, "margin_bottom": 22, "margin_right": 28}


def _settings(height: int) -> dict[str, Any]:
    return {
        "width": 720,
        "height": height,
        "explicit_size": False,
        "js": (),
        "show_legend": False,
        "legend_at_bottom": True,
        "truncate_legend": -1,
        "margin": 6,
        "disable_xml_declaration": True,
        "no_prefix": True,
        "spacing": 8,
        "truncate_label": -1,
    }


_LEFT_OUT = re.compile(
    r"<!--.*?-->|<(script|style|defs|title|desc)\b[^>]*>.*?</\1>|<defs ?/>"
    r'|\s(?:id="[^"]*"|xmlns:xlink="[^"]*"|class=""|style="opacity: 0")',
    re.DOTALL,
)
"""What a chart brings of its own: the site's style sheet draws all charts alike, in its light, dark
and print colours, and without made-up identifiers the same book gives the same bytes."""


def _svg(chart: Any, caption: str) -> Markup:
    drawn = _LEFT_OUT.sub("", chart.render(is_unicode=True))
    label = html.escape(caption)
    drawn = drawn.replace("<svg ", f'<svg role="img" aria-label="{label}" ', 1)
    return Markup(drawn)  # noqa: S704 - drawn by a library that escapes its labels
